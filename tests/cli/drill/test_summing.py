"""`dryfloor drill --summary`: a class's file read back as it was written, and what is wrong with a line said."""

import msgspec
import pytest

from dryfloor.cli.drill.keeping import HEAD, add_result
from dryfloor.cli.drill.summing import MOST_LINES, read_results
from tests.cli.drill.test_begin import FAULT, LOOKED, VERDICT

CODE = "AAAA-BBBB"
ROW = {
    "pupil": "7",
    "code": CODE,
    "seed": 1,
    "score": "0.500",
    "minutes": "4.2",
    "ended": "left",
    "missed": "rule:a rule:b",
}


def written(path, *rows):
    for row in rows:
        add_result(path, ROW | row)
    return path


def test_a_class_plays_and_its_file_is_summed(run, tmp_path):
    path = tmp_path / "class.csv"
    run("drill", *FAULT, "--class", str(path), "--pupil", "Ann", typed=LOOKED + VERDICT)
    run("drill", *FAULT, "--class", str(path), "--pupil", "7", typed="standpipe height\n")
    run("drill", *FAULT, "--class", str(path), "--pupil", "8", typed="leave\n")
    done = run("drill", "--summary", str(path))
    text = " ".join(done.out.split())
    assert done.code == 0
    for said in (
        "CLASS 3 rounds, 3 pupils",
        "PRACTISE NEXT",
        "Standpipe height: missed in 1 of 2 rounds.",
        "dryfloor drill --fault standpipe-too-low",
        "7: 1 round, share of ours -2.00, 0 min a round, 1 ended at a danger that was not cleared. Came to nothing that was to be found.",
        "Standpipe height (drain): missed in 1 of 2 rounds",
        "A step or a mend before its danger was cleared, water near electricity: 1 round",
    ):
        assert said in text, said
    made = msgspec.json.decode(run("drill", "--summary", str(path), "--json").out)
    assert (made["status"], made["exit"], made["data"]["summary"]["rounds"]) == ("summary", 0, 3)
    narrow = run("drill", "--summary", str(path), COLUMNS="40").out.splitlines()
    assert [line for line in narrow if len(line) > 40 and "dryfloor drill" not in line] == []


def test_what_was_written_is_read_back(tmp_path):
    path = written(tmp_path / "class.csv", {}, {"pupil": "=x", "gate": "sewage", "ended": "gate", "verdict": "wrong"})
    played, problems = read_results(path)
    assert problems == []
    assert (played[0].pupil, played[0].score, played[0].minutes, played[0].missed) == (
        "7",
        0.5,
        4.2,
        ("rule:a", "rule:b"),
    )
    assert (played[1].gate, dict(played[1].marks)["verdict"]) == ("sewage", "wrong")


@pytest.mark.parametrize("lacking", [1, 2])
def test_a_file_that_was_begun_before_the_last_columns_were_kept_goes_on_as_it_was(tmp_path, lacking):
    path = tmp_path / "class.csv"
    path.write_text(",".join(HEAD[:-lacking]) + "\n")
    written(path, {"gate": "sewage", "ours_missed": "rule:a"})
    lines = path.read_text().splitlines()
    assert lines[0] == ",".join(HEAD[:-lacking])
    assert lines[1].count(",") == len(HEAD) - lacking - 1
    assert (read_results(path)[0][0].gate, read_results(path)[0][0].ours_missed) == (
        "" if lacking == 2 else "sewage",
        (),
    )


def test_an_interrupted_round_leaves_a_line_without_a_score(run, tmp_path, monkeypatch):
    from dryfloor.cli.terminal.asker import PlainAsker

    path = tmp_path / "class.csv"
    own = PlainAsker.ask
    asked = []

    def gone(self, question):
        asked.append(question)
        if len(asked) == 4:
            raise KeyboardInterrupt
        return own(self, question)

    run("drill", *FAULT, "--class", str(path), "--pupil", "Ann", typed=LOOKED + VERDICT)
    monkeypatch.setattr(PlainAsker, "ask", gone)
    asked.clear()
    assert run("drill", *FAULT, "--class", str(path), "--pupil", "Bo", typed=LOOKED + "kind of floor\n").code == 130
    line = dict(zip(HEAD, path.read_text().splitlines()[2].split(","), strict=True))
    assert (line["pupil"], line["ended"], line["score"], line["missed"]) == ("Bo", "interrupted", "", "")
    assert float(line["minutes"]) > 0
    text = " ".join(run("drill", "--summary", str(path)).out.split())
    assert "CLASS 1 round, 2 pupils" in text
    assert "Bo: no round to its end. 1 round interrupted." in text
    assert "1 round interrupted: without a score, and in no sum above." in text


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("7,x", "2 cells"),
        (f"7,{CODE},1,abc,4,left,,,,,,,", "score is 'abc'"),
        (f"7,{CODE},1,nan,4,left,,,,,,,", "score is 'nan'"),
        (f"7,{CODE},1,9,4,left,,,,,,,", "score is '9'"),
        (f"7,{CODE},1,1,-4,left,,,,,,,", "minutes is '-4'"),
        (f"7,{CODE},1,1,4,won,,,,,,,", "ended is 'won'"),
    ],
)
def test_a_line_that_can_not_be_read_is_named_and_the_rest_is_summed(run, tmp_path, line, said):
    path = written(tmp_path / "class.csv", {})
    path.write_text(path.read_text() + line + "\n\n")
    done = run("drill", "--summary", str(path))
    assert done.code == 0
    assert f"{path}:3" in done.err
    assert said in done.err
    assert "CLASS  1 round, 1 pupil" in done.out
    assert "1 line was not counted" in done.out


def test_a_file_of_something_else_and_an_empty_one_say_so(run, tmp_path):
    other = tmp_path / "bills.csv"
    other.write_bytes(b"name,amount\nA,1\n")
    assert "D005" in run("drill", "--summary", str(other)).err
    assert run("drill", "--summary", str(other)).code == 2
    assert run("drill", "--summary", str(tmp_path / "none.csv")).code == 2
    empty = tmp_path / "empty.csv"
    empty.write_text(",".join(HEAD) + "\n")
    done = run("drill", "--summary", str(empty))
    assert (done.code, "No round is in this file yet." in done.out) == (1, True)
    assert run("drill", "--summary", str(empty), "--seed", "1").code == 2
    assert run("drill", "--summary", str(empty), "--first").code == 2


def test_a_spreadsheet_may_have_written_it(tmp_path):
    path = written(tmp_path / "class.csv", {})
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    played, problems = read_results(path)
    assert (len(played), problems) == (1, [])


def test_there_is_an_end_to_what_is_read(tmp_path):
    path = written(tmp_path / "class.csv", {})
    head, line = path.read_text().splitlines()
    path.write_text("\n".join([head, *[line] * (MOST_LINES + 5)]) + "\n")
    played, problems = read_results(path)
    assert len(played) == MOST_LINES - 1
    assert [p.message for p in problems] == ["more lines than are read"]
