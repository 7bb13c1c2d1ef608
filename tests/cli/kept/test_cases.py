"""The commands on kept cases: what a desk does with its cases all day, and what is refused in words."""

import json
import re
import time
from pathlib import Path

import pytest

from dryfloor.cli.main import main
from dryfloor.cli.store.store import Store
from dryfloor.cli.terminal.env import Env
from dryfloor.engine.case.case_file import load_case
from dryfloor.engine.case.events import Event
from tests.support.stored import marked

HOPS = "it hops about\nyes\nnone\nstopped\n"
DRAWN = [
    Event(role="desk"), Event(heard="it runs off while it fills", complaints=["siphons"]), Event(fact="drain", is_="standpipe"),
    Event(check="standpipe-height", value="31 in"), Event(cant="hose-depth"), Event(note="key is with the neighbour"), Event(closed="handed-on", why="Book a technician."),
]  # fmt: skip


@pytest.fixture
def store(make_env):
    """The store that the commands use."""
    with Store.open(make_env().data_dir / "cases.db") as opened:
        yield opened


@pytest.fixture
def put(store):
    """A function that keeps a case and returns its id."""

    def one(*events, **more):
        case = store.begin(**more)
        for event in events or DRAWN:
            store.add(case, event)
        return case

    return one


def data(done):
    return json.loads(done.out)["data"]


def test_three_calls_one_cut_off_one_handed_on(run, store):
    """As a desk has them; each is found again, and the technician is asked nothing twice but the gates."""
    run("walk", "--role", "desk", "--reference", "Alder 4", typed=HOPS + "1\n2\n")
    run("walk", "--role", "desk", "--reference", "Birch 9", typed="it does not drain\nyes\n")
    run("walk", "--role", "desk", "--reference", "Cedar 2", typed="it runs off while it fills\n1\n")
    listed = data(run("cases", "--json"))["cases"]
    assert [c["reference"] for c in listed] == ["Cedar 2", "Birch 9", "Alder 4"]
    alder = listed[-1]
    assert (alder["answers"], alder["state"], alder["role"]) == (2, "open", "desk")
    assert run("close", alder["id"], "--as", "handed-on", "--why", "needs a level").code == 0
    assert [c["id"] for c in data(run("cases", "--state", "waiting", "--json"))["cases"]] == [alder["id"]]
    done = run("resume", alder["id"], "--role", "technician", typed="none\nstopped\n")
    assert "none of this is asked again" in done.out
    asked = re.findall(r"^\d+  (\S.*?)(?:  |$)", done.out, re.M)
    told = re.findall(r"^   \d+  (\S.*?):", done.out, re.M)
    assert len(told) == 2
    assert len(asked) == 1
    assert not {*asked} & {*told}
    assert done.out.count("BEFORE ANYTHING ELSE") == 2
    assert [c.state for c in store.find(reference="Alder 4")] == ["open"]


def test_a_reference_offers_its_open_case_and_links_to_its_closed_one(run, store):
    run("walk", "--role", "desk", "--reference", "Alder 4", typed=HOPS)
    case = store.find()[0].id
    done = run("walk", "--reference", "Alder 4", typed="yes\nnone\n")
    assert done.out.startswith('A walk was cut off: "it hops about"')
    assert len(store.find()) == 1
    run("close", case, "--as", "given-up", "--why", "rang off")
    done = run("walk", "--reference", "Alder 4", typed="yes\nit hops again\nyes\n")
    assert "Has the same come back?" in done.out
    assert "What is wrong?" in done.out
    assert store.find()[0].earlier == case
    run("walk", "--reference", "Alder 5", typed="it hops\nyes\n")
    assert store.find()[0].earlier is None
    done = run("walk", "--after", case.lower(), typed="it hops\nyes\n")
    assert store.find()[0].earlier == case
    assert f"after {case}" in run("cases").out
    assert data(run("show", case, "--json"))["later"] != []
    assert run("walk", "--after", "A2A2A2", typed="").code == 2


def test_a_list_is_narrowed_and_says_where_nothing_fits(run, put):
    assert (run("cases").code, run("cases", "--state", "open").code) == (0, 1)
    case = put()
    for asked in (("--state", "waiting"), ("--complaint", "siphons"), ("--text", "NEIGHBOUR key"), ("--newer", "1")):
        assert case in run("cases", *asked).out
    for asked in (("--state", "closed"), ("--complaint", "walks"), ("--text", "nobody"), ("--older", "1")):
        done = run("cases", *asked)
        assert (done.code, done.out.strip()) == (1, "No case fits.")
    done = run("cases", "--state", "waitng")
    assert (done.code, "nearest: waiting" in done.err) == (2, True)
    done = run("cases", "--complaint", "siphon")
    assert (done.code, "nearest: siphons" in done.err) == (2, True)
    assert run("cases", "--older", "x").code == 2


@pytest.mark.parametrize("width", [40, 80])
def test_nothing_is_wider_than_the_screen(run, put, width):
    case = put(reference="a very long reference that somebody typed without thinking of anybody's screen")
    for argv in (("cases",), ("show", case), ("resume", case, "--role", "technician"), ("forget", case), ()):
        done = run(*argv, typed="", COLUMNS=str(width))
        assert max(map(len, (done.out + done.err).splitlines())) <= width


def test_show_tells_all_that_is_known(run, put):
    case = put(reference="Alder 4")
    out = run("show", case).out
    for part in (
        "waiting",
        "Alder 4",
        "it runs off while it fills",
        "31 in",
        "key is with the neighbour",
        "Book a technician",
    ):
        assert part in out
    shown = data(run("show", case, "--json"))
    assert shown["advice"]["readings"][0]["verdict"] == "broken"
    assert len(shown["events"]) == len(DRAWN)
    assert run("show", case, "--json").out == run("show", case, "--json").out


def test_what_a_technician_takes_over(run, put, store):
    """What was heard, what is open again, and what is worth another look because a caller read it."""
    case = put()
    out = run("resume", case, "--role", "technician", typed="dry\nchange 2\n30 in\n").out
    assert "handed on: Book a technician." in out
    assert out.index("The desk had it") < out.index("WORTH ANOTHER LOOK") < out.index("BEFORE ANYTHING ELSE")
    assert "again, because your hands may" in out
    assert "read by the caller give or take" in out
    assert [e.value for e in store.events(case) if e.value] == ["31 in", "30 in"]
    as_before = run("resume", case, typed="")
    assert as_before.code == 1
    assert "had it" not in as_before.out
    assert "WORTH ANOTHER LOOK" not in as_before.out


def test_resume_without_a_case_takes_the_last_that_is_open_to_the_role(run, put):
    assert "no case is open" in run("resume").err
    waiting = put()
    done = run("resume")
    assert (done.code, "needs --role" in done.err) == (2, True)
    opened = put(Event(role="desk"), Event(heard="it hops", complaints=["walks"]))
    assert f"CASE {opened}" in run("resume", typed="").out
    assert f"CASE {waiting}" in run("resume", "--role", "technician", typed="").out


@pytest.mark.parametrize("how", ["solved", "given-up", "not-a-fault"])
def test_a_closed_case_is_not_resumed_but_pointed_to(run, put, how):
    case = put(*DRAWN[:-1], Event(closed=how, why="so"))
    done = run("resume", case)
    assert (done.code, f"walk --after {case}" in done.err) == (2, True)
    assert run("close", case, "--as", "given-up", "--why", "again").code == 2


def test_a_case_that_waits_is_not_taken_up_by_nobody(run, put):
    case = put()
    done = run("resume", case)
    assert (done.code, "--role technician" in done.err) == (2, True)
    assert run("resume", case, "--role", "techncian").code == 2


def test_a_note_is_kept_and_an_empty_one_refused(run, put, store):
    case = put()
    assert run("note", case.lower(), "rings", "back").code == 0
    assert store.events(case)[-1].note == "rings back"
    assert run("note", case, " ").code == 2
    assert data(run("note", case, "x", "--json"))["case"] == case


def test_export_is_a_case_file(run, put, kb, tmp_path):
    case = put()
    path = tmp_path / "out.yaml"
    assert run("export", case, "-o", str(path)).code == 0
    assert load_case(kb, path) == DRAWN
    assert run("export", case).out == path.read_text()
    advice = json.loads(run("advise", "-", "--json", typed=run("export", case).out).out)
    assert advice["data"]["facts"] == {"drain": "standpipe"}
    done = run("export", case, "-o", str(tmp_path / "none" / "x.yaml"))
    assert (done.code, "after -o" in done.err) == (2, True)


def test_solved_is_for_the_proof_alone(run, put, store):
    case = put(*DRAWN[:4], Event(remedy="standpipe-too-low", did="done"))
    done = run("close", case, "--as", "solved", "--why", "he said so")
    assert (done.code, "its proof" in done.err) == (2, True)
    assert store.line(case).state == "open"


@pytest.mark.parametrize(
    ("argv", "near"),
    [
        (("--as", "givenup", "--why", "x"), "given-up"),
        (("--as", "given-up", "--why", " "), "reason"),
        (("--as", "given-up"), "--why"),
    ],
)
def test_a_case_is_closed_with_a_known_end_and_a_reason(run, put, argv, near):
    done = run("close", put(), *argv)
    assert (done.code, near in done.err) == (2, True)


def test_close_keeps_the_reason(run, put, store):
    case = put(*DRAWN[:-1])
    assert run("close", case, "--as", "not-a-fault", "--why", "first wash only").code == 0
    line = store.line(case)
    assert (line.state, line.closed, line.why) == ("closed", "not-a-fault", "first wash only")


def test_what_was_only_reported_is_kept_apart_from_what_a_proof_closed(run, put, store):
    case = put(*DRAWN[:-1])
    done = run("close", case, "--as", "reported-solved", "--why", "rang: it drains")
    assert (done.code, "not seen" in done.out) == (0, True)
    assert store.line(case).closed == "reported-solved"
    assert "closed, reported solved" in run("cases").out
    assert run("month", "--json").code == 0
    assert data(run("month", "--json"))["ends"] == {"reported-solved": 1}
    assert "Reported solved, not seen" in run("report", case).out
    assert "reported solved" in run("resume", case).err


MARKER = "MARKER-of-a-caller"


def traces(folder):
    return [p for p in folder.rglob("*") if p.is_file() and MARKER.encode() in p.read_bytes()]


@pytest.mark.parametrize(
    ("yes", "typed", "code"), [(True, "", 0), (False, "{}\n", 0), (False, "no\n", 1), (False, "", 1)]
)
def test_forget_asks_first_and_leaves_nothing(run, make_env, yes, typed, code):
    """The case comes from a journal of before, was handed on, and lies in a hand-over file beside the store."""
    folder = make_env().data_dir
    (folder / "cases").mkdir(parents=True)
    lines = ['{"role":"desk"}', f'{{"heard":"{MARKER} hops","complaints":["walks"]}}', f'{{"note":"{MARKER}"}}']
    (folder / "cases" / "20250101-000000-1-1.jsonl").write_text("\n".join(lines) + "\n")
    (folder / "cases" / "20250101-000000-1-1.yaml").write_text(MARKER)
    case = data(run("cases", "--json"))["cases"][0]["id"]
    (folder / f"{case}.yaml").write_text(MARKER)
    assert len(traces(folder)) >= 4
    done = run("forget", case, *(["--yes"] if yes else []), typed=typed.format(case.lower()))
    assert done.code == code
    assert bool(traces(folder)) == bool(code)
    assert run("show", case).code == (0 if code else 2)


def test_what_can_not_be_opened_is_said_by_every_command(run, tmp_path):
    bad = tmp_path / "bad.db"
    bad.write_text("no store at all, but long enough to be read as one\n" * 50)
    for argv in (
        ("cases",),
        ("show", "K7M3R4"),
        ("resume", "K7M3R4"),
        ("note", "K7M3R4", "x"),
        ("export", "K7M3R4"),
        ("forget", "K7M3R4"),
        ("close", "K7M3R4", "--as", "given-up", "--why", "x"),
    ):
        done = run(*argv, "--store", str(bad))
        assert (done.code, "J013" in done.err) == (2, True), argv
        body = json.loads(run(*argv, "--store", str(bad), "--json").out)
        assert [e["code"] for e in body["errors"]] == ["J013"]
    done = run("walk", "--store", str(bad), typed=HOPS)
    assert "J013" in done.err
    assert "it is not kept" in done.err
    assert "1  " in done.out  # the walk goes on


def test_another_store_and_none(run, make_env, tmp_path):
    other = tmp_path / "shop" / "ours.db"
    run("walk", "--store", str(other), typed=HOPS)
    assert len(data(run("cases", "--store", str(other), "--json"))["cases"]) == 1
    assert data(run("cases", "--json"))["cases"] == []
    done = run("walk", "--store", ":memory:", typed=HOPS)
    assert "Nothing is kept of it, as you asked." in done.out
    assert not (make_env().data_dir / "cases.db").exists()
    assert not Path(":memory:").exists()


# damage

DAMAGE = "Row 4 is damaged. It stood between fact drain: standpipe and cant hose-depth."


def damage(store, sql="UPDATE rows SET body=replace(body, '31', '81') WHERE body LIKE '%31 in%'"):
    assert store._db.execute(sql).rowcount == 1


def words(done):
    return " ".join((done.out + done.err).split())


def test_a_damaged_row_is_shown_between_its_neighbours_and_the_rest_stands(run, put, store):
    case, other = put(), put()
    damage(store, f"UPDATE rows SET body=replace(body, '31', '81') WHERE body LIKE '%31 in%' AND of='{case}'")
    listed = {c["id"]: c for c in data(run("cases", "--json"))["cases"]}
    assert (listed[case]["state"], listed[case]["damage"]) == ("damaged", [DAMAGE])
    assert (listed[other]["state"], listed[other]["damage"]) == ("waiting", [])
    assert [c["id"] for c in data(run("cases", "--state", "damaged", "--json"))["cases"]] == [case]
    shown = words(run("show", case))
    assert f"{DAMAGE} it runs off" not in shown
    assert DAMAGE in shown
    assert "key is with the neighbour" in shown
    assert "81 in" not in shown
    assert DAMAGE in words(run("advise", case))
    assert "81 in" not in run("export", case).out
    assert DAMAGE not in words(run("show", other))


def test_a_damaged_case_is_gone_on_with_and_what_is_lost_is_said(run, put, store):
    case = put(*DRAWN[:-1])
    damage(store)
    done = run("resume", case, "--role", "technician", typed="dry\nnote gone on with\n")
    assert done.code != 3
    assert DAMAGE in words(done)
    assert store.events(case)[-1] == Event(note="gone on with")
    assert store.line(case).damage == [DAMAGE]


def test_a_start_names_a_damaged_case_and_offers_another(run, put, store):
    sound = put(Event(heard="it drips", complaints=["siphons"]))
    time.sleep(0.002)  # the newest is looked at first, and the store counts milliseconds
    case = put(*DRAWN[:-1])
    damage(store)
    done = run(typed="")
    assert f"Case {case} is damaged, so it is not offered." in words(done)
    assert 'A walk was cut off: "it drips"' in done.out
    store.forget(sound)
    done = run(typed="")
    assert done.out.startswith("What is wrong?")
    assert f"Case {case} is damaged" in words(done)


def test_verify_looks_at_every_row_mark_and_link(run, put, store):
    assert words(run("cases", "--verify")) == "0 cases, 0 rows: all as they were written."
    case = put()
    store.link(case)
    done = run("cases", "--verify")
    assert (done.code, words(done)) == (0, "1 case, 7 rows: all as they were written.")
    damage(store)
    marked(store, case, "attic", 12, "1")
    damage(store, "UPDATE holds SET process=13")
    damage(store, "UPDATE links SET sum=sum+1")
    damage(store, "UPDATE cases SET reference='Alder 5'")
    done = run("cases", "--verify", "--json")
    found = data(done)
    assert (done.code, json.loads(done.out)["status"], found["cases"], found["rows"]) == (2, "damaged", 1, 7)
    assert found["damage"] == [
        f"Case {case}: What is kept of this case as a whole is damaged: its reference, its dates, or what it comes after.",
        f"Case {case}: {DAMAGE}",
        f"A link to case {case} is damaged and leads nowhere; make another.",
        f"The mark of who holds case {case} is damaged and holds nothing.",
    ]
    assert DAMAGE in words(run("cases", "--verify"))


@pytest.mark.parametrize(
    ("sql", "said"),
    [
        ("DELETE FROM rows WHERE number=7", "Something that was kept is lost. It stood between note key is with the neighbour and the end."),
        ("DELETE FROM rows WHERE number=1", "Something that was kept is lost. It stood between the beginning and heard it runs off while it fills: siphons."),
        ("UPDATE rows SET body=CAST(x'22ff22' AS TEXT) WHERE number=3", "Row 3 is damaged."),
        ("UPDATE cases SET touched=9e300", "as a whole is damaged"),
        ("UPDATE cases SET began=-9000000000000000000", "as a whole is damaged"),
        ("UPDATE cases SET reference=CAST(x'ff' AS TEXT)", "as a whole is damaged"),
        ("UPDATE cases SET last='x'", "as a whole is damaged"),
        ("UPDATE rows SET before=-9000000000000000000 WHERE number=5", "Row 5 is damaged."),
    ],
)  # fmt: skip
def test_whatever_is_damaged_is_said_and_no_fault(run, put, store, sql, said):
    case = put()
    damage(store, sql)
    for argv in (["show", case], ["cases"], ["cases", "--verify"]):
        done = run(*argv)
        assert said in words(done)
        assert done.code in (0, 2)
    assert run("note", case, "rings back").code == 0
    assert said.removesuffix(" and the end.") in words(run("show", case))  # what was written since makes nothing whole
    assert run("forget", case, "--yes").code == 0
    assert words(run("cases", "--verify")) == "0 cases, 0 rows: all as they were written."


def test_rows_without_their_case_are_shown_and_exported(run, put, store, tmp_path):
    case = put()
    store._db.execute("PRAGMA foreign_keys=OFF")
    damage(store, "DELETE FROM cases")
    assert "is lost" in words(run("cases"))
    done = run("show", case)
    assert "is lost" in words(done)
    assert "key is with the neighbour" in words(done)
    refused = run("note", case, "rings back")
    assert refused.code == 2
    assert f"dryfloor export {case}" in words(refused)
    assert run("export", case, "-o", str(tmp_path / "case.yaml")).code == 0


# a case that a machine that is gone still holds


@pytest.fixture
def elsewhere(put, store):
    case = put(*DRAWN[:-1])
    marked(store, case, "attic", 12, "1", "another")
    return case


def test_a_note_is_kept_whoever_holds_the_case(run, elsewhere, store):
    assert run("note", elsewhere, "rings", "back").code == 0
    assert store.events(elsewhere)[-1] == Event(note="rings back")
    assert "rings back" in run("show", elsewhere).out


def test_a_case_that_is_held_elsewhere_is_taken_by_the_number_that_the_refusal_names(run, elsewhere, store):
    run("note", elsewhere, "rings back")
    for argv in (["resume", elsewhere], ["forget", elsewhere, "--yes"], ["resume", elsewhere, "--take", "13"]):
        done = run(*argv, typed="none\n")
        assert done.code == 2
        assert f"case {elsewhere} is held by process 12 on attic since 2023-11-14" in words(done)
        assert f"dryfloor resume {elsewhere} --take 12" in words(done)
    done = run("resume", elsewhere, "--take", "12", typed="none\n")
    assert f"CASE {elsewhere}" in done.out
    assert "rings back" in done.out
    assert store.unknown_holder(elsewhere) is None
    assert store.events(elsewhere)[len(DRAWN) - 1] == Event(note="rings back")


@pytest.mark.parametrize(("typed", "code"), [("12\n", 0), ("13\n", 2), ("yes\n", 2), ("", 2)])
def test_at_a_terminal_the_number_is_asked_for(make_env, elsewhere, monkeypatch, typed, code):
    monkeypatch.setattr(Env, "interactive", True)
    env = make_env(typed)
    assert main(["forget", elsewhere, "--yes"], env) == code
    said = " ".join(env.stderr.getvalue().split())
    assert (
        f"Case {elsewhere} is held by process 12 on attic since 2023-11-14T22:13:20Z. Where nothing runs there any more, type its number"
        in said
    )


def test_forget_takes_by_number_too(run, elsewhere, store):
    assert run("forget", elsewhere, "--yes", "--take", "12").code == 0
    assert store.find() == []


MENDED = [*DRAWN[:-1], Event(remedy="standpipe-too-low", did="done"), Event(closed="reported-solved", why="rang")]


def listed(run, *argv):
    return [c["id"] for c in data(run("cases", *argv, "--json"))["cases"]]


def test_cases_are_found_by_cause_rule_part_and_the_words_of_the_complaint(run, put, kb):
    mended, other = put(*MENDED, reference="Alder Lane 4"), put(*DRAWN, reference="Birch Row 9")
    cause = kb.causes["standpipe-too-low"]
    assert listed(run, "--cause", "standpipe-too-low") == [mended]
    assert listed(run, "--part", cause.remedy.parts[0]) == [mended]
    # A reading of both was held against it.
    assert cause.breaks.rule == "standpipe-height"
    assert sorted(listed(run, "--rule", "standpipe-height")) == sorted([other, mended])  # both of one moment
    assert listed(run, "--text", "birhc") == [other]
    assert listed(run, "--text", "standpipe walks") == []
    assert mended in listed(run, "--text", kb.complaints["siphons"].title)


@pytest.mark.parametrize("option", ["--cause", "--rule", "--part"])
def test_what_the_kb_does_not_have_is_named_with_the_nearest(run, put, option):
    put()
    done = run("cases", option, "standpipe-too-lo")
    assert (done.code, "U037" in run("cases", option, "standpipe-too-lo", "--json").out) == (2, True)
    assert "kb" in done.err


def test_since_a_day(run, put):
    case = put()
    today = time.strftime("%Y-%m-%d", time.gmtime())
    assert listed(run, "--since", today) == [case]
    assert run("cases", "--since", "9999-01-01").code == 1
    for wrong in ("May", "2026-02-30", "2026-3-9", ""):
        assert run("cases", "--since", wrong).code == 2


def test_a_list_for_a_spreadsheet_holds_no_formula(run, put, tmp_path):
    import csv

    put(reference="=HYPERLINK(1)")
    put(reference="Alder, 4")
    path = tmp_path / "list.csv"
    assert run("cases", "--csv", str(path)).code == 0
    rows = list(csv.reader(path.open(newline="")))
    assert rows[0][1] == "reference"
    assert {r[1] for r in rows[1:]} == {"Alder, 4", "'=HYPERLINK(1)"}
    assert {len(r) for r in rows} == {len(rows[0])}
    assert run("cases", "--csv", str(tmp_path / "no" / "x.csv")).code == 2


def test_times_are_shown_and_exported_and_change_no_advice(run, put, tmp_path):
    case = put()
    times = data(run("show", case, "--json"))["times"]
    assert len(times) == len(DRAWN)
    assert all(re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", t) for t in times)
    plain, timed = tmp_path / "plain.yaml", tmp_path / "timed.yaml"
    run("export", case, "-o", str(plain))
    run("export", case, "--times", "-o", str(timed))
    assert "at" not in plain.read_text().replace("Alder", "").split('"')
    assert timed.read_text().count('"at":') == len(DRAWN)
    assert run("advise", str(plain), "--json").out == run("advise", str(timed), "--json").out
    assert run("handover", str(plain), "--json").out == run("handover", str(timed), "--json").out


@pytest.mark.parametrize("at", ["four", "2026-03-09", "2026-03-09T14:05", "2026-13-09T14:05:00Z", "9" * 60])
def test_a_time_that_is_none_is_said(run, tmp_path, at):
    path = tmp_path / "case.yaml"
    path.write_text(f'events:\n  - {{note: "x", at: "{at}"}}\n')
    done = run("advise", str(path), "--json")
    assert (done.code, json.loads(done.out)["errors"][0]["code"]) == (2, "C036")
