"""The cases that are kept, in one SQLite file or on a PostgreSQL server."""
