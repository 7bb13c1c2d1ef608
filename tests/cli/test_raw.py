"""Nothing raw on a terminal or a page: every record, error and argument with characters that would be obeyed, through every command."""

import json
import shutil
from pathlib import Path
from urllib.parse import quote

import pytest

from dryfloor.cli.arguments import CASE_EXAMPLES, EXAMPLES
from dryfloor.cli.store import carried_file
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.case_file import dump, load_case
from dryfloor.engine.case.events import Event
from tests.support.places import SHEETS, SMALL
from tests.support.raw import NASTY, raw, tainted
from tests.support.telling import BOOKED, MENDED

WALK = "it hops about\nyes\nnone\nstopped\nwhy\nhelp\n1\n\n2\nlist\nchange\n1\n1\nnote x%s\nnotes\nskip\ncan't\n%s\nalso %s\nback\n"


@pytest.fixture(scope="module")
def nasty_kb(kb):
    """The shipped kb with the characters in every sentence of it."""
    made = tainted(kb)
    assert sum(NASTY in str(r) or "\\x1b" in repr(r) for r in made.checks.values()) > 50
    return made


@pytest.fixture
def store(tmp_path):
    """A store with two cases whose words, notes, reference and reasons are hostile."""
    path = tmp_path / "nasty.db"
    words = Event(heard=f"it {NASTY} hops", complaints=["walks"])
    with Store.open(path) as kept:
        first = kept.begin(f"Alder {NASTY} 4")
        for event in (MENDED[0], words, *MENDED[3:-2], Event(note=f"a {NASTY} note")):
            kept.add(first, event)
        second = kept.begin(earlier=first)
        for event in (*BOOKED, Event(note=NASTY), Event(closed="handed-on", why=f"be {NASTY} cause")):
            kept.add(second, event)
    return str(path), first, second


def lines(tmp_path, store):
    """Every command, on records that are hostile: (its name, arguments, what is typed)."""
    path, first, second = store
    case = tmp_path / "case.yaml"
    case.write_text(dump([*BOOKED, Event(note=NASTY)]))
    mended = tmp_path / "mended.yaml"
    mended.write_text(dump(MENDED))
    sheet = tmp_path / "sheet.yaml"
    sheet.write_text((SHEETS / "sound.yaml").read_text().replace("Alder Lane 4", "Alder " + json.dumps(NASTY)[1:-1]))
    carried = tmp_path / "carried.cases"
    with Store.open(Path(path)) as kept:
        carried.write_text("\n".join([*carried_file.lines([kept.record(first), kept.record(second)]), NASTY]))
    sent = ["--store", path]
    typed = WALK % (NASTY, NASTY, NASTY)
    yield "walk", ["--store", ":memory:"], typed
    yield "walk", ["--store", ":memory:", "--role", "technician", "--machine", "brook-front-loader"], typed
    yield "walk", sent, "yes\n" + typed
    yield "resume", [second, "--role", "technician", *sent], "dry\nwhy\nlist\n"
    yield "hear", ["it hops about and runs out while it fills, it is new"], ""
    for name in ("advise", "handover", "bring", "report"):
        for about in ([str(case)], [str(mended)], [first, *sent], [second, *sent]):
            yield name, about, ""
    yield "report", [str(mended), "--for", "technician", "--date", NASTY], ""
    for end in (".html", ".md", ".json"):
        yield "report", [str(mended), "-o", str(tmp_path / f"out{end}")], ""
    yield "survey", [str(sheet), "--html", str(tmp_path / "sheet.html")], ""
    yield "survey", ["--blank"], ""
    yield "survey", [], f"1\n{NASTY}\nskip\n"
    yield "rule", [], ""
    yield "rule", ["standpipe-height", "--machine", "brook-front-loader"], ""
    yield "reckon", [], ""
    yield "completion", ["bash"], ""
    round_ = f"help\nnotes\n{NASTY}\nlist hose\nsafe {NASTY}\nsafe floor and plug dry\n1\nverdict {NASTY}\nback\nverdict hose\n1\nhose\n1\n{NASTY}\n\n{NASTY}\nme\n{NASTY}\nleave\n"
    yield (
        "drill",
        ["--seed", "3", "--fault", "standpipe-too-low", "--class", str(tmp_path / "class.csv"), "--pupil", NASTY],
        round_,
    )
    yield "drill", ["--seed", "3", "--fault", "standpipe-too-low", "--answer"], ""
    yield "quiz", ["--seed", "3", "--count", "3"], f"{NASTY}\n\n\n\n"
    yield "cards", [], ""
    yield "cards", ["-o", str(tmp_path / "cards.html")], ""
    yield "cases", sent, ""
    yield "learn", ["-o", str(tmp_path / "numbers"), *sent], ""
    yield "month", sent, ""
    for end in (".html", ".md", ".csv"):
        yield "month", ["-o", str(tmp_path / f"month{end}"), *sent], ""
    for name in ("show", "export"):
        yield name, [second, *sent], ""
    yield "export", [second, "-o", str(tmp_path / "exported.yaml"), *sent], ""
    yield "note", [second, NASTY + "x", *sent], ""
    yield "take", [second, "--as", f"x{NASTY}"[:20], *sent], ""
    yield "ring-back", [second, "--at", "16:00", *sent], ""
    yield "waits", [second, "--for", "part", *sent], ""
    yield "soon", [second, *sent], ""
    yield "queue", sent, ""
    yield "give-back", [second, *sent], ""
    yield "outcome", [second, f"x{NASTY}", "--by", "plumber", *sent], ""
    yield "export", ["--all", *sent], ""
    yield "import", [str(carried)], ""
    yield "move", ["--from", path, "--to", str(tmp_path / "moved.db")], ""
    yield "forget", [first, *sent], f"{NASTY}\n"
    yield "close", [first, "--as", "given-up", "--why", f"x{NASTY}", *sent], ""
    shop = shutil.copytree(SMALL, tmp_path / "shop")
    hostile = json.dumps(NASTY)
    (shop / "parts.yaml").write_text(f"- {{id: x, title: {hostile}, {hostile}: 1}}\n- {{id: {hostile}}}\n")
    yield "kb check", ["--kb", str(shop)], ""
    yield "kb schema", [], ""
    yield "kb figures", ["--quick", "--role", "desk"], ""
    yield "kb draw", ["walks"], ""
    for end in (".svg", ".dot", ".graphml", ".md"):
        yield "kb draw", ["walks", "-o", str(tmp_path / f"drawn{end}")], ""
    yield "kb page", ["-o", str(tmp_path / "pages")], ""
    yield "kb picture", ["-o", str(tmp_path / "foot.svg"), "check-paper-under-foot"], ""
    yield "kb try", ["standpipe-too-low"], ""
    yield "kb migrate", [str(shop)], ""


def written(folder):
    for path in folder.rglob("*"):
        if path.suffix in (".html", ".md", ".json", ".svg", ".dot", ".graphml", ".csv") or path.name == "exported.yaml":
            yield path.name, path.read_text(encoding="utf-8")


@pytest.fixture
def few_sites(monkeypatch):
    """Figures of one complaint's one site: a table of every kind, and not what it takes to play sixteen."""
    from dryfloor.engine.evaluation import metrics

    drawn = metrics.installations_of
    monkeypatch.setattr(metrics, "installations_of", lambda network, _, __, seed: drawn(network, ["walks"], 1, seed))


@pytest.mark.slow
def test_the_figures_of_all_complaints_and_a_check_of_all_the_kb(run, nasty_kb, monkeypatch):
    monkeypatch.setattr("dryfloor.engine.knowledge.cache.load_cached", lambda *_: nasty_kb)
    for line in ("kb check", "kb figures --quick --role desk"):
        done = run(*line.split())
        assert done.code == 0
        assert (raw(done.out), raw(done.err)) == ([], [])


STYLES = ({}, {"FORCE_COLOR": "1"}, {"json": True})
# They take long, or change what is kept: in one style.
ONCE = ("kb figures", "kb check", "kb page", "kb try", "survey", "forget", "close", "outcome")


@pytest.mark.usefixtures("few_sites")
@pytest.mark.parametrize("styles", [1, pytest.param(len(STYLES), marks=pytest.mark.slow)])
def test_every_record_through_every_command(run, tmp_path, store, nasty_kb, monkeypatch, styles):
    """In the quick run each line in one style, by turns; in the slow one in all."""
    from dryfloor.engine.knowledge import cache

    monkeypatch.setattr(cache, "load_cached", lambda *_: nasty_kb)
    seen, shown = set(), 0
    for n, (name, more, typed) in enumerate(lines(tmp_path, store)):
        seen.add(name.split()[-1])
        turns = [STYLES[(n + k) % len(STYLES)] for k in range(styles)]
        for style in STYLES[:1] if name in ONCE else turns:
            flag = ["--json"] if style.get("json") else []
            environ = {k: v for k, v in style.items() if k != "json"}
            done = run(*name.split(), *more, *flag, typed=typed, **environ)
            assert done.code != 3, (name, more, done.err)
            assert name != "kb check" or (done.code == 4 and "[U+202E]" in done.err)
            found = raw(done.out, painted=bool(environ)), raw(done.err)
            assert found == ([], []), (name, more, style)
            shown += done.out.count("[U+001B]") + done.out.count("\\u001b")
    assert seen == set(EXAMPLES) - {"serve"}
    assert shown > 200 * styles  # they did come that far
    for name, text in written(tmp_path):
        assert raw(text) == [], name
    assert "[U+202E]" in (tmp_path / "sheet.html").read_text()
    exported = load_case(nasty_kb, tmp_path / "exported.yaml")
    assert NASTY in [e.note for e in exported]  # what is kept stays what was said


ARGUMENTS = [
    "outcome K7M3R4 {0}", "import {0}", "move --from {0}/x --to {0}/y",
    "{0}", "--{0}", "walk --role {0}", "walk --machine {0}", "walk --reference {0} --store :memory:", "walk --after {0}", "walk --store {0}/x/y", "walk --cleared {0}",
    "walk --case {0}/x", "walk --units {0}", "hear {0}", "hear {0} --kb {0}", "advise {0}", "advise {0} --store {0}", "advise - --cleared {0}", "handover {0} --role {0}",
    "bring {0}", "report {0} --for {0}", "report {0} -o {0}", "survey {0}", "survey --role {0}", "survey --machine {0}", "rule {0}", "rule --machine {0}", "reckon {0}",
    "reckon standpipe-overflow --with {0}", "reckon standpipe-overflow --with {0}=2", "reckon standpipe-overflow --with bore={0}", "completion {0}", "cases --state {0}",
    "cases --cause {0}", "cases --since {0}", "cases --who {0}", "cases --csv {0}/x", "queue --as {0} --next", "queue --store {0}/x/y", "take {0} --as {0}",
    "give-back {0}", "ring-back {0} --at {0}", "waits {0} --for {0}", "soon {0} --as {0}",
    "learn {0}", "learn --store {0}/x/y", "learn -o {0} --scheduler {0}", "month --of {0}", "month -o {0}", "month --store {0}/x/y",
    "drill --fault {0}", "drill --family {0}", "drill --role {0}", "drill --open {0}", "drill --seed 3 --pupil {0} --class {0}/x", "drill --seed 3 --deck {0}/x", "quiz --area {0}",
    "quiz --deck {0}/x", "cards --area {0}", "cards -o {0}/cards.html",
    "cases --complaint {0}", "cases --cause {0}", "cases --since {0}", "cases --who {0}", "cases --csv {0}/x", "cases --text {0}",
    "cases --older {0}", "show {0}", "resume {0}", "note {0} {0}", "export {0}", "forget {0}", "close {0} --as {0} --why {0}",
    "serve --port {0}", "serve --host {0} --port 0", "serve --proxy {0}", "serve --key-file {0}", "serve --desk-token-file {0}", "serve --most-kept {0}", "kb {0}",
    "kb check --kb {0}", "kb draw {0}", "kb draw walks -o {0}",
    "kb picture {0}", "rule standpipe-height --picture {0}/x", "kb figures --role {0}", "kb try {0}", "kb try standpipe-too-low --complaint {0}", "kb try x --seed {0}", "kb migrate {0}",
]  # fmt: skip


@pytest.mark.parametrize("line", ARGUMENTS)
def test_every_argument_is_repeated_printable(run, line, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)  # some of them are names of files
    for word in (NASTY, "walks" + NASTY, "\udcff\udc80" + NASTY):
        for flag in ([], ["--json"]):
            done = run(*(part.format(word) for part in line.split()), *flag, FORCE_COLOR="1")
            assert done.code != 3, done.err
            assert (raw(done.out, painted=not flag), raw(done.err)) == ([], [])


def test_every_command_has_an_argument_in_the_test_above():
    assert {line.split()[0] for line in ARGUMENTS} >= {"walk", "kb", *EXAMPLES} - {"check", "schema", "figures", "draw", "picture", "page", "try", "migrate"}  # fmt: skip
    assert set(CASE_EXAMPLES) <= {line.split()[0] for line in ARGUMENTS}


WRONG = [
    '{"%s": 1}', "%s: {a: b}", '{"role": "%s"}', '{"complaints": ["%s"]}', '{"facts": {"%s": "x"}}', '{"facts": {"drain": "%s"}}', '{"answers": {"hose-sealed": "%s"}}',
    '{"answers": {"standpipe-height": "%s"}}', '{"machine": "%s"}', '{"cleared": ["%s"]}', '{"events": [{"%s": 1}]}', '{"events": [{"check": "%s"}]}', '{"a": &%s b}',
    '{"events": [{"closed": "%s"}]}', '{"events": [{"trial": "%s"}]}', '{"events": [{"cant": "%s"}]}', '{"title": "%s", "readings": {"%s": "%s"}}', '{"limits": {"%s": {"low": "%s"}}}',
]  # fmt: skip


@pytest.mark.parametrize("text", WRONG)
def test_every_error_of_a_file_is_printable(run, tmp_path, text):
    path = tmp_path / f"case {NASTY.replace('/', '')}.yaml"
    for word in (json.dumps(NASTY)[1:-1], "\\e\\a\\x9b\\u202E", NASTY):
        path.write_text(text.replace("%s", "wal" + word), encoding="utf-8")
        for command in (["advise"], ["survey"], ["rule", "standpipe-height", "--machine"], ["walk", "--case"]):
            for flag in ([], ["--json"]):
                done = run(*command, str(path), *flag)
                assert done.code in (1, 2, 5, 6), (command, done.err)  # 6: a line of a sheet that nobody understood
                assert (raw(done.out), raw(done.err)) == ([], [])


def test_every_page(nasty_kb, store):
    from dryfloor.cli.page.app import application
    from dryfloor.cli.page.context import Context, Keeping
    from tests.cli.page.conftest import TOKEN, TestClient
    from tests.support.forms import Visitor, clear_gates

    path, first, second = store
    shown = 0
    with TestClient(application(Context(nasty_kb, None, Keeping(Path(path)), TOKEN))) as client:
        client.post("/door", data={"token": TOKEN})
        low = "complaint=siphons&fact=drain:standpipe&check=standpipe-height:31+in"
        for url in ("/", "/case?complaint=walks", f"/case?{low}", "/case?heard=walks&maybe=siphons&also=floor:concrete", "/desk", f"/desk?{low}", f"/desk/hand-over?{low}",
                    f"/desk/cases/{first}", f"/desk/cases/{second}", f"/desk/cases/{second}/hand-over", "/desk/cases", f"/desk/cases?text={quote(NASTY)}",
                    f"/case?complaint={quote(NASTY)}", f"/case?{quote(NASTY)}=x", f"/{quote(NASTY)}", f"/case?check=standpipe-height:{quote(NASTY)}"):  # fmt: skip
            got = client.get(url)
            assert got.status_code < 500
            assert raw(got.text) == [], url
            assert raw("".join(f"{k}{v}" for k, v in got.headers.items())) == []
            shown += got.text.count("[U+001B]")
        visit = Visitor(client)
        clear_gates(visit.go(f"/case?{low}"))
        assert raw(visit.type("said", f"x{NASTY}").page) == []
        visit.go("/").type("words", f"x{NASTY}")
        assert raw(visit.page) == []
        for body in ({"words": f"hops {NASTY}"}, {"words": NASTY, NASTY: 1}):
            assert raw(client.post("/hear", json=body).text) == []
        for case in ({"complaints": [NASTY]}, {NASTY: 1}, {"complaints": ["walks"], "say": NASTY}):
            assert raw(client.post("/advise", json=case).text) == []
    assert shown > 50
