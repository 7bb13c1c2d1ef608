"""The compiled kb: JSON keyed by the content of every kb file, so that a walk starts without reading YAML.

The key covers all bytes, the package's version, the format's number and the hearer's weights; any fault of the cache means reading the YAML. No
pickle: a cache file can say something wrong, but it can't run anything.
"""

import hashlib
import os
import tempfile
from pathlib import Path

import msgspec

from ... import __version__
from .. import model
from .folder import files, home, layers

HEARING = Path(__file__).parents[1] / "language" / "data" / "hearing.json"  # what is said of the hearer's weights
FORMAT = 4


class Compiled(msgspec.Struct, frozen=True):
    """What a cache file holds: its own key, and the kb."""

    key: str
    kb: model.KB


def hearing_key(manifest: Path = HEARING) -> str:
    """Return the hash of the hearer's weights, read without them; an empty text where there are none.

    Examples
    --------
    >>> len(hearing_key())
    40
    """
    try:
        return str(msgspec.json.decode(manifest.read_bytes())["key"])
    except (OSError, msgspec.DecodeError, UnicodeDecodeError, KeyError):
        return ""


def key_of(folder: Path) -> str:
    """Return the key of a kb folder: a hash over every file's name and bytes, its own and those of what it extends.

    It names the hearer's weights too: what was learnt belongs to the phrases that it was learnt from.
    """
    digest = hashlib.blake2b(f"{FORMAT} {__version__} {hearing_key()}".encode(), digest_size=20)
    for depth, layer in enumerate(layers(folder)):
        for path in files(layer):
            raw = path.read_bytes()
            digest.update(f"\0{depth}\0{path.relative_to(layer).as_posix()}\0{len(raw)}\0".encode())
            digest.update(raw)
    return digest.hexdigest()


def load_cached(folder: Path | None = None, cache: Path | None = None) -> model.KB:
    """Return the kb of a folder, from the cache where its key fits.

    Parameters
    ----------
    folder : Path, optional
        The shipped kb unless said.
    cache : Path, optional
        Folder for compiled kbs; none: read the YAML.

    Raises
    ------
    InvalidInputError
        As `load.load_kb`.
    """
    folder = folder or home()
    if cache is None or not folder.is_dir():
        return _fresh(folder)
    try:
        key = key_of(folder)
    except OSError:
        return _fresh(folder)
    path = cache / f"kb-{key}.json"
    try:
        found = msgspec.json.decode(path.read_bytes(), type=Compiled)
        if found.key == key:
            return found.kb
    except (OSError, msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        pass
    kb = _fresh(folder)
    _keep(path, Compiled(key, kb))
    return kb


def _fresh(folder: Path) -> model.KB:
    from .load import load_kb

    return load_kb(folder)


def _keep(path: Path, compiled: Compiled) -> None:
    """Write the cache file whole or not at all; a cache that can't be written is no fault."""
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle, temp = tempfile.mkstemp(dir=path.parent, prefix=".kb-")
        try:
            with os.fdopen(handle, "wb") as out:
                out.write(msgspec.json.encode(compiled))
            os.replace(temp, path)
        except OSError:
            os.unlink(temp)
            raise
        for old in path.parent.glob("kb-*.json"):
            if old != path:
                old.unlink(missing_ok=True)
    except OSError:
        return
