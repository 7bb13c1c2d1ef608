"""The small kb, copied and spoiled: one text of one file replaced by another."""

import shutil
from pathlib import Path

from dryfloor.engine.knowledge.load import read_kb
from tests.support.places import SMALL


def copied(folder):
    """Return the path of a copy of the small kb below a folder."""
    return Path(shutil.copytree(SMALL, folder / "kb"))


def spoiled(folder, rel, old, new):
    """Return a copied kb, read again after the first `old` of one of its files became `new`; its form must still be right."""
    path = folder / rel
    text = path.read_text()
    assert old in text, old
    path.write_text(text.replace(old, new, 1))
    kb, problems = read_kb(folder)
    assert problems == []
    return kb
