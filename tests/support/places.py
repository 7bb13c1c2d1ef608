"""Where the project and the tests' own data lie."""

from pathlib import Path

TESTS = Path(__file__).parents[1]
ROOT = TESTS.parent
SMALL = TESTS / "small_kb"
SHEETS = TESTS / "sheets"
