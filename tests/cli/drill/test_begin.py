"""`dryfloor drill` from its command line: rounds by piped lines, codes, the class's file, and what each exit code says."""

import csv
import io

import msgspec
import pytest

from dryfloor.engine.drill import naming
from dryfloor.engine.drill.naming import Named
from dryfloor.engine.measurement.formatting import READER

FAULT = ("--fault", "standpipe-too-low", "--seed", "3")
UNSAFE = (0, "smell of gas")  # a seed, and what is not safe there
LOOKED = "safe floor and plug dry\nstandpipe height\n"
VERDICT = "verdict pipe too low\nstandpipe height\n39 in\npipe top above the feet\nraise it\nplumber\nYour pipe is too short.\n"


def data(done):
    return msgspec.json.decode(done.out)


def test_a_round_from_the_door_to_the_debrief(run):
    done = run("drill", *FAULT, typed=LOOKED + VERDICT)
    assert done.code == 0, done.err
    text = " ".join(done.out.split())
    for said in (
        'says: "Drains itself dry while it soaks."',
        "27 in, give or take 1/8 in",
        "Mended, and its proof shows it.",
        "SCORE 1.0",
        "right limit: 39 in",
        "right who: plumber",
        "compare sentence: you said Your pipe is too short.",
        "OUR WAY, AS dryfloor walk GOES",
        "THE BEST FIXED LIST OF LOOKS FOR THE MINUTES",
        "WHAT LOOKS LIKE IT, AND THE TELL",
    ):
        assert said in text, said


def test_the_codes_that_bind_at_the_house_are_said_before_the_first_look(run):
    before = " ".join(run("drill", *FAULT, typed="notes\nleave\n").out.partition("You leave it")[0].split())
    opening, _, notes = before.partition("help says the rest.")
    for told in ("Plumbing code in force: not known", "Electrical code in force:", "Building code in force:"):
        assert told in opening, told
        assert told in notes, told  # and it is known from then on: nobody pays for asking it


def test_the_fault_is_not_said_before_the_verdict(run):
    before = run("drill", *FAULT, typed="help\nnotes\nleave\n").out.partition("You leave it")[0]
    assert before
    assert "too low" not in before
    assert "standpipe-too-low" not in before


@pytest.mark.parametrize("columns", ["40", "80"])
def test_no_line_is_wider_than_the_screen(run, columns):
    done = run("drill", *FAULT, typed="height\nlist hose\nhelp\n" + LOOKED + "notes\n" + VERDICT, COLUMNS=columns)
    prompts = ("min left >",)
    assert [
        line
        for line in done.out.splitlines()
        if len(line) > int(columns) and not any(p in line for p in prompts) and not line.startswith("> ")
    ] == []


def test_what_each_exit_code_says(run):
    assert run("drill", *FAULT, typed=LOOKED + VERDICT).code == 0
    assert run("drill", *FAULT, typed=VERDICT).code == 5
    assert run("drill", *FAULT, typed="leave\n").code == 1
    assert run("drill", *FAULT, typed="").code == 1
    assert run("drill", *FAULT, typed="verdict sound\nAll is well.\n").code == 1
    assert run("drill", *FAULT, typed="standpipe height\n").code == 5
    for argv in (
        ("--fault", "nope"),
        ("--open", "ABC"),
        ("--faults", "7"),
        ("--answer",),
        ("--open", "A", "--seed", "1"),
        ("--minutes", "0"),
    ):
        assert run("drill", *argv).code == 2, argv


FIRST = "standpipe height\nwhen it began\nsafe water near electricity\nstandpipe height\nverdict standpipe too low\nstandpipe height\n39 in\n\n\nplumber\n\n"


def test_a_first_round_teaches_how_it_is_played_and_counts_for_nothing(run, tmp_path):
    deck = tmp_path / "mine.json"
    done = run("drill", "--first", "--deck", str(deck), typed=FIRST)
    text = " ".join(done.out.split())
    assert done.code == 0, done.out
    told = [
        "1 OF 4, ASKING",
        "Not yet: first make sure of this: water near electricity.",
        "2 OF 4, MAKING SURE",
        "3 OF 4, LOOKING",
    ]
    told += [
        "4 OF 4, THE VERDICT",
        "Type: verdict standpipe too low",
        "Mended, and its proof shows it.",
        "HOW TO READ THAT",
    ]
    places = [text.index(t) for t in told]
    assert places == sorted(places)
    assert not deck.exists()
    assert run("drill", "--first", typed="").code == 1
    for beside in (("--seed", "1"), ("--class", "a.csv"), ("--sealed",), ("--role", "desk")):
        assert run("drill", "--first", *beside).code == 2


def test_a_gate_is_the_floor_of_the_scale_and_said_so(run):
    done = run("drill", *FAULT, typed="standpipe height\n")
    assert "SCORE -2.00" in done.out
    assert "floor of the scale, below every wrong verdict" in " ".join(done.out.split())


def test_what_a_mend_waits_for_is_asked_before_it_counts(run):
    done = run("drill", *FAULT, typed=VERDICT + "safe floor and plug dry\n")
    assert done.code == 0
    assert "Before anybody does it: what do you make sure of?" in done.out
    assert run("drill", *FAULT, typed=VERDICT + "no child near\n\n").code == 5
    assert run("drill", *FAULT, typed=VERDICT + "\n").code == 5


def test_words_for_a_danger_that_were_not_understood_end_no_round(run):
    place = ("--fault", "house-pressure-high", "--seed", "22")
    looked = "safe water stopped, floor and plug dry\nsafe hose depressurized\nstatic pressure\n"
    done = run("drill", *place, typed=looked + "1\nstatic pressure\nleave\n")
    text = " ".join(done.out.split())
    assert "Before that: you began to make sure of something." in text
    assert "Water kept under pressure. Asked and looked: closed." in text
    assert "Standing water pressure (5 min)" in text
    first = looked.replace("depressurized", "depressurized, no gas smell")
    assert "Before that: you began" in " ".join(run("drill", *place, typed=first).out.split())
    # Whoever was asked back and goes on all the same began it over an open gate.
    assert run("drill", *place, typed=looked + "static pressure\n").code == 5


def test_cautions_that_nobody_saw_to_are_named_in_the_debrief(run):
    done = run("drill", *FAULT, "--role", "technician", typed=LOOKED + "hose depth\nleave\n")
    assert "Not made sure of before: " in " ".join(done.out.split())


def test_where_it_is_not_safe_stopping_and_saying_what_to_do_is_right(run):
    argv = ("drill", "--seed", str(UNSAFE[0]))
    done = run(*argv, typed=f"safe {UNSAFE[1]}\nnotes\nstop\nEverybody out, call from outside.\n")
    text = " ".join(done.out.split())
    assert done.code == 0
    for said in (
        "Asked and looked: not so.",
        "NOT SAFE: smell of gas",
        "Stopped where it was not safe",
        "SCORE 1.0",
        "compare now: you said Everybody out",
        "NOT SAFE HERE",
    ):
        assert said in text, said
    assert "SCORE 0.00" in run(*argv, typed="leave\n").out
    on = run(*argv, typed=f"safe {UNSAFE[1]}\nlisten to the pump\n1\n")
    assert (on.code, "SCORE -2.00" in on.out) in ((5, True), (0, False))
    assert run(*argv, typed=f"safe {UNSAFE[1]}\nstop\nback\nstop\n\n").code == 0
    assert run(*argv, typed=f"safe {UNSAFE[1]}\nstop\n").code == 0


def test_wrong_words_are_asked_again_and_nothing_is_lost(run):
    typed = (
        LOOKED
        + "99\nzzqx\nsafe\nsafe zzqx\nverdict zzqx\npipe too low\nzzqx\nstandpipe height\n39\ntall\n39 in\n\n\nnobody\nplumber\n\n"
    )
    done = run("drill", *FAULT, typed=typed)
    assert done.code == 0, done.out
    text = " ".join(done.out.split())
    assert "39 what? Do you mean 39 in" in text
    assert "right limit: 39 in" in text
    assert "Name one of the four." in text


def test_a_sentence_that_names_no_look_is_a_note(run):
    typed = "my aunt sends her regards from Ohio\nnotes\nleave\n\n"
    text = " ".join(run("drill", *FAULT, typed=typed).out.split())
    assert "These words are kept as a note; notes shows them." in text
    assert "- my aunt sends her regards from Ohio" in text


def test_a_limit_is_taken_out_of_a_sentence(run):
    typed = LOOKED + "verdict pipe too low\nstandpipe height\nI would say at least 39 in high\n\n\nplumber\n\n"
    assert "right limit: 39 in" in " ".join(run("drill", *FAULT, typed=typed).out.split())


def test_a_verdict_that_is_cut_off_counts_with_what_was_entered(run):
    done = run(
        "drill",
        *FAULT,
        typed=LOOKED + "verdict pipe too low\nstandpipe height\n39 in\n",
    )
    assert done.code == 0
    assert "right     limit: 39 in" in done.out.replace("right    ", "right     ")


def test_a_sound_machine_is_found_sound_and_the_verdict_counts_where_the_input_ends(run):
    done = run("drill", "--faults", "0", "--seed", "11", typed="verdict sound\n")
    assert done.code == 0
    assert "Found sound, 0 min of looking." in done.out


def test_a_list_says_how_many_there_are(run):
    done = run("drill", *FAULT, typed="list\nlist hose\nleave\n")
    assert "List what?" in done.out
    assert "8 of " in done.out
    assert "SCORE 0.00" in done.out


def test_back_goes_from_the_verdict_to_looking(run):
    done = run("drill", *FAULT, typed=LOOKED + "verdict pipe too low\nback\nhose depth\nleave\n")
    assert "No verdict yet; go on looking." in done.out
    assert "Hose depth in the pipe (2 min)" in done.out


def test_a_number_chooses_and_only_once(run):
    done = run("drill", *FAULT, typed="safe floor and plug dry\nkinked drain hose\n1\n1\nleave\n")
    assert "Which do you mean?" in done.out
    assert "There is nothing of that number to choose now." in done.out
    listed = run("drill", *FAULT, typed="safe\nsafe 1\nleave\n").out
    assert "names no danger" not in listed


def test_json_is_one_envelope_and_the_talk_goes_to_the_other_stream(run):
    done = run("drill", *FAULT, "--json", typed=LOOKED + VERDICT)
    made = data(done)
    assert (made["command"], made["status"], made["exit"]) == ("drill", "solved", 0)
    assert made["data"]["debrief"]["truth"][0]["cause"] == "standpipe-too-low"
    assert made["data"]["facts"]["drain"] == "standpipe"
    assert "min left >" in done.err
    assert data(run("drill", *FAULT, "--json", typed=LOOKED + VERDICT))["data"] == made["data"]


def test_a_sealed_code_shows_no_answer_until_it_is_opened(run):
    sealed = run("drill", *FAULT, "--sealed")
    code = sealed.out.splitlines()[0]
    assert sealed.code == 0
    assert "standpipe" not in sealed.out
    assert set(data(run("drill", *FAULT, "--sealed", "--json"))["data"]) == {"code", "minutes"}
    played = run("drill", "--open", code, "--sealed", typed="leave\n")
    assert played.code == 1
    assert "SCORE 0.00" in played.out
    assert "too low" not in played.out
    assert "too low" not in run("drill", "--open", code, "--sealed", "--json", typed="leave\n").out
    answer = run("drill", "--open", code, "--answer")
    assert answer.code == 0
    assert answer.out.startswith("THE TRUTH\n   Standpipe too low.")
    assert run("drill", "--open", code.lower().replace("-", " "), typed=LOOKED + VERDICT).code == 0


def test_the_class_has_a_line_for_each_round(run, tmp_path):
    path = tmp_path / "class.csv"
    run("drill", *FAULT, "--class", str(path), "--pupil", "=1+1, Ann", typed=LOOKED + VERDICT)
    run("drill", *FAULT, "--class", str(path), "--pupil", "7", typed="standpipe height\n")
    run("drill", *FAULT, "--class", str(path), "--pupil", "8", typed="")
    run("drill", *FAULT, "--class", str(path), "--pupil", "9", typed="leave\n")
    wrong = "safe floor and plug dry\nverdict hose sealed into the pipe\n\n\n\n\n\nleave\n"
    code = run("drill", *FAULT, "--sealed").out.splitlines()[0]
    run("drill", "--open", code, "--sealed", "--class", str(path), "--pupil", "10", typed=wrong)
    rows = list(csv.DictReader(io.StringIO(path.read_text())))
    missed = "rule:standpipe-height"
    assert [r["pupil"] for r in rows] == ["11 Ann", "7", "8", "9", "10"]
    assert [r["ended"] for r in rows] == ["solved", "gate", "left", "left", "left"]
    assert [r["missed"] for r in rows] == ["", missed, missed, missed, missed]
    assert rows[4]["verdict"] == "wrong"
    assert (rows[0]["verdict"], rows[0]["rule"], rows[0]["limit"], rows[0]["who"]) == (
        "right",
        "right",
        "right",
        "right",
    )
    assert float(rows[0]["score"]) > 0.9
    assert float(rows[1]["score"]) == -2


def test_a_file_of_something_else_is_left_as_it_is(run, tmp_path):
    path = tmp_path / "bills.csv"
    path.write_text("name,amount\nA,1\n")
    done = run("drill", *FAULT, "--class", str(path), typed=LOOKED + VERDICT)
    assert done.code == 2
    assert "D005" in done.err
    assert "SCORE" in done.out
    assert path.read_text() == "name,amount\nA,1\n"


def test_a_round_without_a_seed_is_the_next_of_the_deck_and_counts_when_it_is_left(run, tmp_path):
    deck = tmp_path / "mine.json"
    run("drill", *FAULT, "--deck", str(deck), typed="standpipe height\n")
    assert data(run("drill", "--deck", str(deck), "--json", typed="leave\n"))["data"]["seed"] == 2
    assert msgspec.json.decode(deck.read_bytes())["rounds"] == 2


@pytest.mark.slow
def test_what_was_missed_comes_back_without_a_seed(run, tmp_path):
    deck = tmp_path / "mine.json"
    argv = ("drill", "--deck", str(deck), "--json")
    run("drill", *FAULT, "--deck", str(deck), typed="standpipe height\n")
    assert msgspec.json.decode(deck.read_bytes())["cards"] == {"rule:standpipe-height": {"box": 0, "due": 1}}
    left = [data(run(*argv, typed=t))["data"] for t in ("", "leave\n", "list hose\nleave\n")]
    assert [d["seed"] for d in left] == [2, 3, 4]  # its answer was shown, so it counts
    kept = msgspec.json.decode(deck.read_bytes())
    assert kept["rounds"] == 4
    for made in left:
        own = made["debrief"]
        assert own["danger"] or {f"rule:{t['rule_id']}" for t in own["truth"] if t["rule_id"]} <= {*kept["cards"]}
    missed = [
        data(run(*argv, typed="when did it begin\nverdict sound\n\n"))["data"]["debrief"]["truth"] for _ in range(6)
    ]
    missed += [d["debrief"]["truth"] for d in left]
    assert sum(t["rule_id"] == "standpipe-height" for truth in missed for t in truth) >= 2


def test_a_damaged_deck_is_put_aside_and_said(run, tmp_path):
    deck = tmp_path / "mine.json"
    deck.write_bytes(b"\x00\xff{")
    done = run("drill", *FAULT, "--deck", str(deck), typed=LOOKED + VERDICT)
    assert done.code == 0
    assert "is damaged; it is kept as mine.json.damaged" in done.err
    assert (tmp_path / "mine.json.damaged").read_bytes() == b"\x00\xff{"
    assert msgspec.json.decode(deck.read_bytes())["rounds"] == 1


def test_a_deck_that_can_not_be_kept_is_said_and_the_debrief_stands(run, tmp_path):
    (tmp_path / "file").write_text("")
    done = run("drill", *FAULT, "--deck", str(tmp_path / "file" / "deck.json"), typed=LOOKED + VERDICT)
    assert "D006" in done.err


def test_a_caller_on_the_phone_is_asked_by_the_desk(run):
    done = run("drill", *FAULT, "--role", "desk", typed=LOOKED + VERDICT)
    assert done.code == 0
    assert "27 in, give or take 1/2 in" in done.out
    assert "as the call desk: they look for you, and tell" in " ".join(done.out.split())
    assert "They have a washer: door at the front." in done.out  # nobody sees it over the phone


def test_a_reader_of_si_is_shown_si_and_the_place_is_the_same(run):
    us = run("drill", *FAULT, typed=LOOKED + VERDICT).out
    token = READER.set("both")
    try:
        si = run("drill", *FAULT, "--units", "si", typed=LOOKED + VERDICT).out
    finally:
        READER.reset(token)
    assert "27 in, give or take 1/8 in" in us
    assert si.count("68.6 cm, give or take 3.2 mm") >= 2  # as it was read, and on the way
    assert "27 in" not in si
    assert [line for line in us.splitlines() if line.startswith("SCORE")] == [
        line for line in si.splitlines() if line.startswith("SCORE")
    ]


def test_interrupted_says_so(run, monkeypatch):
    from dryfloor.cli.terminal.asker import PlainAsker

    def gone(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(PlainAsker, "ask", gone)
    assert run("drill", *FAULT).code == 130


@pytest.mark.parametrize(("score", "ended"), [(0.55, False), (0.9, True)])
def test_a_name_that_may_be_misheard_ends_no_round(run, monkeypatch, score, ended):
    """A look that is dangerous here is asked back where its name leaves a little doubt; one that was named is done."""
    found = [Named(kind="check", id="standpipe-height", title="Standpipe height", score=score)]
    monkeypatch.setattr(naming, "looks", lambda *_: found)
    assert naming.sure(found) is not None
    out = run("drill", *FAULT, typed="qq\nsafe floor and plug dry\nqq\nleave\n").out
    assert ("Do you mean this?" in out) is not ended
    assert ("STOP" in out) is ended
