"""The cases that are kept, in one SQLite file."""
