"""All scenes by name."""

from . import cold, drain_hose, drains, drum, feet, fill_hoses, hot_water, machine, place, power, standpipe, taps
from .drawing import Scene

SCENES: dict[str, Scene] = {
    **standpipe.SCENES,
    **drains.SCENES,
    **drain_hose.SCENES,
    **taps.SCENES,
    **fill_hoses.SCENES,
    **hot_water.SCENES,
    **feet.SCENES,
    **place.SCENES,
    **machine.SCENES,
    **drum.SCENES,
    **power.SCENES,
    **cold.SCENES,
}
