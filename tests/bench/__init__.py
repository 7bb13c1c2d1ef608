"""What dryfloor claims of itself, measured in one run: `python -m tests.bench`."""
