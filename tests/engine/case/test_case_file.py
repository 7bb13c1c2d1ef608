"""Case files: every bad one gets one clear message and exit code 2, every good one is read back as it was written."""

import os
import re

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.cli.result import Exit
from dryfloor.engine.case.case_file import dump, event_problems, parse_case
from dryfloor.engine.case.events import CLOSED, DID, FOUND_BY, Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.case.validation import is_word
from dryfloor.engine.errors import InvalidInputError
from tests.support.refusals import problems_of, refused
from tests.support.shipped import shipped

BOMB = "a: &a [x, x, x]\n" + "".join(
    f"{n}: &{n} [{', '.join(['*' + p] * 9)}]\n" for p, n in ["ab", "bc", "cd", "de", "ef", "fg", "gh"]
)


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "Y010 the file is empty"),
        (b"\n# nothing yet\n", "Y010 the file is empty"),
        (b"role: desk\n  complaints: [walks\n", ":2:13 Y001 not YAML"),
        (b"role: 'desk\n", "Y001 not YAML"),
        (b"say: caf\xe9\n", ":1:9 Y002 not UTF-8 text (byte 0xe9 at place 8)"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00", "Y002 this is a binary file"),
        (b"say: x\n" * 1_500_000, "Y002 the file is 10.5 MB"),
        (b"[" * 50_000, " Y009 nested deeper than 16 levels"),
        (BOMB.encode(), ":1:4 Y003 an anchor or alias ('a')"),
        (b"just a sentence\n", ":1:1 C001 a case file is a mapping"),
        (b"- role: desk\n", ":1:1 C001 a case file is a mapping"),
        (b"role: desk\nrole: technician\n", ":2:1 Y006 the key 'role' stands twice"),
        (b"say: a\xe2\x80\x8bb\n", ":1:7 Y008 an invisible character (U+200B)"),
    ],
    ids=[
        "empty",
        "remarks",
        "not yaml",
        "open quote",
        "not utf-8",
        "binary",
        "10 MB",
        "deep",
        "bomb",
        "text",
        "list",
        "twice",
        "zero width",
    ],
)
def test_a_file_that_is_no_case_gets_one_message(run, tmp_path, raw, words):
    path = tmp_path / "visit.yaml"
    path.write_bytes(raw)
    err = refused(run, "advise", str(path))
    assert words in err
    assert len(re.findall(r" [CKY]\d{3} ", err)) == 1, err
    assert str(path) in err
    assert "mend: " in err
    if len(raw) < 1_000_000:
        assert words in refused(run, "advise", "-", typed=raw)


def test_a_folder_a_missing_file_and_one_that_may_not_be_read(run, tmp_path, monkeypatch):
    (tmp_path / "visit.yaml").write_text("role: desk")
    assert "this is a folder" in refused(run, "advise", str(tmp_path))
    err = refused(run, "advise", str(tmp_path / "vist.yaml"))
    assert "there is no such file" in err
    assert "nearest: visit.yaml" in err

    usual = type(tmp_path).open

    def refuse(self, *args, **kwargs):
        if self.name == "visit.yaml":
            raise PermissionError(13, "Permission denied")
        return usual(self, *args, **kwargs)

    monkeypatch.setattr(type(tmp_path), "open", refuse)
    assert "may not be read by you" in refused(run, "advise", str(tmp_path / "visit.yaml"))


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="the superuser may read everything")
def test_a_file_without_permission(run, tmp_path):
    path = tmp_path / "visit.yaml"
    path.write_text("role: desk")
    path.chmod(0)
    assert "may not be read by you" in refused(run, "advise", str(path))


def test_a_file_name_that_is_no_text_is_still_reported(run):
    assert "no such file" in refused(run, "advise", "caf\udce9.yaml")


UNKNOWN = [
    ("role: homwoner", "unknown role 'homwoner'", "homeowner", (1, 7)),
    ("hands: technican", "unknown hands 'technican'", "technician", (1, 8)),
    ("complaints: [siphon]", "unknown complaint 'siphon'", "siphons", (1, 14)),
    ("complaints:\n  - siphons\n  - wlaks", "unknown complaint 'wlaks'", "walks", (3, 5)),
    ("facts: {drian: tub}", "unknown fact 'drian'", "drain", (1, 9)),
    ("facts: {drain: tup}", "'drain' has no option 'tup'", "tub", (1, 9)),
    ("answers: {standpipe-hight: 31 in}", "unknown check 'standpipe-hight'", "standpipe-height", (1, 11)),
    ("answers: {restraints-left: non}", "'restraints-left' has no answer 'non'", "none", (1, 11)),
    ("cleared: [walking-machin]", "unknown hazard 'walking-machin'", "walking-machine", (1, 11)),
    ("machine: brook-front-loadr", "unknown machine sheet 'brook-front-loadr'", "brook-front-loader", (1, 10)),
    ("complaint: [walks]", "unknown field 'complaint'", "complaints", (1, 1)),
    ("events:\n  - {role: homwoner}", "'event.role' is 'homwoner'", "homeowner", (2, 12)),
    ("events:\n  - {complaints: [siphon]}", "unknown complaint 'siphon'", "siphons", (2, 5)),
    ("events:\n  - {fact: drian, is: tub}", "unknown fact 'drian'", "drain", (2, 5)),
    ("events:\n  - {check: restraints-lef, answer: none}", "unknown check 'restraints-lef'", "restraints-left", (2, 5)),
    ("events:\n  - {check: restraints-left, answer: nonee}", "has no answer 'nonee'", "none", (2, 5)),
    (
        "events:\n  - {remedy: standpipe-to-low, did: done}",
        "unknown cause 'standpipe-to-low'",
        "standpipe-too-low",
        (2, 5),
    ),
    ("events:\n  - {remedy: standpipe-too-low, did: dne}", "unknown 'dne' after did", "done", (2, 5)),
    ("events:\n  - {cant: restraints-lft}", "unknown check or fact 'restraints-lft'", "restraints-left", (2, 5)),
    ("events:\n  - {skip: drian}", "unknown check or fact 'drian'", "drain", (2, 5)),
    ("events:\n  - {stopped: walking-machin}", "unknown hazard 'walking-machin'", "walking-machine", (2, 5)),
    ("events:\n  - {trial: came-bak, complaints: [walks]}", "a trial does not end as 'came-bak'", "came-back", (2, 5)),
    ("events:\n  - {closed: solvd}", "a case is not closed as 'solvd'", "solved", (2, 5)),
    ("events:\n  - {still: [wlaks]}", "unknown complaint 'wlaks'", "walks", (2, 5)),
    ("events:\n  - {chek: x, answer: y}", "unknown field 'event.chek'", "check", (2, 6)),
]


@pytest.mark.parametrize(("text", "words", "near", "place"), UNKNOWN, ids=[u[1][:40] for u in UNKNOWN])
def test_unknown_names_are_placed_with_the_nearest(kb, run, text, words, near, place):
    found = problems_of(kb, text)
    assert len(found) == 1
    assert words in found[0].message
    assert (found[0].nearest, (found[0].line, found[0].column)) == (near, place)
    assert found[0].expected
    assert words in refused(run, "advise", "-", typed=text)


@pytest.mark.parametrize(
    ("text", "code", "words"),
    [
        ("{}", "C010", "nothing that says what it is"),
        ("{did: done}", "C010", "nothing that says what it is"),
        ("{answer: none}", "C010", "nothing that says what it is"),
        ("{check: restraints-left, fact: drain}", "C010", "fact and check"),
        ("{role: desk, check: restraints-left, answer: none}", "C010", "role and check"),
        ("{check: restraints-left, answer: none, did: done}", "C011", "'did' does not belong to 'check'"),
        ("{fact: drain, answer: tub}", "C011", "'answer' does not belong to 'fact'"),
        ("{note: x, is: y}", "C011", "'is' does not belong to 'note'"),
        ("{complaints: [walks], hands: homeowner}", "C011", "'hands' does not belong"),
        ("{fact: drain}", "C013", "has no option ''"),
        ("{fact: still-there, is: walks}", "C012", "unknown fact 'still-there'"),
        ("{cleared: walking-machine, word: yes}", "C014", "'yes' does not clear 'walking-machine'"),
        ("{check: restraints-left, value: 2 mm}", "C020", "answered, not measured"),
        ("{check: restraints-left}", "C021", "has no answer ''"),
        ("{check: standpipe-height}", "C022", "has no value"),
        ("{check: standpipe-height, answer: low, value: 31 in}", "C024", "an answer and a value"),
        ("{proof: spin-stays-put, answer: stayed}", "C025", "before any remedy"),
        ("{turned_out: roots, by: neighbour}", "C035", "unknown 'neighbour' after by"),
        ("{turned_out: roots, date: yesterday}", "C027", "'yesterday' is no day"),
        ("{turned_out: roots, cause: rots}", "C012", "unknown cause 'rots'"),
        ("{turned_out: ' '}", "C010", "turned_out says nothing"),
        ("{note: roots, cause: rots}", "C011", "'cause' does not belong to 'note'"),
        ("{resumed: yes}", "K002", "'event.resumed' is 'yes'"),
        ("{heard: [a]}", "K002", "'event.heard' is a list"),
        ("{complaints: walks}", "K002", "'event.complaints' is 'walks'"),
        ("just words", "K002", "'event' is 'just words'"),
    ],
)
def test_events_of_a_wrong_shape(kb, run, text, code, words):
    found = problems_of(kb, f"events:\n  - {text}\n")
    assert [p.code for p in found] == [code]
    assert words in found[0].message
    assert found[0].line == 2
    refused(run, "advise", "-", typed=f"events:\n  - {text}\n")


def test_fields_beside_events_and_events_that_are_no_list(kb):
    assert [p.code for p in problems_of(kb, "events: []\nrole: desk")] == ["C002"]
    assert [p.code for p in problems_of(kb, "events: {role: desk}")] == ["C003"]
    assert [p.code for p in problems_of(kb, "events:\n")] == ["C003"]


def test_two_answers_to_one_check_as_events_are_a_change_said_aloud(run):
    text = (
        "events:\n  - {role: technician}\n  - {complaints: [walks]}\n  - {check: restraints-left, answer: none}\n"
        "  - {check: restraints-left, answer: base-block}\n"
    )
    done = run("advise", "-", "--json", typed=text)
    data = msgspec.json.decode(done.out)
    assert data["exit"] == Exit.DONE
    assert data["data"]["notices"] == [
        "Shipping restraints left: was 'nothing; only empty holes or caps'; it is now 'a block or packing is still under the machine'."
    ]
    assert "it is now 'a block or packing is still under the machine'" in " ".join(
        run("advise", "-", typed=text).out.split()
    )


def test_the_proof_must_be_that_of_the_last_remedy_done(kb, run):
    done = "events:\n  - {complaints: [siphons]}\n  - {remedy: standpipe-too-low, did: done}\n"
    good = kb.causes["standpipe-too-low"].proof.check
    other = next(c.proof.check for c in kb.causes.values() if c.proof.check != good and c.proof.passes != "within")
    answer = next(iter(kb.checks[other].answers))
    found = problems_of(kb, f"{done}  - {{proof: {other}, answer: {answer}}}")
    assert [p.code for p in found] == ["C026"]
    assert good in found[0].expected
    assert (
        problems_of(
            kb,
            "events:\n  - {remedy: standpipe-too-low, did: could-not}\n"
            f"  - {{proof: {good}, answer: {next(iter(kb.checks[good].answers))}}}",
        )[0].code
        == "C025"
    )
    refused(run, "advise", "-", typed=f"{done}  - {{proof: {other}, answer: {answer}}}")


@pytest.mark.parametrize("argv", [["advise", "-", "--cleared", "walking-machin"], ["walk", "--role", "desc"]])
def test_bad_options_are_answered_like_bad_files(run, argv):
    assert "nearest: " in refused(run, *argv, typed="complaints: [walks]")


def test_a_bad_gate_of_a_walk_is_said_after_the_first_question(run):
    done = run("walk", "--cleared", "sewag")
    assert done.code == Exit.USAGE
    assert "nearest: sewage" in done.err


def test_a_case_file_of_a_walk_that_is_bad_is_refused_and_left_as_it_is(run, tmp_path):
    path = tmp_path / "visit.yaml"
    path.write_text("complaints: [wlaks]\n")
    assert "nearest: walks" in refused(run, "walk", "--case", str(path))
    assert path.read_text() == "complaints: [wlaks]\n"


KB = shipped()
WORDS = st.text(st.characters(exclude_categories=("Cs",)), max_size=40)
LOOKS = sorted((c.id, a) for c in KB.checks.values() if c.kind != "measure" for a in c.answers)
READINGS = [
    ("standpipe-height", '39 1/2"'),
    ("standpipe-height", "1 m"),
    ("foot-gap", "2 mm"),
    ("standpipe-height", "3' 3 1/2\""),
]
GATES = sorted((h.id, h.gate.word) for h in KB.hazards.values() if h.gate)
events = st.one_of(
    st.builds(
        Event,
        role=st.sampled_from(["homeowner", "desk", "technician"]),
        hands=st.none() | st.sampled_from(["homeowner", "technician"]),
    ),
    st.builds(Event, hands=st.sampled_from(["homeowner", "technician"])),
    st.builds(Event, heard=WORDS, complaints=st.none() | st.lists(st.sampled_from(sorted(KB.complaints)), max_size=3)),
    st.builds(Event, complaints=st.lists(st.sampled_from(sorted(KB.complaints)), max_size=3)),
    st.sampled_from([(f.id, o) for f in KB.facts.values() for o in f.options]).map(
        lambda x: Event(fact=x[0], is_=x[1])
    ),
    st.sampled_from(LOOKS).map(lambda x: Event(check=x[0], answer=x[1])),
    st.sampled_from(READINGS).map(lambda x: Event(check=x[0], value=x[1])),
    st.sampled_from(GATES).map(lambda x: Event(cleared=x[0], word=x[1])),
    st.sampled_from(GATES).map(lambda x: Event(stopped=x[0])),
    st.builds(Event, cant=st.sampled_from([*KB.checks, *KB.facts])),
    st.builds(Event, skip=st.sampled_from([*KB.checks, *(f"remedy:{c}" for c in KB.causes)])),
    st.builds(Event, note=WORDS),
    st.builds(Event, remedy=st.sampled_from(sorted(KB.causes)), did=st.none() | st.sampled_from(DID)),
    st.builds(Event, still=st.lists(st.sampled_from(sorted(KB.complaints)), max_size=2)),
    st.just(Event(resumed=True)),
    # Solved is what a proof alone makes of a case; a file that says so without one is refused.
    st.builds(Event, closed=st.sampled_from([c for c in CLOSED if c != "solved"])),
    st.builds(Event, machine=st.sampled_from(sorted(KB.machines))),
    st.builds(
        Event,
        turned_out=WORDS.filter(str.strip),
        cause=st.none() | st.sampled_from(sorted(KB.causes)),
        by=st.none() | st.sampled_from(FOUND_BY),
        date=st.none() | st.dates().map(str),
    ),
)


@settings(max_examples=150, deadline=None)
@given(st.lists(events, max_size=12))
def test_what_is_written_is_read_back_and_folds_to_the_same(found):
    back = parse_case(KB, dump(found).encode())
    assert back == found
    assert fold(KB, back) == fold(KB, found)


@settings(max_examples=150, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from(list(Event.__struct_fields__)),
        st.text(max_size=8) | st.sampled_from(["walks", "drain", "done", "restraints-left"]),
        max_size=4,
    )
)
def test_no_mix_of_fields_raises(fields):
    fields = {k: [v] if k in ("complaints", "still") else v for k, v in fields.items()}
    for problem in event_problems(KB, Event(**fields)):
        assert problem.code.startswith("C")
        assert problem.mend
        assert problem.expected


@settings(max_examples=60, deadline=None)
@given(st.text("abekmnorst:-[]{}'\" \n,", max_size=60))
def test_no_text_raises_anything_but_refused(text):
    found = []
    try:
        parse_case(KB, text.encode())
    except InvalidInputError as error:
        found = error.problems or [None]
    assert all(p.message and p.mend for p in found)


def test_a_case_is_solved_by_its_proof_alone(kb):
    begun = "events:\n  - {role: technician}\n  - {complaints: [walks]}\n"
    mended = begun + "  - {remedy: foot-unloaded}\n"
    for bad in (begun, mended, mended + "  - {proof: spin-stays-put, answer: walked}\n"):
        (problem,) = problems_of(kb, bad + "  - {closed: solved}\n")
        assert (problem.code, "handed-on" in problem.mend) == ("C018", True)
    kept = (
        mended
        + "  - {proof: spin-stays-put, answer: "
        + kb.causes["foot-unloaded"].proof.passes
        + "}\n  - {closed: solved}\n"
    )
    assert parse_case(kb, kept.encode(), "visit.yaml")[-1].closed == "solved"
    assert (
        parse_case(kb, (begun + "  - {closed: given-up, why: sold}\n").encode(), "visit.yaml")[-1].closed == "given-up"
    )


def test_what_is_passed_over_is_a_check_a_fact_or_the_remedy_of_a_cause(kb):
    for name in ("standpipe-height", "drain", "still-there", "remedy:standpipe-too-low"):
        assert event_problems(kb, Event(cant=name)) == []
    for name in (
        "standpipe-too-low",
        "remedy:standpipe-height",
        "remedy:",
        "x:remedy:standpipe-too-low",
        ":standpipe-too-low",
    ):
        assert event_problems(kb, Event(skip=name))[0].message == f"unknown check or fact '{name}'"


def test_a_safe_word_of_before_still_opens_and_can_not_be_typed(kb):
    """A gate's word may change; what was said to the old question is still read, and nobody clears the new one with it."""
    changed = {h: r.gate for h, r in kb.hazards.items() if r.gate and r.gate.formerly}
    assert changed
    for hazard, gate in changed.items():
        for word in gate.formerly:
            assert event_problems(kb, Event(cleared=hazard, word=word)) == []
            assert not is_word(gate, word)
