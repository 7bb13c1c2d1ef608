"""Homes with a washer in trouble, as facts: what is said, known, tried and to be found there, what it was, who put it right.

They were written by people who never saw the kb, before its numbers were touched for them. `retold` homes follow what really
happened somewhere, in own words and invented places; the others are invented by people of the trade. What is not listed in a home
is as in a sound installation. Homes held out are not looked at while anything is changed: only their totals are read, and every
reading is told.
"""

from functools import cache
from hashlib import blake2b
from pathlib import Path
from typing import Literal

import msgspec
import yaml

FOLDER = Path(__file__).parent / "homes"
FRESH = Path(__file__).parent / "fresh" / "homes"  # written when all else was done, scored once
Family = Literal[
    "water on the floor",
    "drain overflow",
    "no drain",
    "siphon or fill",
    "coupling",
    "frost",
    "walks",
    "noise",
    "power",
    "temperature",
    "smell or suds",
    "spin or program",
]
Hands = Literal[
    "anyone",
    "washer technician",
    "plumber",
    "drain service",
    "electrician",
    "utility",
    "landlord",
    "gas company",
    "nobody",
]
HELD_OF_7 = 4  # of seven homes that are not retold so many are held: about a third of all homes


class Home(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One home.

    Parameters
    ----------
    id : str
        The writer's letter and a number.
    says : str
        The first words.
    known, tried, signs, sound : list of str
        What the speaker would answer at once; what was done already; what anybody finds there who looks; what is certainly in order.
    danger : str
        What can hurt somebody now, or none.
    cause, mend, proved_by, meanwhile : str
        The truth; what ended it; what was then seen; what not to do until then.
    causes : int
        How many faults: 0, 1 or 2.
    installation : bool
        Whether an installation rule was broken.
    by : str
        Who may put it right; more than one with "and".
    retold : bool
        It follows something that really happened, and is never held out.
    """

    id: str
    family: Family
    speaker: Literal["homeowner", "tenant", "call desk", "technician"]
    says: str
    known: list[str]
    tried: list[str]
    signs: list[str]
    sound: list[str]
    danger: str
    cause: str
    causes: Literal[0, 1, 2]
    installation: bool
    mend: str
    by: str
    proved_by: str
    meanwhile: str
    retold: bool = False

    @property
    def held(self) -> bool:
        """Whether it is left out while anything is changed; chosen by a hash of its id."""
        return not self.retold and blake2b(self.id.encode(), digest_size=8).digest()[0] % 7 < HELD_OF_7


@cache
def homes(folder: Path = FOLDER) -> tuple[Home, ...]:
    """Return all homes of a folder, in the order of their ids.

    Parameters
    ----------
    folder : Path
        Where the homes stand; those that were written first, unless another is named.

    Examples
    --------
    >>> homes()[0].id
    'a-01'
    """
    found: list[Home] = []
    for path in sorted(folder.glob("*.yaml")):
        found += msgspec.convert(yaml.safe_load(path.read_text("utf-8")), list[Home])
    return tuple(found)
