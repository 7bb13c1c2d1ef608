"""Whose units a reader sees: --units, the locale, and that data for programs never changes with either."""

import pytest

from dryfloor.cli.terminal.env import Env
from dryfloor.engine.measurement.formatting import READER, show


@pytest.mark.parametrize(
    ("lang", "metric"),
    [
        ("", False),
        ("C.UTF-8", False),
        ("en_US.UTF-8", False),
        ("de_DE.UTF-8", True),
        ("en_GB", True),
        ("fr_CA@euro", True),
        ("POSIX", False),
    ],
)
def test_the_locale_says_which_stands_first(lang: str, metric: bool) -> None:
    assert Env(environ={"LANG": lang}).metric is metric


def test_lc_all_goes_before_lang() -> None:
    assert not Env(environ={"LC_ALL": "en_US.UTF-8", "LANG": "de_DE.UTF-8"}).metric


@pytest.mark.parametrize(
    ("reader", "expected"),
    [("both", "39 1/2 in (100 cm)"), ("si-first", "100.3 cm (39 1/2 in)"), ("us", "39 1/2 in"), ("si", "100.3 cm")],
)
def test_a_text_that_asks_for_both_follows_the_reader(reader: str, expected: str) -> None:
    """39 1/2 in is 1.0033 m exactly (international inch)."""
    token = READER.set(reader)
    try:
        assert show(1.0033, "length") == expected
        assert show(1.0033, "length", "us") == "39 1/2 in"
    finally:
        READER.reset(token)
