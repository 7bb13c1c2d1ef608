"""What a machine lacks for some tests: they are skipped loudly, and in a run that decides what lands they fail."""

import os
import warnings

import pytest


def missing(title, what, how):
    """Skip the test, and say so where nobody can overlook it; a run that decides what lands may leave nothing out, and fails.

    Parameters
    ----------
    title, what, how : str
        What is not tested, what is lacking, and how to bring it.
    """
    text = f"{title}: {what}. {how}"
    if os.environ.get("CI") == "true":
        pytest.fail(text)
    warnings.warn(text, stacklevel=3)
    pytest.skip(text)
