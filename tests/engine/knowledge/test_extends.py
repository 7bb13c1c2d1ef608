"""A shop's kb over another one: what it adds, what it replaces, and every way in which the two can clash."""

import shutil

import msgspec
import pytest

from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.knowledge.cache import key_of, load_cached
from dryfloor.engine.knowledge.folder import home, layers
from dryfloor.engine.knowledge.load import load_kb, read_kb
from tests.support.places import SMALL

PART = "- {title: a length of pipe, id: pipe, price: {n: 25, basis: judgement}}\n"
LOW = "causes/drain/pipe-too-low.yaml"


@pytest.fixture
def shop(tmp_path):
    """A function that writes a shop's folder beside a copy of the small kb, and returns it."""
    shutil.copytree(SMALL, tmp_path / "base")

    def make(kb_yaml="extends: ../base\n", name="shop", **texts):
        folder = tmp_path / name
        folder.mkdir(exist_ok=True)
        (folder / "kb.yaml").write_text(kb_yaml)
        for rel, text in texts.items():
            path = folder / rel.replace("__", "/").replace("-yaml", ".yaml")
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text)
        return folder

    return make


def codes(folder):
    kb, problems = read_kb(folder)
    assert (kb is None) == bool(problems)
    return [p.code for p in problems]


def test_a_folder_with_nothing_but_extends_is_the_other_kb(shop):
    ours, theirs = load_kb(shop()), load_kb(SMALL)
    assert msgspec.structs.replace(ours, places={}) == msgspec.structs.replace(theirs, places={})


def test_the_shipped_kb_by_its_name(shop, kb):
    added = "- {title: shop hose, id: shop-hose, price: {n: 30, basis: judgement}}\n"
    found = load_kb(shop("extends: shipped   # ours\n", **{"parts-yaml": added}))
    assert set(found.parts) == {*kb.parts, "shop-hose"}
    assert set(found.causes) == set(kb.causes)
    assert found.places["parts/shop-hose"] == "shop/parts.yaml:1"


def test_an_entry_is_added_and_may_name_theirs(shop):
    cause = (
        (SMALL / LOW)
        .read_text()
        .replace("title: Pipe too low", "title: Pipe sagging")
        .replace("top: pipe-too-low", "top: hose-sealed-in")
    )
    cause = cause.replace(", at_least: 0.5", "").replace(", below: pipe-too-low", "")
    found = load_kb(
        shop(**{f"{LOW.replace('pipe-too-low', 'pipe-sagging').replace('/', '__').replace('.yaml', '-yaml')}": cause})
    )
    assert sorted(found.causes) == ["hose-sealed-in", "pipe-sagging", "pipe-too-low"]
    assert found.causes["pipe-sagging"].breaks.rule == "pipe-height"


def test_an_entry_is_replaced_whole(shop):
    found = load_kb(shop("extends: ../base\nreplaces: [pipe]\n", **{"parts-yaml": PART}))
    assert found.parts["pipe"].price.n == 25
    assert found.places["parts/pipe"] == "shop/parts.yaml:1"
    text = (SMALL / LOW).read_text().replace("minutes: 45", "minutes: 90")
    found = load_kb(shop("extends: ../base\nreplaces:\n  - pipe\n  - pipe-too-low\n", **{LOW.replace("/", "__"): text}))
    assert found.causes["pipe-too-low"].remedy.minutes == 90


def test_one_id_of_two_kinds_replaces_the_kind_that_is_here(shop):
    """The rule and the check of one id: only the check stands in the shop's folder."""
    text = (
        (SMALL / "checks/drain.yaml")
        .read_text()
        .partition("- title: Hose")[0]
        .replace("technician: 1}", "technician: 2}")
    )
    found = load_kb(shop("extends: ../base\nreplaces: [pipe-height]\n", **{"checks/drain.yaml": text}))
    assert found.checks["pipe-height"].minutes.technician == 2
    assert found.rules["pipe-height"].min == "39 in"


def test_roles_are_replaced_as_a_file(shop):
    text = (SMALL / "roles.yaml").read_text().replace("hand_on_fee: {n: 90", "hand_on_fee: {n: 55")
    assert codes(shop(**{"roles.yaml": text})) == ["K016"]
    found = load_kb(shop("extends: ../base\nreplaces: [roles]\n"))
    assert next(r for r in found.roles.roles if r.id == "homeowner").hand_on_fee.n == 55


def test_decoys_and_machines_come_on_top(shop):
    decoy = "- {name: ours, complaint: wet, role: homeowner}\n"
    found = load_kb(shop(**{"decoys.yaml": decoy}))
    assert [d.name for d in found.decoys] == ["a sound drain", "ours"]


def test_a_folder_over_a_folder_over_a_folder(shop):
    shop("extends: ../base\nreplaces: [pipe]\n", **{"parts.yaml": PART})
    top = shop("extends: ../shop\nreplaces: [pipe]\n", "van", **{"parts.yaml": PART.replace("25", "40")})
    assert load_kb(top).parts["pipe"].price.n == 40
    assert [p.name for p in layers(top)] == ["van", "shop", "base"]


# kb.yaml; another file of the shop; code; where; what the message must say
CLASHES = [
    ("extends: ../base\n", ("parts.yaml", PART), "K016", "shop/parts.yaml:1", "base/parts.yaml:1"),
    ("extends: ../base\nreplaces: [pip]\n", None, "K017", "shop/kb.yaml:2", "nearest: pipe"),
    ("extends: ../base\nreplaces: [pipe]\n", None, "K018", "shop/kb.yaml:2", "no entry of that id"),
    ("extends: ../bose\n", None, "K013", "shop/kb.yaml:1", "nearest: base"),
    ("extends: ../shop\n", None, "K015", "shop/kb.yaml:1", "circle"),
    ("{extends: ../base}\n", None, "K019", "shop/kb.yaml:1", "extends: ../base"),
    ("replaces: [pipe]\n", None, "K003", "shop/kb.yaml:1", "'extends' is missing"),
    ("extends: ../base\nreplace: [pipe]\n", None, "K001", "shop/kb.yaml:2", "nearest: replaces"),
    ("extends: [a\n", None, "Y001", "shop/kb.yaml", "not YAML"),
    ("extends: ../base\n", ("parts.yaml", "- {title: x, id: new, price: 3}\n"), "K002", "shop/parts.yaml:1", "price"),
    ("extends: ../base\n", ("parts.yml", PART), "K010", "shop/parts.yml", "no kb file has this place"),
]


@pytest.mark.parametrize(
    ("kb_yaml", "other", "code", "place", "says"), CLASHES, ids=[f"{c[2]}-{n}" for n, c in enumerate(CLASHES)]
)
def test_each_clash_is_said_once_with_its_place(shop, kb_yaml, other, code, place, says):
    folder = shop(kb_yaml, **dict([other] if other else []))
    kb, problems = read_kb(folder)
    assert kb is None
    assert [p.code for p in problems] == [code], [p.lines() for p in problems]
    text = "\n".join(problems[0].lines())
    assert text.startswith(place), text
    assert says in text
    assert problems[0].mend


def test_two_folders_that_extend_each_other(shop):
    shop("extends: ../b\n", "a")
    folder = shop("extends: ../a\n", "b")
    assert codes(folder) == ["K015"]
    assert len(key_of(folder)) == 40  # and the cache's key does not run for ever


def test_their_mistakes_are_said_with_ours(shop, tmp_path):
    folder = shop(**{"parts.yaml": PART})
    (tmp_path / "base" / "facts.yaml").write_text("- {")
    assert set(codes(folder)) == {"K016", "Y001"}


def test_folders_of_one_name_are_told_apart(tmp_path):
    for place in ("ours", "theirs"):
        (tmp_path / place).mkdir()
    shutil.copytree(SMALL, tmp_path / "theirs" / "kb")
    (tmp_path / "ours" / "kb").mkdir()
    (tmp_path / "ours" / "kb" / "kb.yaml").write_text("extends: ../../theirs/kb\n")
    (tmp_path / "ours" / "kb" / "parts.yaml").write_text(PART)
    problem = read_kb(tmp_path / "ours" / "kb")[1][0]
    assert (problem.file, "theirs/kb/parts.yaml:1" in problem.message) == ("kb/parts.yaml", True)


@pytest.mark.parametrize("changed", ["base/facts.yaml", "shop/parts.yaml", "shop/kb.yaml"])
def test_the_cache_key_covers_both_folders(shop, tmp_path, changed):
    folder = shop("extends: ../base\nreplaces: [pipe]\n", **{"parts.yaml": PART})
    load_cached(folder, tmp_path / "c")
    before = key_of(folder)
    path = tmp_path / changed
    path.write_text(path.read_text() + "# a note\n")
    assert key_of(folder) != before
    assert load_cached(folder, tmp_path / "c") == load_kb(folder)


def test_the_key_tells_a_file_of_ours_from_one_of_theirs(shop, tmp_path):
    folder = shop("extends: ../base\nreplaces: [pipe]\n", **{"parts.yaml": PART})
    before = key_of(folder)
    (folder / "parts.yaml").rename(tmp_path / "kept")
    (tmp_path / "base" / "parts.yaml").write_text(PART)
    assert key_of(folder) != before


def test_a_hit_is_the_same_kb(shop, tmp_path):
    folder = shop("extends: ../base\nreplaces: [pipe]\n", **{"parts.yaml": PART})
    first = load_cached(folder, tmp_path / "c")
    assert load_cached(folder, tmp_path / "c") == first == load_kb(folder)


def test_a_kb_without_kb_yaml_stands_alone():
    assert layers(SMALL) == [SMALL]
    assert layers(home()) == [home()]


def test_every_command_takes_the_shops_kb(shop, run):
    folder = str(shop("extends: ../base\nreplaces: [pipe]\n", **{"parts.yaml": PART}))
    case = "{role: technician, complaints: [wet], cleared: [flood]}"
    for argv in (
        ["hear", "it leaks"],
        ["advise", "-"],
        ["rule", "pipe-height"],
        ["survey", "--blank"],
        ["kb", "check"],
        ["kb", "schema"],
        ["kb", "draw", "wet"],
        ["kb", "try", "pipe-too-low"],
        ["walk", "--say", "puddle"],
    ):
        done = run(*argv, "--kb", folder, typed=case if argv[0] == "advise" else "")
        assert done.code in (0, 1), (argv, done.err)
        assert "Traceback" not in done.err
    bad = str(shop("extends: ../bose\n"))
    for argv in (["hear", "it leaks"], ["advise", "-"], ["kb", "check"], ["kb", "try", "pipe-too-low"], ["walk"]):
        done = run(*argv, "--kb", bad, typed=case)
        assert (done.code, "nearest: base" in done.err) == (4, True), (argv, done.err)


def test_a_missing_folder_is_refused(shop):
    with pytest.raises(InvalidInputError) as caught:
        load_kb(shop("extends: /nowhere/at/all\n"))
    assert caught.value.kb
