"""`python -m dryfloor` does what the console script does."""

from .cli.main import run

if __name__ == "__main__":
    run()
