"""`dryfloor kb migrate`: a shop's folder over the shipped kb is moved, once, and loads as before."""

import msgspec
import pytest

from dryfloor.cli.result import Exit
from dryfloor.engine.knowledge.folder import home
from dryfloor.engine.knowledge.load import load_kb

CAUSE = "causes/stand/shop-foot.yaml"


@pytest.fixture
def shop(tmp_path):
    """A shop's folder with a cause that still names answers: a copy of the foot that bears nothing, as the shop had it."""
    folder = tmp_path / "shop"
    (folder / "causes" / "stand").mkdir(parents=True)
    (folder / "kb.yaml").write_text("extends: shipped\n")
    text = (home() / "causes" / "stand" / "foot-unloaded.yaml").read_text()
    line = next(row for row in text.split("\n") if "sign: foot-bears-nothing" in row)
    told = line.replace("sign: foot-bears-nothing", "check: rocks-by-hand, answer: rocks")
    again = "  - {check: paper-under-foot, answer: slips, strength: likely}"
    head, _, _ = text.replace(line, f"{told}\n{again}").partition("\ncases:")
    cases = "".join(
        f"  - name: {name}\n    given: {{complaints: [walks]}}\n    expect: {{below: shop-foot, top: foot-unloaded}}\n"
        for name in ("one", "two")
    )
    (folder / CAUSE).write_text(f"{head.replace('per_1000: {n: ', 'per_1000: {n: 0.', 1)}\ncases:\n{cases}")
    return folder


@pytest.mark.slow  # reads the shipped kb four times; `test_migrate` of the engine moves texts alone
def test_a_shops_causes_are_moved_once_and_say_the_same(shop, run) -> None:
    before = load_kb(shop)
    done = run("kb", "migrate", str(shop))
    assert done.code == Exit.DONE, done.err
    assert CAUSE in done.out
    text = (shop / CAUSE).read_text()
    assert "  - {sign: foot-bears-nothing, strength: very likely}\n" in text
    assert "rocks-by-hand" not in text.partition("proof:")[0].partition("shows:")[2].partition("mistaken_for:")[0]
    after = load_kb(shop)
    from dryfloor.engine.knowledge.graph import sign_links

    assert sign_links(after) == sign_links(before)
    again = run("kb", "migrate", str(shop), "--json")
    assert msgspec.json.decode(again.out)["data"]["files"] == []
    assert (shop / CAUSE).read_text() == text


def test_a_folder_that_is_not_there(run, tmp_path) -> None:
    done = run("kb", "migrate", str(tmp_path / "none"))
    assert done.code == Exit.KB
    assert "K013" in done.err
