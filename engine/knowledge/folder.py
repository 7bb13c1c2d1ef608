"""Where a kb lies on disk, which files it has, and which folder it extends."""

import re
from pathlib import Path

OVERLAY = "kb.yaml"  # a shop's folder says in it what it extends
SHIPPED = "shipped"
EXTENDS = re.compile(r"^extends:[ \t]+(\S.*?)[ \t]*(?:#.*)?$", re.MULTILINE)


def home() -> Path:
    """Return the folder of the kb that comes with this package."""
    return Path(__file__).parents[2] / "kb"


def files(folder: Path) -> list[Path]:
    """Return the YAML files of a kb folder, sorted by their relative path."""
    return sorted((p for p in folder.rglob("*.y*ml") if p.is_file()), key=lambda p: p.relative_to(folder).as_posix())


def extends(folder: Path) -> str | None:
    """Return what a kb folder says that it extends: `shipped`, or a path; None where it stands alone.

    Read without YAML, for a start from the cache must not pay for that; the loader sees that both readings agree.
    """
    try:
        found = EXTENDS.search((folder / OVERLAY).read_text("utf-8"))
    except (OSError, UnicodeDecodeError):
        return None
    return found[1].strip("'\"") if found else None


def layers(folder: Path) -> list[Path]:
    """Return a kb folder, the one that it extends, the one that that extends, and so on; one that comes again ends the list.

    Examples
    --------
    >>> layers(home()) == [home()]
    True
    """
    out = [folder]
    while (said := extends(out[-1])) is not None:
        base = home() if said == SHIPPED else out[-1] / Path(said).expanduser()
        again = base.resolve() in [p.resolve() for p in out]
        out.append(base)
        if again or not base.is_dir():
            break
    return out
