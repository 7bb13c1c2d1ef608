"""What the trade knows, as YAML; see README.md beside this file."""
