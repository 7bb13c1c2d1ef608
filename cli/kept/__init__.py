"""The commands on kept cases: list, show, resume, note, what it turned out to be, carry from store to store, the queue, forget, close."""
