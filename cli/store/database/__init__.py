"""What the rows of a store lie in: a file by SQLite or a PostgreSQL server, their tables, checksums, holders, and what goes wrong there in words."""
