"""A floor with a washer on it against the spin: does it answer, and what does the machine press on it? SI in, SI out.

Every frequency here is an estimate, a quarter either way; "apart by estimate" is the best it can say, and that finds no
floor safe. Cut, rotten, cantilevered or bouncy joists are an engineer's business.
"""

import math
from typing import Literal, NamedTuple

from .inputs import above_zero, not_negative

G_M_PER_S2 = 9.80665
