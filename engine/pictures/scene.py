"""What a scene is: its words, the marks and the states that it can be asked for, and the function that draws it."""

from collections.abc import Callable
from dataclasses import dataclass

from .drawing import Drawing


@dataclass(frozen=True)
class Scene:
    """One scene.

    Parameters
    ----------
    says : str
        What is seen, without a full stop.
    draw : callable
        Takes the drawing and a state, and draws.
    states : dict
        The ways in which it can stand, each with its words; the first is the usual one.
    marks : dict
        What can be measured or looked at in it, each with its words.
    tall : float
        Room for it where it needs another height than most [px].
    """

    says: str
    draw: Callable[[Drawing, str], None]
    states: dict[str, str]
    marks: dict[str, str]
    tall: float = 0.0
