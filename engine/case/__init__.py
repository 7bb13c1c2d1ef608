"""A case: its events, the state they fold to, and the files and typed lines that it is read from."""
