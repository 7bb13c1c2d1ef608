"""Every public function and record of the physics says what it takes, in which unit, and shows an example that runs."""

import doctest
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from types import ModuleType

import pytest

from dryfloor.engine import physics

UNIT = re.compile(r"\[([^\[\]]+)\]")
# A name that ends in one of these, and not in a compound such as kg_m3 or ohm_per_m, names its unit: both must agree.
ENDINGS = {
    "m": {"m"}, "m2": {"m^2", "m2", "m²"}, "m3": {"m^3", "m3", "m³"}, "m3s": {"m^3/s"}, "ms": {"m/s"},
    "Pa": {"Pa"}, "s": {"s"}, "V": {"V"}, "A": {"A"}, "W": {"W"}, "kg": {"kg"}, "kgm3": {"kg/m^3"},
}  # fmt: skip
COMPOUND = re.compile(r"_(per|ohm|kg|mK|m|m2|m3|N|J|W|Pa)_\w+$")


def modules() -> list[ModuleType]:
    names = [m.name for m in pkgutil.walk_packages(physics.__path__, f"{physics.__name__}.") if not m.ispkg]
    return [importlib.import_module(name) for name in sorted(names)]


def public(module: ModuleType) -> Iterator[tuple[str, Callable[..., object]]]:
    """What a module defines itself; re-exports are looked at where they are defined."""
    for name, thing in vars(module).items():
        ours = getattr(thing, "__module__", None) == module.__name__ and not name.startswith("_")
        if ours and (inspect.isfunction(thing) or inspect.isclass(thing)):
            yield name, thing


FUNCTIONS = [
    pytest.param(thing, id=f"{module.__name__.rpartition('.')[2]}.{name}")
    for module in modules()
    for name, thing in public(module)
    if inspect.isfunction(thing)
]


def section(docstring: str, title: str) -> str:
    """The text under one title of a docstring, without its indentation."""
    found = re.search(rf"^{title}\n-+\n(.*?)(?=^\w[^\n]*\n-+\n|\Z)", inspect.cleandoc(docstring), re.M | re.S)
    return found.group(1) if found else ""


def entries(text: str) -> dict[str, str]:
    """Parameter -> everything said of it; two names may share one entry."""
    said: dict[str, str] = {}
    for head, body in re.findall(r"^(\S[^\n]*)\n((?:[ \t]+[^\n]*\n?|\n)*)", text + "\n", re.M):
        for name in head.partition(":")[0].split(","):
            said[name.strip().lstrip("*")] = head + "\n" + body
    return said


def unit_faults(thing: Callable[..., object]) -> list[str]:
    """What is wrong with the parameters' units, in words."""
    said = entries(section(thing.__doc__ or "", "Parameters"))
    faults = []
    for name in inspect.signature(thing).parameters:
        units = UNIT.findall(said.get(name, ""))
        ending = name.rpartition("_")[2] if "_" in name and not COMPOUND.search("_" + name) else ""
        if name not in said:
            faults.append(f"{name}: not documented")
        elif not units:
            faults.append(f"{name}: found no [unit]; write [-] for none")
        elif ending in ENDINGS and not ENDINGS[ending] & set(units):
            faults.append(f"{name}: found [{units[-1]}], expected [{min(ENDINGS[ending])}] by its name")
    return faults


@pytest.mark.parametrize("thing", FUNCTIONS)
def test_every_parameter_has_a_bracketed_unit(thing: Callable[..., object]) -> None:
    assert not unit_faults(thing)


@pytest.mark.parametrize("thing", FUNCTIONS)
def test_returns_and_example(thing: Callable[..., object]) -> None:
    docstring = thing.__doc__ or ""
    assert UNIT.search(section(docstring, "Returns")), "Returns: found no [unit]"
    assert ">>>" in section(docstring, "Examples"), "Examples: found none"


def test_every_field_of_a_record_has_a_bracketed_unit() -> None:
    faults = []
    for module in modules():
        for name, thing in public(module):
            if not (inspect.isclass(thing) and hasattr(thing, "_fields")):
                continue
            text = inspect.cleandoc(thing.__doc__ or "")
            said = entries(section(text, "Parameters"))
            for field in thing._fields:
                # A short record may say its fields in one sentence: "minute_s [s], side [-]".
                if field in said and not UNIT.search(said[field]):
                    faults.append(f"{module.__name__}.{name}.{field}: found no [unit]")
                elif field not in said and not UNIT.search(text):
                    faults.append(f"{module.__name__}.{name}.{field}: not documented")
    assert not faults


@pytest.mark.parametrize("module", modules(), ids=lambda m: m.__name__.rpartition(".")[2])
def test_examples_run(module: ModuleType) -> None:
    result = doctest.testmod(module)
    assert result.failed == 0


def test_the_walk_would_notice() -> None:
    def sloppy(depth_m: float, flow_m3s: float, kind: str) -> float:
        """Do something.

        Parameters
        ----------
        depth_m : float
            Depth [in].
        flow_m3s : float
            Flow.
        """
        return depth_m * flow_m3s * len(kind)

    assert unit_faults(sloppy) == [
        "depth_m: found [in], expected [m] by its name",
        "flow_m3s: found no [unit]; write [-] for none",
        "kind: not documented",
    ]
    assert FUNCTIONS
