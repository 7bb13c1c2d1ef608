"""All scenes by name."""

from . import cold, drain, machine, power, stand, supply
from .scene import Scene

SCENES: dict[str, Scene] = {
    **drain.SCENES,
    **supply.SCENES,
    **stand.SCENES,
    **power.SCENES,
    **machine.SCENES,
    **cold.SCENES,
}
