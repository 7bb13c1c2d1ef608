"""A code that stands for an installation and does not show its fault: letters that can be read aloud, with a check for slips.

It is no secret: whoever has the program can open it. It keeps the answer off a trainer's screen and a pupil's command line.
"""

import base64
import binascii
from functools import lru_cache
from hashlib import blake2b
from zlib import crc32

import msgspec

from .. import model
from ..errors import InvalidInputError, Problem
from .order import Order, check_order, families

VERSION = 1
ROLES: tuple[model.Role, ...] = ("homeowner", "desk", "technician")
DRAWN = 3  # faults that are left to the seed
TENTHS = 10  # of a minute: what the code keeps of the minutes
LETTERS, GROUP = 24, 4
ALIKE = str.maketrans({"0": "O", "1": "I", "8": "B"})  # digits that the code does not have


def seal(kb: model.KB, order: Order) -> str:
    """Return the code of an order.

    Parameters
    ----------
    kb : KB
        Its stamp goes into the code, so that another kb is noticed.
    order : Order

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> code = seal(kb, Order(seed=7, fault="standpipe-too-low"))
    >>> len(code), opened(kb, code)[0].fault
    (29, 'standpipe-too-low')
    """
    check_order(kb, order)
    faults = DRAWN if order.faults is None else order.faults
    head = VERSION << 4 | ROLES.index(order.role) << 2 | faults
    family = families(kb).index(order.family) + 1 if order.family else 0
    body = b"".join(
        (
            bytes((head, family)),
            order.seed.to_bytes(4, "big"),
            round(order.minutes * TENTHS).to_bytes(2, "big"),
            _number(order.fault).to_bytes(3, "big"),
            stamp(kb).to_bytes(2, "big"),
        )
    )
    check = (crc32(body) & 0xFFFF).to_bytes(2, "big")
    text = base64.b32encode(check + _masked(body, check)).decode()
    return "-".join(text[n : n + GROUP] for n in range(0, len(text), GROUP))


def opened(kb: model.KB, code: str) -> tuple[Order, bool]:
    """Return the order of a code, and whether it was made with this very kb.

    Raises
    ------
    InvalidInputError
        If it is no code, or names a fault that this kb does not have.
    """
    text = "".join(c for c in code.upper().translate(ALIKE) if c.isascii() and c.isalnum())
    try:
        raw = base64.b32decode(text) if len(text) == LETTERS else b""
    except (binascii.Error, ValueError):
        raw = b""
    body = _masked(raw[2:], raw[:2])
    if (
        len(text) != LETTERS
        or not raw
        or (crc32(body) & 0xFFFF).to_bytes(2, "big") != raw[:2]
        or body[0] >> 4 != VERSION
    ):
        raise InvalidInputError(
            [
                Problem(
                    code="D003",
                    message=f"'{code[:40]}' is no code of a drill",
                    expected=f"{LETTERS} letters in groups of {GROUP}, as dryfloor drill --sealed prints them",
                    mend="look for a letter that was left out or changed",
                )
            ]
        )
    fault = ""
    number = int.from_bytes(body[8:11], "big")
    if number:
        fault = next((c for c in sorted(kb.causes) if _number(c) == number), "")
    names = families(kb)
    if (number and not fault) or body[1] > len(names):
        raise InvalidInputError(
            [
                Problem(
                    code="D004",
                    message="this kb does not have the fault of that code",
                    mend="name the kb that it was made with: --kb DIR",
                )
            ]
        )
    faults = body[0] & 3
    order = Order(
        seed=int.from_bytes(body[2:6], "big"),
        fault=fault,
        family=names[body[1] - 1] if body[1] else "",
        role=ROLES[min(body[0] >> 2 & 3, len(ROLES) - 1)],
        minutes=int.from_bytes(body[6:8], "big") / TENTHS,
        faults=None if faults == DRAWN else faults,
    )
    return check_order(kb, order), int.from_bytes(body[11:13], "big") == stamp(kb)


def _number(fault: str) -> int:
    """Return the number that stands for a fault; 0 for none."""
    return (crc32(fault.encode()) & 0xFFFFFF) or 1 if fault else 0


def _masked(body: bytes, key: bytes) -> bytes:
    return bytes(a ^ b for a, b in zip(body, blake2b(b"drill" + key, digest_size=64).digest(), strict=False))


def stamp(kb: model.KB) -> int:
    """Return a number of two bytes that changes with what a kb says."""
    return _stamp(_Held(kb))


class _Held:
    """A kb as the key of a cache: itself, not what it says."""

    def __init__(self, kb: model.KB) -> None:
        self.kb = kb

    def __hash__(self) -> int:
        return id(self.kb)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held) and other.kb is self.kb


@lru_cache(4)
def _stamp(held: _Held) -> int:
    text = msgspec.json.encode(msgspec.structs.replace(held.kb, places={}), order="deterministic")
    return int.from_bytes(blake2b(text, digest_size=2).digest(), "big")
