"""What installation a drill is to have: the order of one, checked."""

from .. import model
from ..advice import Frozen
from ..errors import InvalidInputError, Problem, nearest, one_of
from ..knowledge.graph import family_of as family_of  # told of here, too

MOST_SEED = 2**32 - 1
MOST_FAULTS = 2
LEAST_MINUTES, MOST_MINUTES, MINUTES = 1.0, 240.0, 30.0


class Order(Frozen, frozen=True, kw_only=True):
    """What installation a drill is to have; the same order is the same installation.

    `fault` is a cause that must be at work and `family` the folder of one that may be; `faults` how many there are, drawn where it is
    None; `minutes` those that the pupil has for looking [min].
    """

    seed: int = 0
    fault: str = ""
    family: str = ""
    role: model.Role = "technician"
    minutes: float = MINUTES
    faults: int | None = None


def families(kb: model.KB) -> list[str]:
    """Return the families that faults are kept in, sorted: the folders of the kb's causes."""
    return sorted({family_of(kb, c) for c in kb.causes})


def check_order(kb: model.KB, order: Order) -> Order:
    """Return an order that can be followed.

    Raises
    ------
    InvalidInputError
        With every mistake in it and the nearest that is known.
    """
    wrong: list[Problem] = []

    def refuse(message: str, expected: str, near: str = "", mend: str = "name one of them") -> None:
        wrong.append(Problem(code="D001", message=message, expected=expected, nearest=near, mend=mend))

    if order.fault and order.fault not in kb.causes:
        refuse(
            f"unknown fault '{order.fault}'",
            "the id of a cause",
            nearest(order.fault, kb.causes),
            "dryfloor kb page -o DIR lists them",
        )
    if order.family and order.family not in families(kb):
        refuse(f"unknown family '{order.family}'", one_of(families(kb)), nearest(order.family, families(kb)))
    if order.role not in ("homeowner", "desk", "technician"):
        refuse(
            f"unknown role '{order.role}'",
            "homeowner, desk or technician",
            nearest(order.role, ("homeowner", "desk", "technician")),
        )
    if not 0 <= order.seed <= MOST_SEED:
        refuse(f"--seed is {order.seed}", f"0 to {MOST_SEED}", mend="choose a number in that range")
    if not LEAST_MINUTES <= order.minutes <= MOST_MINUTES:
        refuse(
            f"--minutes is {order.minutes:g}",
            f"{LEAST_MINUTES:g} to {MOST_MINUTES:g}",
            mend="choose a number in that range",
        )
    if order.faults is not None and not 0 <= order.faults <= MOST_FAULTS:
        refuse(f"--faults is {order.faults}", f"0 to {MOST_FAULTS}", mend="choose 0 (a sound installation), 1 or 2")
    fault = kb.causes.get(order.fault)
    if fault and order.faults == 0 and fault.kind != "normal":
        refuse(
            f"--fault {order.fault} with --faults 0", "a sound installation has no fault", mend="leave one of them out"
        )
    if fault and fault.kind == "normal" and order.faults:
        refuse(
            f"'{order.fault}' is healthy behaviour, no fault",
            "--faults 0 beside it",
            mend="leave --faults out, or write 0",
        )
    if fault and order.family and family_of(kb, order.fault) != order.family:
        refuse(
            f"'{order.fault}' is not of the family '{order.family}'",
            family_of(kb, order.fault),
            mend="leave one of them out",
        )
    if wrong:
        raise InvalidInputError(wrong)
    return order
