"""What would truthfully be answered in each home: homes mapped to the complaints, facts, checks and causes of the kb.

They were written by people who change no number of the kb, from the home and the kb's questions alone; what they leave out is as in a
sound installation. `cause` is empty where no cause of the kb says what was wrong.
"""

from functools import cache
from pathlib import Path
from typing import Literal

import msgspec
import yaml

FOLDER = Path(__file__).parent / "answers"
FRESH = Path(__file__).parent / "fresh" / "answers"
Trade = Literal[
    "anyone",
    "technician",
    "plumber",
    "electrician",
    "drain-service",
    "utility",
    "landlord",
    "gas-company",
    "nobody",
]


class Truth(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What one home answers.

    Parameters
    ----------
    cause, near : list of str
        Causes of the kb that say what was wrong, all of them at work; others whose naming is as right.
    hands : list of str
        Who may put it right.
    complaints : list of str
        What the first words state.
    told, told_facts : dict of str
        Checks and facts that the first words answer.
    facts, answers : dict of str
        What is true there, before anything is mended: options, answers, readings.
    normal, cant : list of str
        Checks that are said to be in order; checks that can't be made there.
    unsafe : list of str
        Gates that could not be answered "safe" at the first moment.
    """

    cause: list[str]
    hands: list[Trade]
    near: list[str] = []
    complaints: list[str] = []
    told: dict[str, str] = {}
    told_facts: dict[str, str] = {}
    facts: dict[str, str] = {}
    answers: dict[str, str] = {}
    normal: list[str] = []
    cant: list[str] = []
    unsafe: list[str] = []
    note: str = ""

    @property
    def covered(self) -> bool:
        """Whether the kb has what was wrong there."""
        return bool(self.cause)


@cache
def truths(folder: Path = FOLDER) -> dict[str, Truth]:
    """Return the mapping of every home of a folder, by its id.

    Parameters
    ----------
    folder : Path
        Where the mappings stand; those of the homes that were written first, unless another is named.

    Examples
    --------
    >>> truths()["a-01"].covered
    True
    """
    found: dict[str, Truth] = {}
    for path in sorted(folder.glob("*.yaml")):
        found |= msgspec.convert(yaml.safe_load(path.read_text("utf-8")), dict[str, Truth], strict=False)
    return found
