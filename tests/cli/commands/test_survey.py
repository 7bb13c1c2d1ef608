"""`dryfloor survey` and its conversation: exit codes, what is printed, what is kept, and nothing wider than the screen."""

import re
from pathlib import Path

import msgspec
import pytest
from msgspec.structs import replace

from dryfloor.cli.commands.survey import status
from dryfloor.cli.commands.survey_dialog import Asking
from dryfloor.cli.render.survey import WORDS
from dryfloor.cli.result import Exit
from dryfloor.engine.knowledge.strict_yaml import read
from dryfloor.engine.model import holds
from dryfloor.engine.paper.filled_sheet import FilledSheet, text_of
from dryfloor.engine.paper.sheet_reading import sheet_of
from dryfloor.engine.survey.assess import count_text, survey
from dryfloor.engine.survey.must_see import must_see
from tests.support.installations import NAMES, SHEETS, USUAL, normal, sound
from tests.support.leads import leads_once  # noqa: F401  (of every survey here)

SHORT = "title: Alder Lane 4\nfacts: {drain: standpipe}\nreadings: {standpipe-height: 31 in, standpipe-bore: 2.07 in}\n"


@pytest.fixture
def sheet(kb, tmp_path):
    """Return a function that writes a sound sheet with some readings changed."""

    def write(name="sound", **changed):
        filled = sound(kb, name)
        path = tmp_path / "sheet.yaml"
        path.write_text(
            text_of(
                replace(filled, readings={**filled.readings, **{k.replace("_", "-"): v for k, v in changed.items()}})
            )
        )
        return str(path)

    return write


@pytest.mark.parametrize("name", NAMES)
def test_a_sound_installation_exits_0(run, sheet, name):
    done = run("survey", sheet(name))
    assert done.code == Exit.DONE
    assert "0 broken" in done.out
    assert "BROKEN" not in done.out
    assert done.err == ""


@pytest.mark.parametrize("name", USUAL)
def test_a_usual_installation_as_it_is_filled_in_exits_0(run, name):
    done = run("survey", str(SHEETS / f"{name}.yaml"))
    assert (done.code, done.err) == (Exit.DONE, "")
    for word in ("BROKEN", "CLOSE", "FAILED", "NOT FINISHED", "not used"):
        assert word not in done.out


def test_a_broken_rule_exits_1_and_says_limit_whose_and_what_it_leads_to(run, sheet, kb):
    done = run("survey", sheet(standpipe_height="31 in"))
    assert done.code == Exit.NOTHING
    text = " ".join(done.out.split())
    assert "BROKEN Standpipe height: 31 in (79 cm); below common practice by 8 in (20 cm)" in text
    assert "39 in (99 cm) to 96 in (244 cm); common practice; local code and the machine's manual govern" in text
    assert "leads to it siphons" in text
    assert "mend Raise the standpipe: a licensed plumber, 45 min; parts: " in text
    assert kb.causes["standpipe-too-low"].remedy.steps[-1] in text
    assert "#" in done.out


def test_one_mend_is_told_once(run):
    typed = (
        "machine: meadow-top-loader\nfacts: {drain: standpipe}\nreadings: {standpipe-height: 31 in, hose-depth: 5 in}\n"
    )
    text = " ".join(run("survey", "-", typed=typed).out.split())
    assert text.count("mend Raise the standpipe") == 2
    assert text.count("Measure the trap weir's height") == 1
    assert "mend Raise the standpipe, as above" in text


def test_a_piped_sheet_is_a_sheet(run):
    done = run("survey", "-", typed=SHORT)
    assert done.code == Exit.NOTHING
    assert "Alder Lane 4" in done.out
    assert run("survey", "-", typed=SHORT.encode()).out == done.out


def test_json_holds_every_rule_of_the_kb_once(run, kb):
    done = run("survey", "-", "--json", typed=SHORT)
    body = msgspec.json.decode(done.out)
    assert (body["command"], body["status"], body["exit"]) == ("survey", "broken", 1)
    lines = body["data"]["lines"]
    assert sorted(x["rule"] for x in lines) == sorted(kb.rules)
    found = next(x for x in lines if x["rule"] == "standpipe-height")
    assert (found["verdict"], found["side"], found["authority"]) == ("broken", "below", "practice")
    assert found["margin"] == pytest.approx(-8 * 0.0254)
    assert 0 <= found["conformity"] < 0.05
    assert {x["complaint"] for x in found["leads_to"]} >= {"siphons"}
    assert done.err == ""


@pytest.mark.parametrize(
    ("readings", "code", "word"),
    [
        ("{standpipe-height: 31 in}", Exit.NOTHING, "broken"),
        ("{standpipe-height: 38 15/16 in}", Exit.DONE, "undecided"),
        ("{standpipe-height: 39 in}", Exit.DONE, "sound"),
        ("{standpipe-height: 42 in}", Exit.DONE, "sound"),
    ])  # fmt: skip
def test_the_status_is_one_word(run, kb, readings, code, word):
    facts = {"drain": "standpipe", "supply-system": "us-120", "dryer-beside": "no-dryer"}
    must = "".join(f"{c.id}: {normal(kb, c)}, " for c in must_see(kb, "technician") if holds(c.when, facts))
    typed = f"facts: {msgspec.json.encode(facts).decode()}\nreadings: {{{must}{readings[1:]}"
    done = run("survey", "-", "--json", typed=typed)
    assert done.code == code
    assert msgspec.json.decode(done.out)["status"] == word


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("", "Y010"), ("a: [", "Y001"), ("readings: {}", "S005"), ("- hose-depth: 6 in", "S001"), ("reading: {hose-depth: 6 in}", "S002"),
        ("machine: no/such.yaml\nreadings: {hose-depth: 6 in}", ""),
    ])  # fmt: skip
def test_an_unusable_sheet_exits_2_and_says_how_to_mend_it(run, typed, code):
    done = run("survey", "-", typed=typed)
    assert done.code == Exit.USAGE
    assert code in done.err
    assert "mend:" in done.err
    assert done.out == ""
    again = run("survey", "-", "--json", typed=typed)
    assert msgspec.json.decode(again.out)["exit"] == 2


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("readings: {standpipe-hight: 42 in}", "nearest: standpipe-height"),
        ("readings: {standpipe-height: 42}", "42 what? Do you mean 42 in, or 42 cm?"),
        ("machine: brok\nreadings: {hose-depth: 6 in}", "no machine sheet 'brok'"),
        ("readings:\n  hose-depth: 6 in\n  rocks-by-hand: maybe\n", "a) it rocks | b) it stands firm on all corners"),
        ("readings:\n\those-depth: 6 in\n  : x\n", 'line 3: ": x"'),
    ],
)
def test_what_is_not_understood_is_listed_and_the_rest_is_judged(run, typed, said):
    done = run("survey", "-", typed=typed)
    assert done.code == Exit.UNFINISHED
    text = " ".join(done.out.split())
    assert "NOT UNDERSTOOD, AND COUNTED AS NOT MEASURED: 1 LINE" in text
    assert said in text
    body = msgspec.json.decode(run("survey", "-", "--json", typed=typed).out)
    assert len(body["data"]["unread"]) == 1
    if "hose-depth" in typed:
        assert "Hose inside the standpipe: 6 in" in text or "6 in (15 cm)" in text


def test_a_line_that_could_hide_a_danger_is_not_passed_over(run, kb):
    """Beside a sheet that is whole, a word that nobody understands leaves the exit as it is where no answer there could hurt."""
    facts = {"drain": "standpipe", "supply-system": "us-120", "dryer-beside": "no-dryer"}
    must = "".join(f"{c.id}: {normal(kb, c)}, " for c in must_see(kb, "technician") if holds(c.when, facts))
    whole = f"facts: {msgspec.json.encode(facts).decode()}\nreadings: {{{must}standpipe-height: 42 in, "
    assert run("survey", "-", typed=whole + "things-on-top: heaps}").code == Exit.DONE
    danger = run("survey", "-", typed=whole + "fill-hose-bulge: heaps}")
    assert danger.code == Exit.UNFINISHED
    assert '"heaps" was not understood, and an answer there can be a danger' in " ".join(danger.out.split())


def test_a_folder_and_a_missing_file_exit_2(run, tmp_path):
    assert run("survey", str(tmp_path)).code == Exit.USAGE
    missing = run("survey", str(tmp_path / "no.yaml"))
    assert missing.code == Exit.USAGE
    assert "no such file" in missing.err


def test_the_blank_sheet_is_for_whose_hands_it_is(run):
    ours, theirs = run("survey", "--blank"), run("survey", "--blank", "--role", "homeowner")
    assert (ours.code, theirs.code) == (0, 0)
    assert "outlet-voltage:" in ours.out
    assert "outlet-voltage:" not in theirs.out
    assert "hands: homeowner" in theirs.out
    assert run("survey", "-", typed=ours.out).code == Exit.USAGE  # nothing is filled in
    body = msgspec.json.decode(run("survey", "--blank", "--json").out)
    assert body["data"]["sheet"].strip() == ours.out.strip()
    assert run("survey", "--blank", str(SHEETS / "sound.yaml")).code == Exit.USAGE


def test_the_blank_sheet_of_a_machine_has_its_limits_and_its_name(run):
    done = run("survey", "--blank", "--machine", "brook-front-loader")
    assert "machine: brook-front-loader" in done.out
    assert "at most 4 1/2 in" in done.out
    assert "gap-above-lid" not in done.out  # a front loader has no lid


def test_a_machine_sheet_is_said_to_be_the_makers(run, sheet):
    typed = "facts: {drain: standpipe}\nreadings: {standpipe-height: 31 in, hose-depth: 4 in}\n"
    assert run("survey", "-", typed=typed).code == Exit.NOTHING
    done = run("survey", "-", "--machine", "brook-front-loader", typed=typed)
    assert done.code == Exit.UNFINISHED
    assert "Brook 7" in done.out
    in_sheet = run("survey", "-", typed="machine: brook-front-loader\n" + typed)
    assert in_sheet.out == done.out
    assert run("survey", "-", "--machine", "brok", typed=typed).code == Exit.USAGE


def test_the_role_says_whose_hands_measured(run):
    """1/16 in over the limit: a technician's tape calls it, a homeowner's can't."""
    typed = "readings: {gap-behind: 2 11/16 in}"
    assert run("survey", "-", typed=typed).code == Exit.NOTHING
    assert run("survey", "-", "--role", "homeowner", typed=typed).code == Exit.UNFINISHED
    assert run("survey", "-", "--role", "homeowner", typed="hands: technician\n" + typed).code == Exit.NOTHING
    assert run("survey", "-", "--role", "hommeowner", typed=typed).code == Exit.USAGE


@pytest.mark.parametrize("columns", [40, 80])
def test_nothing_is_wider_than_the_screen(run, sheet, columns):
    done = run(
        "survey",
        sheet(standpipe_height="31 in", standing_pressure="95 psi", gap_behind="2 15/16 in"),
        COLUMNS=str(columns),
    )
    assert max(map(len, done.out.splitlines())) <= columns
    assert "\x1b" not in done.out


def test_colour_never_carries_the_meaning_alone(run, sheet):
    path = sheet(standpipe_height="31 in")
    coloured, plain = run("survey", path, FORCE_COLOR="1"), run("survey", path, NO_COLOR="1")
    assert "\x1b[1mBROKEN" in coloured.out
    assert "BROKEN" in plain.out
    assert re.sub(r"\x1b\[[\d;]*m", "", coloured.out) == plain.out


def test_what_was_left_empty_is_counted_and_named_where_it_is_little(run, sheet, kb):
    many = " ".join(run("survey", "-", typed=SHORT).out.split())
    assert "Lines left empty, by part: What it stands on" in many
    assert "more rules have no line on the sheet" in many
    nearly = "".join(x for x in Path(sheet()).read_text().splitlines(True) if not x.startswith("  things-on-top"))
    few = run("survey", "-", typed=nearly)
    assert few.code == Exit.DONE
    assert f"Lines left empty: What it stands on: {kb.rules['nothing-loose-on-washer'].title}" in " ".join(
        few.out.split()
    )


def test_a_line_that_must_be_seen_and_is_empty_keeps_exit_from_0(run, sheet, kb):
    whole = Path(sheet()).read_text().splitlines(True)
    done = run("survey", "-", typed="".join(x for x in whole if not x.startswith("  rocks-by-hand")))
    assert done.code == Exit.UNFINISHED
    assert "NOT FINISHED" in done.out
    assert "rocks-by-hand: " + kb.checks["rocks-by-hand"].title in done.out
    body = msgspec.json.decode(
        run(
            "survey", "-", "--json", typed="".join(x for x in whole if "hose-sealed" not in x and "hose-depth" not in x)
        ).out
    )
    assert (body["status"], body["exit"]) == ("not-finished", 6)
    assert [m["id"] for m in body["data"]["missing"]] == ["hose-sealed"]


# -- by asking -----------------------------------------------------------------------------------------------------------
def test_asking_that_is_stopped_at_once_judges_nothing(run):
    done = run("survey", typed="stop\n")
    assert done.code == Exit.NOTHING
    assert "0 within" in done.out
    assert "stop ends the survey" in " ".join(done.out.split())


def test_a_reading_that_is_asked_is_judged_and_kept(run, kb, make_env):
    env = make_env("")
    start = FilledSheet(
        "Survey",
        {f: next(iter(x.options)) for f, x in kb.facts.items()} | {"drain": "standpipe"},
        {},
        None,
        "technician",
    )
    asking = Asking(env, kb, "technician", "technician", False, start)
    first = asking._checks_left()[0]
    answer = next(iter(first.answers))
    env.stdin.write(f"zzz\n{answer}\nback\n{list(first.answers)[-1]}\nskip\nstop\n")
    env.stdin.seek(0)
    filled = asking.run()
    assert filled.readings == {first.id: list(first.answers)[-1]}
    out = env.stdout.getvalue()
    assert out.count(first.title) >= 2  # shown again after `back`
    assert "none of these" in out
    kept = sheet_of(kb, read(asking.path))
    assert kept.readings == filled.readings
    assert f"dryfloor survey {asking.path}" in out


def test_ctrl_c_keeps_what_was_entered(kb, make_env):
    env = make_env("")
    start = FilledSheet("Survey", {f: next(iter(x.options)) for f, x in kb.facts.items()}, {}, None, "technician")
    asking = Asking(env, kb, "technician", "technician", False, start)
    first = asking._checks_left()[0]
    lines = iter([list(first.answers)[-1]])

    def ask(prompt, words=()):
        try:
            return next(lines)
        except StopIteration:
            raise KeyboardInterrupt from None

    asking.asker.ask = ask
    with pytest.raises(KeyboardInterrupt):
        asking.run()
    assert sheet_of(kb, read(asking.path)).readings == {first.id: list(first.answers)[-1]}
    assert str(asking.path) in env.stdout.getvalue()


def test_a_sentence_at_a_line_is_heard_entered_by_one_key_and_the_line_stays(kb, make_env):
    """What fits no line is a note, kept on the sheet and in the case; a danger is named with what to do."""
    env = make_env("")
    start = FilledSheet("Survey", {f: next(iter(x.options)) for f, x in kb.facts.items()}, {}, None, "technician")
    asking = Asking(env, kb, "technician", "technician", False, start)
    first = asking._checks_left()[0]
    lines = [
        "the standpipe is 31 in high", "y",
        "my aunt sends her regards from Ohio",
        "there is smoke and it smells burnt",
        "la lavadora no saca el agua y sale por el suelo",
        "stop",
    ]  # fmt: skip
    env.stdin.write("\n".join(lines) + "\n")
    env.stdin.seek(0)
    filled = asking.run()
    assert filled.readings == {"standpipe-height": "31 in"}
    assert filled.notes == (lines[2], lines[3], lines[4])
    out = " ".join(env.stdout.getvalue().split())
    assert "I hear: standpipe height: 31 in. Keep it?" in out
    assert "That may be a danger, and comes first" in out
    assert kb.hazards["burning-smell"].gate.do_now[0].split()[0] in out
    assert "Por ahora solo entiendo inglés." in out
    assert sheet_of(kb, read(asking.path)) == filled
    assert first.title in out


def test_notes_of_a_sheet_are_in_the_case_that_keeps_it(run, sheet, tmp_path):
    sheet_path = tmp_path / "s.yaml"
    sheet_path.write_text("readings:\n  standpipe-height: 42 in\nnotes: [the key is with the neighbour]\n")
    store = str(tmp_path / "c.db")
    done = run("survey", str(sheet_path), "--keep", "--store", store, "--json")
    case = msgspec.json.decode(done.out)["data"]["case"]
    shown = run("show", case, "--store", store)
    assert "the key is with the neighbour" in " ".join(shown.out.split())
    sheet_path.write_text("readings:\n  standpipe-height: 42 in\nnotes: back on Tuesday\n")
    case = msgspec.json.decode(run("survey", str(sheet_path), "--keep", "--store", store, "--json").out)["data"]["case"]
    assert "back on Tuesday" in " ".join(run("show", case, "--store", store).out.split())


def test_no_survey_writes_over_another(kb, make_env):
    start = FilledSheet("Survey", {}, {}, None, "technician")
    one = Asking(make_env(""), kb, "technician", "technician", False, start)
    one.path.parent.mkdir(parents=True)
    one.path.write_text("title: first\n")
    two = Asking(make_env(""), kb, "technician", "technician", False, start)
    assert two.path != one.path


def test_a_hazard_is_spelled_out_once_and_then_called_to_mind(kb, make_env):
    asking = Asking(make_env(""), kb, "homeowner", "homeowner", False, FilledSheet("x", {}, {}, None, "homeowner"))
    wet = [c for c in asking._checks_left() if "wet-floor" in c.hazards][:2]
    first, second = (asking._card(c) for c in wet)
    says = {n.hazard: n.says for n in first.notes}["wet-floor"], {n.hazard: n.says for n in second.notes}["wet-floor"]
    assert says[0] == kb.hazards["wet-floor"].says or len(says[0]) > len(says[1])
    assert says[1] == kb.hazards["wet-floor"].title + "."


def test_asking_with_json_keeps_the_envelope_clean(run):
    done = run("survey", "--json", typed="stop\n")
    assert msgspec.json.decode(done.out)["status"] == "nothing-measured"
    assert "stop ends the survey" in " ".join(done.err.split())


def test_asking_at_40_columns_is_no_wider(run):
    done = run("survey", "--role", "homeowner", typed="\n" * 30 + "stop\n", COLUMNS="40")
    assert max(len(line) for line in done.out.splitlines() if "dryfloor survey /" not in line) <= 40


def test_the_face_counts_as_the_engine_does(kb):
    done = survey(kb, sound(kb, "sound"))
    assert status(done) == "sound"
    assert count_text(done).startswith(f"{done.counts['broken']} broken, ")
    assert set(WORDS) == set(done.counts)


def test_a_yes_takes_the_value_that_was_offered(kb, make_env):
    env = make_env("")
    start = FilledSheet("Survey", {"drain": "standpipe", "supply-system": "us-120"}, {}, None, "technician")
    asking = Asking(env, kb, "technician", "technician", False, start)
    env.stdin.write("39 ft\nyes\n")
    env.stdin.seek(0)
    asking._ask(kb.checks["standpipe-height"])
    assert asking.readings == {"standpipe-height": "39 in"}


def test_a_look_that_is_right_is_named_by_what_was_looked_at(kb):
    """A label that says nothing of a missing ground is no proof of the ground."""
    from dryfloor.cli.render.survey import lines
    from dryfloor.cli.terminal.layout import Layout
    from dryfloor.engine.survey.assess import survey

    filled = FilledSheet("s", {"supply-system": "us-120"}, {"marked-no-ground": "unmarked"}, None, "technician")
    screen = " ".join(" ".join(lines(Layout(80), kb, survey(kb, filled))).split())
    assert "Marked without a ground: no such label" in screen
    assert "ground for the washer: no such label" not in screen
