"""The compiled kb: used when its key fits, and no fault of the cache is ever more than a slower start."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import msgspec
import pytest

from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.knowledge import cache
from dryfloor.engine.knowledge.cache import FORMAT, Compiled, key_of, load_cached
from dryfloor.engine.knowledge.folder import files, home
from tests.support.places import SMALL


@pytest.fixture
def folder(tmp_path):
    """A copy of the small kb that may be changed."""
    return Path(shutil.copytree(SMALL, tmp_path / "kb"))


@pytest.fixture
def counted(monkeypatch):
    """A list that grows by one whenever the YAML is read."""
    read = []
    fresh = cache._fresh
    monkeypatch.setattr(cache, "_fresh", lambda folder: (read.append(folder), fresh(folder))[1])
    return read


def kept(folder):
    """Return the cache files of a folder."""
    return sorted(p.name for p in folder.iterdir())


def test_the_second_time_it_comes_from_the_cache_and_is_the_same(folder, tmp_path, counted):
    first = load_cached(folder, tmp_path / "c")
    second = load_cached(folder, tmp_path / "c")
    assert len(counted) == 1
    assert second == first
    assert msgspec.json.encode(second) == msgspec.json.encode(first)
    assert list(second.checks["hose-sealed"].answers) == ["taped", "loose"]  # order carries meaning
    assert kept(tmp_path / "c") == [f"kb-{key_of(folder)}.json"]


def test_the_shipped_kb_survives_the_cache(kb, tmp_path):
    load_cached(home(), tmp_path)
    assert load_cached(home(), tmp_path) == kb


def test_the_folder_is_private(folder, tmp_path):
    load_cached(folder, tmp_path / "c")
    assert (tmp_path / "c").stat().st_mode & 0o777 == 0o700


@pytest.mark.parametrize("change", ["content", "new file", "renamed", "removed"])
def test_any_change_of_the_kb_makes_it_stale(folder, tmp_path, counted, change):
    load_cached(folder, tmp_path / "c")
    old = key_of(folder)
    mill = folder / "machines" / "mill-one.yaml"
    if change == "content":
        stat = mill.stat()
        mill.write_text(mill.read_text().replace("90 in", "91 in"))
        os.utime(mill, ns=(stat.st_atime_ns, stat.st_mtime_ns))  # the clock proves nothing
    elif change == "new file":
        (folder / "machines" / "two.yaml").write_text(mill.read_text().replace("mill-one", "mill-two"))
    elif change == "renamed":
        mill.rename(folder / "machines" / "other.yaml")
    else:
        mill.unlink()
    assert key_of(folder) != old
    found = load_cached(folder, tmp_path / "c")
    assert len(counted) == 2
    assert ("mill-one" in found.machines) == (change != "removed")
    assert kept(tmp_path / "c") == [f"kb-{key_of(folder)}.json"]  # the old one is gone


def test_text_moved_from_one_file_to_the_next_changes_the_key(folder):
    a, b = folder / "machines" / "mill-one.yaml", folder / "machines" / "mill-two.yaml"
    a.write_text("ab")
    b.write_text("c")
    first = key_of(folder)
    a.write_text("a")
    b.write_text("bc")
    assert key_of(folder) != first


def test_the_key_holds_the_version_and_the_format(folder, monkeypatch):
    first = key_of(folder)
    monkeypatch.setattr(cache, "__version__", "0.0.0")
    second = key_of(folder)
    monkeypatch.setattr(cache, "FORMAT", FORMAT + 1)
    assert len({first, second, key_of(folder)}) == 3


@pytest.mark.parametrize(
    "spoil",
    [
        lambda raw: b"",
        lambda raw: raw[: len(raw) // 2],
        lambda raw: b"\x80\x04K\x01.",
        lambda raw: raw.replace(b'"checks"', b'"chekcs"', 1),
        lambda raw: b"[" * 200_000,
        lambda raw: b'{"x":' + b"[" * 200_000,
        lambda raw: b'{"key":1,"kb":2}',
        lambda raw: b"\xff" + raw,
        lambda raw: raw.replace(b'"key":"', b'"key":"0', 1),
    ],
    ids=[
        "empty",
        "cut",
        "pickle",
        "other field",
        "deep",
        "deep unknown field",
        "other types",
        "not utf-8",
        "another key",
    ],
)
def test_a_spoiled_cache_file_is_read_over_and_mended(folder, tmp_path, counted, spoil):
    good = load_cached(folder, tmp_path / "c")
    path = tmp_path / "c" / f"kb-{key_of(folder)}.json"
    path.write_bytes(spoil(path.read_bytes()))
    assert load_cached(folder, tmp_path / "c") == good
    assert len(counted) == 2
    load_cached(folder, tmp_path / "c")
    assert len(counted) == 2


def test_a_cache_file_that_says_another_key_inside_is_not_believed(folder, tmp_path, kb):
    path = tmp_path / f"kb-{key_of(folder)}.json"
    path.write_bytes(msgspec.json.encode(Compiled("0" * 40, kb)))
    assert list(load_cached(folder, tmp_path).causes) == ["hose-sealed-in", "pipe-too-low"]


@pytest.mark.parametrize("fault", ["a file in the way", "a folder in the way", "no space", "not allowed"])
def test_a_cache_that_cannot_be_written_is_no_fault(folder, tmp_path, monkeypatch, counted, fault):
    place = tmp_path / "c"
    if fault == "a file in the way":
        place.write_text("")
    elif fault == "a folder in the way":
        (place / f"kb-{key_of(folder)}.json").mkdir(parents=True)
    elif fault == "no space":
        monkeypatch.setattr(
            cache.os, "replace", lambda *a: (_ for _ in ()).throw(OSError(28, "No space left on device"))
        )
    else:
        monkeypatch.setattr(
            cache.tempfile, "mkstemp", lambda **k: (_ for _ in ()).throw(PermissionError(13, "Permission denied"))
        )
    for _ in range(2):
        assert load_cached(folder, place).causes
    assert len(counted) == 2
    if place.is_dir():
        assert not [n for n in kept(place) if n.startswith(".kb-")]  # no litter


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="the superuser may write everywhere")
def test_a_read_only_home(folder, tmp_path):
    place = tmp_path / "c"
    place.mkdir()
    place.chmod(0o500)
    assert load_cached(folder, place).causes
    assert kept(place) == []


def test_without_a_cache_folder_nothing_is_written(folder, tmp_path, counted):
    before = sorted(tmp_path.rglob("*"))
    load_cached(folder, None)
    load_cached(folder, None)
    assert len(counted) == 2
    assert sorted(tmp_path.rglob("*")) == before


def test_a_bad_kb_is_refused_and_never_cached(folder, tmp_path):
    (folder / "facts.yaml").write_text("- {")
    for _ in range(2):
        with pytest.raises(InvalidInputError):
            load_cached(folder, tmp_path / "c")
    assert not (tmp_path / "c").exists()


def test_a_missing_folder_is_refused(tmp_path):
    with pytest.raises(InvalidInputError) as caught:
        load_cached(tmp_path / "none", tmp_path / "c")
    assert caught.value.problems[0].code == "K013"


def test_files_are_all_yaml_files_in_one_order(folder):
    (folder / "README.md").write_text("x")
    names = [p.relative_to(folder).as_posix() for p in files(folder)]
    assert names == sorted(names)
    assert "causes/drain/pipe-too-low.yaml" in names
    assert "README.md" not in names


IMPORTS = """
import sys
from pathlib import Path
from dryfloor.engine.knowledge.cache import load_cached
kb = load_cached(Path(sys.argv[1]), Path(sys.argv[2]))
print(len(kb.causes), *sorted({"yaml", "networkx", "numpy", "prompt_toolkit", "rapidfuzz"} & set(sys.modules)))
"""


def test_a_hit_imports_no_yaml_and_nothing_heavy(folder, tmp_path):
    def start():
        done = subprocess.run(
            [sys.executable, "-c", IMPORTS, folder, tmp_path / "c"],
            capture_output=True,
            text=True,
            check=True,
            env=os.environ | {"PYTHONPATH": str(home().parent.parent)},
        )
        return done.stdout.split()

    assert start() == ["2", "yaml"]  # the first time it must be read
    assert start() == ["2"]
