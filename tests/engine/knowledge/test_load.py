"""Loading a kb: the good one gives no problem, and each mistake gives exactly its own, placed and explained."""

import re
import shutil
from pathlib import Path

import jsonschema
import msgspec
import pytest
import yaml

from dryfloor.cli.result import Exit
from dryfloor.engine import model
from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.knowledge.folder import files, home
from dryfloor.engine.knowledge.load import load_kb, read_kb
from dryfloor.engine.knowledge.pieces import FOLDERS, LISTS, OPTIONAL, SINGLES
from tests.support.places import SMALL

RULES, CHECKS = "rules/drain.yaml", "checks/drain.yaml"
LOW, SEALED = "causes/drain/pipe-too-low.yaml", "causes/drain/hose-sealed-in.yaml"
MILL = "machines/mill-one.yaml"


@pytest.fixture
def folder(tmp_path):
    """A copy of the small kb that may be spoiled."""
    return Path(shutil.copytree(SMALL, tmp_path / "kb"))


def spoil(folder, rel, old, new):
    """Replace one text in one file."""
    path = folder / rel
    text = path.read_text()
    assert text.count(old) >= 1, old
    path.write_text(text.replace(old, new, 1))


def place_of(folder, rel, mark):
    """Return the line and column of a mark in a file."""
    text = (folder / rel).read_text()
    at = text.index(mark)
    return text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)


def test_the_small_kb_and_the_shipped_kb_are_good(kb):
    found, problems = read_kb(SMALL)
    assert problems == []
    assert list(found.causes) == ["hose-sealed-in", "pipe-too-low"]
    assert found.places["causes/pipe-too-low"] == "small_kb/causes/drain/pipe-too-low.yaml:1"
    assert found.places["rules/hose-loose"] == "small_kb/rules/drain.yaml:15"
    assert len(kb.causes) >= 36
    assert len(kb.checks) >= 50
    assert len(kb.rules) >= 24
    assert len(kb.hazards) >= 12


PIPE = "  above: The pump runs out of lift.\n  authority: practice\n"
SEEN = "  why_no_hazard: only looked at\n"
GIVE = "  give_or_take: {homeowner"


def means(use):
    """Return what stands for GIVE with a calculator before it, which says what the reading amounts to."""
    return f"  means:\n    - {use}\n{GIVE}"


# code; file; what is replaced by what; the text at whose start the problem stands, in the spoiled file; what is near.
BAD = [
    ("K101", SEALED, "complaint: wet", "complaint: wett", "wett", "wet (kb/complaints.yaml:1)"),
    ("K101", LOW, "rule: pipe-height", "rule: pipe-hight", "pipe-hight", "pipe-height (kb/rules/drain.yaml:1)"),
    ("K101", LOW, "check: hose-sealed", "check: hose-seeled", "hose-seeled", "hose-sealed (kb/checks/drain.yaml:13)"),
    ("K101", LOW, "parts: [pipe]", "parts: [pip]", "pip]", "pipe (kb/parts.yaml:1)"),
    (
        "K101",
        LOW,
        "cause: hose-sealed-in",
        "cause: hose-seald-in",
        "hose-seald-in",
        "hose-sealed-in (kb/causes/drain/hose-sealed-in.yaml:1)",
    ),
    (
        "K101",
        LOW,
        "top: pipe-too-low",
        "top: pipe-to-low",
        "pipe-to-low",
        "pipe-too-low (kb/causes/drain/pipe-too-low.yaml:1)",
    ),
    (
        "K101",
        LOW,
        "source: invented-code",
        "source: invented-cod",
        "invented-cod}",
        "invented-code (kb/sources.yaml:2)",
    ),
    (
        "K101",
        RULES,
        "source: trade-practice",
        "source: trade-practise",
        "trade-practise",
        "trade-practice (kb/sources.yaml:1)",
    ),
    ("K101", RULES, "{rule: hose-loose", "{rule: hose-lose", "hose-lose,", "hose-loose (kb/rules/drain.yaml:15)"),
    ("K101", CHECKS, "hazards: [flood]", "hazards: [flod]", "flod]", "flood (kb/hazards.yaml:1)"),
    ("K101", CHECKS, "raises: flood", "raises: floood", "floood", "flood (kb/hazards.yaml:1)"),
    ("K101", "complaints.yaml", "gates: [flood]", "gates: [flodo]", "flodo]", "flood (kb/hazards.yaml:1)"),
    ("K101", "decoys.yaml", "complaint: wet", "complaint: wat", "wat", "wet (kb/complaints.yaml:1)"),
    (
        "K101",
        "scales.yaml",
        "source: trade-practice",
        "source: trade-practices",
        "trade-practices",
        "trade-practice (kb/sources.yaml:1)",
    ),
    ("K101", MILL, "rule: pipe-height", "rule: pipe-heigth", "pipe-heigth", "pipe-height (kb/rules/drain.yaml:1)"),
    ("K101", MILL, "drain: pipe", "drian: pipe", "pipe", "drain (kb/facts.yaml:1)"),
    ("K102", LOW, "when: {drain: pipe}", "when: {drain: pipes}", "pipes}", "pipe"),
    ("K102", LOW, "[pipe, tub]", "[pipe, tup]", "drain: [pipe, tup]", "tub"),
    ("K103", RULES, "grade: M", "grade: P", "P}", ""),
    ("K104", LOW, "{n: 14,", "{n: 0,", "0,", ""),
    ("K104", LOW, "{n: 14,", "{n: 1000,", "1000,", ""),
    ("K104", LOW, "{n: 0.1,", "{n: 1,", "1, basis: source", "very likely (0.9)"),
    ("K104", "scales.yaml", "likely: 0.3", "likely: 1", "1\n", ""),
    ("K104", "scales.yaml", "{n: 0.99", "{n: 1.5", "1.5", ""),
    ("K104", "roles.yaml", "gross_error_per_1000: {n: 30", "gross_error_per_1000: {n: 500", "500", ""),
    ("K105", LOW, "basis: counted, n_of: 40", "basis: counted", "times: {n: 2, basis: counted}", ""),
    ("K105", LOW, "basis: source, source: invented-code", "basis: source", "strength: {n: 0.1", ""),
    ("K106", SEALED, "strength: likely", "strength: likly", "likly", "likely"),
    ("K106", SEALED, "cures: very likely", "cures: verry likely", "verry likely", "very likely"),
    ("K107", SEALED, "  why_no_hazard: nothing is under power or pressure\n", "", "remedy:", ""),
    (
        "K107",
        CHECKS,
        "  why_no_hazard: only looked at",
        "  why_no_hazard: only looked at\n  hazards: [flood]",
        "only looked at",
        "",
    ),
    ("K108", CHECKS, "hazards: [flood]", "hazards: [live]", "live]", ""),
    ("K109", RULES, "min: 39 in", "min: 39", "39", ""),
    ("K109", RULES, "plausible: 6 in to 120 in", "plausible: 6 in", "6 in\n  otherwise", ""),
    ("K109", CHECKS, "technician: 1/4 in", "technician: 1/4 F", "1/4 F", ""),
    ("K109", LOW, "pipe-height: 31 in", "pipe-height: 31 psi", "31 psi", ""),
    ("K109", MILL, "min: 30 in", "min: 30 gpm", "30 gpm", ""),
    ("K110", LOW, "answer: taped", "answer: tapped", "{check: hose-sealed, answer: tapped", "taped"),
    (
        "K110",
        LOW,
        "only_if: {check: pipe-height, side: below}",
        "only_if: {check: pipe-height, answer: below}",
        "only_if:",
        "",
    ),
    ("K110", LOW, "passes: within", "passes: inside", "proof:", ""),
    ("K110", SEALED, "passes: loose", "passes: lose", "proof:", "loose"),
    ("K110", SEALED, "panel-wet: dry", "panel-wet: damp", "damp", ""),
    ("K111", "facts.yaml", "share_per_1000: 300", "share_per_1000: 30", "options:", ""),
    ("K112", "complaints.yaml", "gates: [flood]", "gates: [live]", "live]", ""),
    ("K112", CHECKS, "raises: flood", "raises: live", "live}", ""),
    (
        "K113",
        "roles.yaml",
        "  - {title: Plumber, id: plumber, fee: {n: 120, basis: judgement}, per_minute: {n: 2, basis: judgement}}\n",
        "",
        "trades:",
        "",
    ),
    ("K115", MILL, "max: 90 in", "max: 20 in", "pipe-height", ""),
    ("K115", MILL, "max: 90 in", "max: 130 in", "pipe-height", ""),
    ("K116", LOW, "pipe-height: 31 in", "pipe-height: 39 ft", "39 ft", ""),
    ("K121", RULES, "  edition: an invented code, 2020\n", "", "code\n", ""),
    ("K122", RULES, "  must: air can get in round the hose\n", "", "state", ""),
    ("K124", RULES, "plausible: 6 in to 120 in", "plausible: 6 in to 90 in", "6 in to 90", ""),
    (
        "K124",
        RULES,
        "plausible: 6 in to 120 in",
        "plausible: 6 in to 120 in\n  size_below: 40 in",
        "40 in",
        "",
    ),
    ("K125", RULES, "max: 96 in", "max: 9.6 in", "39 in", ""),
    ("K131", CHECKS, "  rule: hose-loose\n", "", "title: Hose in the", ""),
    ("K131", CHECKS, "why_no_rule: a symptom", "why_no_rule: a symptom\n  rule: hose-loose", "title: Behind", ""),
    ("K132", CHECKS, "minutes: {technician: 5}", "minutes: {}", "minutes: {}", ""),
    (
        "K133",
        CHECKS,
        "    desk: Can you see tape or foam round the hose where it goes in?\n",
        "",
        "ask:\n    homeowner: Is tape",
        "",
    ),
    ("K133", "facts.yaml", "    technician: Drain type?\n", "", "ask:", ""),
    ("K133", "hazards.yaml", "      homeowner: Is the floor by the plug dry?\n", "", "ask:", ""),
    (
        "K134",
        CHECKS,
        "Could you measure how high the top of the pipe is?",
        "How high is the top of the pipe?",
        "ask:",
        "",
    ),
    (
        "K135",
        CHECKS,
        "  give_or_take: {homeowner",
        "  answers: {a: {says: x}}\n  give_or_take: {homeowner",
        "answers: {a",
        "",
    ),
    ("K137", RULES, "  plausible: 6 in to 120 in\n", "", "title: Pipe height", ""),
    ("K138", CHECKS, "  give_or_take: {homeowner: 1/2 in, technician: 1/4 in}\n", "", "title: Pipe height", ""),
    ("K139", CHECKS, "{homeowner: 1/2 in", "{owner: 1/2 in", "1/2 in", ""),
    ("K140", CHECKS, "    wet: {says: drops on it, leak_per_1000: 5}\n", "", "answers:\n    dry", ""),
    ("K141", CHECKS, "drops on it, leak_per_1000: 5", "drops on it", "wet: {says", ""),
    ("K142", CHECKS, "{says: no drops}", "{says: no drops, leak_per_1000: 3}", "dry: {says", ""),
    ("K143", RULES, "{below: 20, above: 10}", "{below: 20}", "otherwise_per_1000", ""),
    ("K144", CHECKS, GIVE, means("{working: standpipe-overflo}"), "standpipe-overflo}", "standpipe-overflow"),
    (
        "K144",
        CHECKS,
        GIVE,
        means("{working: standpipe-overflow, takes: {bores: {value: 2 in, basis: C}}}"),
        "bores: {value",
        "bore",
    ),
    (
        "K144",
        RULES,
        "  below: The hose",
        "  model: {working: standpipe-overflow, gives: pass}\n  below: The hose",
        "pass}",
        "passes",
    ),
    (
        "K144",
        RULES,
        "  below: The hose",
        "  model: {working: hose-siphon, gives: above, instead_of: {pipe-height: below}, kept_counts: [pipe-hight]}\n  below: The hose",
        "pipe-hight]",
        "pipe-height",
    ),
    (
        "K145",
        CHECKS,
        GIVE,
        means("{working: standpipe-overflow, takes: {bore: {check: hose-sealed}}}"),
        "hose-sealed}",
        "",
    ),
    (
        "K146",
        CHECKS,
        GIVE,
        means("{working: standpipe-overflow, takes: {pump: {data: pump-rat}}}"),
        "pump-rat}",
        "pump-rate",
    ),
    (
        "K110",
        CHECKS,
        SEEN,
        f"  on_sheet: {{at: wall, same_as: {{taped: {{hose-sealed: tapd}}}}}}\n{SEEN}",
        "tapd",
        "taped",
    ),
    (
        "K101",
        CHECKS,
        SEEN,
        f"  on_sheet: {{at: wall, instead: [hose-seeled]}}\n{SEEN}",
        "hose-seeled",
        "hose-sealed (kb/checks/drain.yaml:13)",
    ),
    ("K147", CHECKS, GIVE, f"  on_sheet: {{at: wall, by_itself: 90}}\n{GIVE}", "90", ""),
    ("K146", MILL, "facts: {drain: pipe}", "facts: {drain: pipe}\ndata: {pump-rat: 17 gpm}", "17 gpm", "pump-rate"),
    ("K105", CHECKS, GIVE, means("{working: standpipe-overflow, takes: {bore: {value: 2 in}}}"), "bore: {value", ""),
    ("K148", RULES, PIPE, f"{PIPE}  why_no_danger: x\n", "x\n", ""),
    ("K148", RULES, PIPE, f"{PIPE}  guarded: true\n  danger: {{hazard: flood}}\n  why_no_danger: x\n", "x\n", ""),
    ("K101", RULES, PIPE, f"{PIPE}  danger: {{hazard: flod}}\n", "flod}", "flood (kb/hazards.yaml:1)"),
    ("K149", RULES, PIPE, f"{PIPE}  danger: {{hazard: live}}\n", "live}", ""),
    ("K150", RULES, PIPE, f"{PIPE}  danger: {{hazard: flood, above: 40 in}}\n", "40 in", ""),
    ("K109", RULES, PIPE, f"{PIPE}  danger: {{hazard: flood, below: 40 psi}}\n", "40 psi", ""),
    (
        "K150",
        RULES,
        PIPE,
        f"{PIPE}  danger: {{hazard: flood, output: heat, at_least: 2}}\n",
        "danger: {hazard: flood, output",
        "",
    ),
    ("K151", LOW, "mistaken_for:", "why_no_rule: none\nmistaken_for:", "title:", ""),
    ("K152", LOW, "breaks: {rule: pipe-height, side: below}", "breaks: {rule: pipe-height}", "breaks:", ""),
    ("K152", SEALED, "breaks: {rule: hose-loose}", "breaks: {rule: hose-loose, side: below}", "below", ""),
    ("K152", SEALED, "rule: pipe-height, side: above", "rule: hose-loose, side: above", "{rule: hose-loose, side", ""),
    (
        "K153",
        SEALED,
        "{check: hose-sealed, answer: taped,",
        "{complaint: wet, check: hose-sealed, answer: taped,",
        "{complaint: wet, check",
        "",
    ),
    ("K154", LOW, "{check: hose-sealed, answer: taped", "{check: hose-sealed, answer: loose", "loose, strength", ""),
    ("K155", LOW, "  - {complaint: wet, strength: very likely}\n", "", "shows:", ""),
    (
        "K166",
        SEALED,
        "  - {rule: pipe-height, side: above, strength: unlikely}\n",
        "  - {rule: pipe-height, side: above, strength: unlikely}\n  - {check: hose-sealed, answer: taped, strength: likely}\n",
        "{check: hose-sealed, answer: taped, strength: likely}",
        "",
    ),
    ("K157", LOW, "cause: hose-sealed-in, tell", "cause: pipe-too-low, tell", "pipe-too-low, tell", ""),
    (
        "K157",
        SEALED,
        "healthy: drops from a hose that was moved",
        "cause: pipe-too-low, healthy: drops",
        "{cause: pipe-too-low",
        "",
    ),
    ("K158", SEALED, "healthy: drops from a hose that was moved", "healthy: None", "{healthy: None", ""),
    (
        "K159",
        CHECKS,
        "  why_no_hazard: only looked at",
        "  why_no_hazard: only looked at\n  only_if: [{check: hose-sealed, answer: loose}]",
        "only_if: [{check: hose-sealed",
        "",
    ),
]


@pytest.mark.parametrize(
    ("code", "rel", "old", "new", "mark", "near"), BAD, ids=[f"{b[0]}-{n}" for n, b in enumerate(BAD)]
)
def test_each_reference_mistake_gives_exactly_its_problem(folder, code, rel, old, new, mark, near):
    spoil(folder, rel, old, new)
    kb, problems = read_kb(folder)
    assert kb is None
    assert [p.code for p in problems] == [code], [p.lines() for p in problems]
    problem = problems[0]
    assert problem.file == f"kb/{rel}"
    assert (problem.line, problem.column) == place_of(folder, rel, mark), problem.lines()
    assert problem.nearest == near
    assert problem.mend
    assert problem.lines()[0].startswith(f"kb/{rel}:{problem.line}:{problem.column} {code} ")


def test_a_rule_without_limits_and_a_measurement_without_rule(folder):
    spoil(folder, RULES, "  min: 39 in\n  max: 96 in\n", "")
    _, problems = read_kb(folder)
    assert "K123" in {p.code for p in problems}
    spoil(folder, CHECKS, "  rule: pipe-height\n", "  why_no_rule: none\n")
    _, problems = read_kb(folder)
    assert "K136" in {p.code for p in problems}


def test_a_measurement_of_a_state(folder):
    spoil(folder, CHECKS, "rule: pipe-height", "rule: hose-loose")
    _, problems = read_kb(folder)
    assert "K136" in {p.code for p in problems}


def test_a_cause_that_nothing_shows(folder):
    spoil(
        folder,
        SEALED,
        "  - {check: hose-sealed, answer: taped, strength: very likely}\n  - {rule: pipe-height, side: above, strength: unlikely}\n",
        "",
    )
    assert [p.code for p in read_kb(folder)[1]] == ["K156"]


def mended(folder):
    """Return the code, the place, what was expected, what is near and how the only problem is mended."""
    problems = read_kb(folder)[1]
    assert len(problems) == 1, [p.lines() for p in problems]
    return problems[0]


def test_a_cause_whose_rule_is_only_looked_at_is_told_the_line_that_links_it(folder):
    spoil(
        folder,
        SEALED,
        "  - {check: hose-sealed, answer: taped, strength: very likely}\n  - {rule: pipe-height, side: above, strength: unlikely}\n",
        "",
    )
    problem = mended(folder)
    assert (problem.code, problem.line, problem.column) == ("K156", *place_of(folder, SEALED, "hose-loose}"))
    assert "breaks 'hose-loose', which nobody measures" in problem.message
    assert "add {check: hose-sealed, answer: <taped>, strength: <word>} under shows" in problem.mend
    spoil(folder, SEALED, "breaks: {rule: hose-loose}", "why_no_rule: none")
    assert mended(folder).expected.startswith("a check and the answer by which this cause is told")


BORE = """
- title: Pipe bore
  id: pipe-bore
  measures: length
  of: inner width of the pipe
  min: 2 in
  plausible: 1 in to 4 in
  otherwise_per_1000: 5
  below: It runs over.
  authority: practice
  sources: [{source: trade-practice}]
"""


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("breaks: {rule: hose-loose}", "breaks: {rule: pipe-bore, side: below}"),
        ("{rule: pipe-height, side: above", "{rule: pipe-bore, side: below"),
    ],
)
def test_a_rule_that_nobody_measures_shows_nothing(folder, old, new):
    path = folder / RULES
    path.write_text(path.read_text().rstrip() + BORE)
    spoil(folder, SEALED, old, new)
    problem = mended(folder)
    assert (problem.code, problem.line, problem.column) == ("K160", *place_of(folder, SEALED, "pipe-bore,"))
    assert (problem.nearest, problem.mend) == ("pipe-height", "add a check with kind: measure and rule: pipe-bore")
    path.write_text(f"{path.read_text()}  model: {{working: standpipe-overflow, gives: passes}}\n")
    assert read_kb(folder)[1] == []  # a working works it out


def test_a_cause_that_a_rule_alone_should_show(folder):
    """Nobody measures it, and no check is under `shows`: the line that is missing is said once."""
    path = folder / RULES
    path.write_text(path.read_text().rstrip() + BORE)
    spoil(folder, LOW, "breaks: {rule: pipe-height, side: below}", "breaks: {rule: pipe-bore, side: below}")
    spoil(
        folder,
        LOW,
        "  - {check: hose-sealed, answer: taped, strength: {n: 0.1, basis: source, source: invented-code}}\n",
        "",
    )
    assert [p.code for p in read_kb(folder)[1]] == ["K156"]


def test_a_normal_answer_under_shows_names_those_that_tell(folder):
    spoil(folder, LOW, "{check: hose-sealed, answer: taped", "{check: hose-sealed, answer: loose")
    problem = mended(folder)
    assert (
        "'loose' is the normal answer of 'hose-sealed', which every cause shows that leaves the check out"
        in problem.message
    )
    assert problem.expected == "one of taped"
    assert problem.mend.startswith("drop this line")


@pytest.mark.parametrize(
    ("rel", "old", "new", "message", "mend"),
    [
        (CHECKS, "  why_no_hazard: only looked at\n", "", "'hose-sealed' has neither", "add one of them to this entry, e.g. hazards: [flood]"),
        (CHECKS, "  why_no_hazard: only looked at", "  why_no_hazard: x\n  hazards: [flood]", "'hose-sealed' has both", "drop why_no_hazard, or"),
        (SEALED, "  why_no_hazard: nothing is under power or pressure\n", "", "the remedy of 'hose-sealed-in' has neither", "under remedy:, e.g. hazards: [flood]"),
    ],
)  # fmt: skip
def test_hazards_are_asked_for_by_name(folder, rel, old, new, message, mend):
    spoil(folder, rel, old, new)
    problem = mended(folder)
    assert problem.code == "K107"
    assert message in problem.message
    assert mend in problem.mend
    assert "why_no_hazard: why nothing can hurt" in problem.expected


def test_a_chance_out_of_range_names_its_field_and_the_nearest_word(folder):
    spoil(folder, LOW, "{n: 0.1,", "{n: 1.2,")
    problem = mended(folder)
    assert problem.message == "'shows[1].strength' is 1.2"
    assert (problem.expected, problem.nearest) == ("above 0 and below 1", "very likely (0.9)")
    assert "0 and 1 are errors" in problem.mend
    spoil(folder, LOW, "{n: 1.2,", "{n: 0.1,")
    spoil(folder, LOW, "{n: 14,", "{n: 1000,")
    assert "0 and 1000 are errors" in mended(folder).mend
    spoil(folder, LOW, "{n: 1000,", "{n: 14,")
    spoil(folder, LOW, "{n: 2,", "{n: 0,")
    assert mended(folder).mend == "write a number above 0"


def test_an_id_twice_blames_nobody_who_names_the_other(folder):
    """The second of two checks was meant to be `hose-sealed`, which many name."""
    spoil(folder, CHECKS, "id: hose-sealed", "id: pipe-height")
    problem = mended(folder)
    assert (problem.code, problem.line, problem.column) == ("K011", 14, 7)
    assert "'pipe-height' stays the first one's" in problem.mend


def test_two_causes_of_one_name_and_an_entry_that_stands_twice(folder):
    (folder / "causes" / "supply").mkdir()
    other = folder / "causes" / "supply" / "pipe-too-low.yaml"
    shutil.copy(folder / LOW, other)
    assert mended(folder).mend == "both say the same: delete this one"
    other.write_text(other.read_text().replace("n: 14", "n: 15"))
    assert "rename this file or the other" in mended(folder).mend


def test_every_code_of_references_has_its_bad_example():
    source = "".join(p.read_text() for p in (home().parent / "engine").glob("refs*.py"))
    known = set(re.findall(r'"(K1\d\d)"', source))
    elsewhere = {"K123", "K136", "K156", "K160"}
    assert known - {b[0] for b in BAD} - elsewhere == set()


@pytest.mark.parametrize(
    ("rel", "code"), [("notes.yaml", "K010"), ("rule/drain.yaml", "K010"), ("causes/drain/Too_Low.yaml", "K014")]
)
def test_a_file_in_a_wrong_place_or_with_a_wrong_name(folder, rel, code):
    (folder / rel).parent.mkdir(exist_ok=True, parents=True)
    (folder / rel).write_text((folder / LOW).read_text())
    problems = read_kb(folder)[1]
    assert [(p.code, p.file, p.line) for p in problems] == [(code, f"kb/{rel}", 0)]


def test_an_id_used_twice_names_the_first(folder):
    path = folder / RULES
    path.write_text(path.read_text() + path.read_text().partition("- title: Hose")[0])
    problems = read_kb(folder)[1]
    assert [p.code for p in problems] == ["K011"]
    assert "kb/rules/drain.yaml:1" in problems[0].expected
    shutil.copy(folder / LOW, folder / "causes" / "pipe-too-low.yaml")
    assert "K011" in {p.code for p in read_kb(folder)[1] if p.file.startswith("kb/causes")}


@pytest.mark.parametrize("rel", [*LISTS, *SINGLES])
def test_a_missing_file_is_named(folder, rel):
    (folder / rel).unlink()
    problems = read_kb(folder)[1]
    assert [(p.code, p.message) for p in problems] == [("K012", f"the kb has no {rel}")]


def test_a_missing_folder_is_said_with_the_kb_exit_code(tmp_path, run):
    with pytest.raises(InvalidInputError) as caught:
        load_kb(tmp_path / "none")
    assert caught.value.kb
    assert [p.code for p in caught.value.problems] == ["K013"]
    assert run("hear", "it walks", "--kb", str(tmp_path / "none")).code == Exit.KB


def test_all_mistakes_of_all_files_come_at_once_and_in_order(folder):
    spoil(folder, "complaints.yaml", "gates: [flood]", "gates: [flodo]")
    spoil(folder, "facts.yaml", "share_per_1000: 300", "share_per_1000: 30")
    spoil(folder, RULES, "min: 39 in", "min: 39")
    spoil(folder, RULES, "  of: the hose in the pipe\n", "")
    spoil(folder, LOW, "strength: very likely", "strength: very")
    spoil(folder, SEALED, "kind: install", "knid: install")
    spoil(folder, CHECKS, "kind: look\n  why_no_rule", "kind: lok\n  why_no_rule")
    (folder / MILL).write_text("a: [")
    problems = read_kb(folder)[1]
    assert [(p.file.removeprefix("kb/"), p.code) for p in problems] == [
        (SEALED, "K003"),
        (SEALED, "K001"),
        (LOW, "K106"),
        (CHECKS, "K002"),
        ("complaints.yaml", "K101"),
        ("facts.yaml", "K111"),
        (MILL, "Y001"),
        (RULES, "K109"),
        (RULES, "K003"),
    ]
    places = [(p.file, p.line, p.column) for p in problems]
    assert places == sorted(places)


def test_one_mistake_does_not_blame_those_who_name_its_entry(folder):
    """A check, a rule and a cause with a mistake of their own are still there for those that name them."""
    for rel, old, new in (
        (CHECKS, "kind: look", "kind: lok"),
        (RULES, "measures: length", "measures: lenght"),
        (SEALED, "kind: install", "kind: instal"),
        ("complaints.yaml", "signal", "signal"),
    ):
        if old != new:
            spoil(folder, rel, old, new)
    assert [(p.code, p.file.removeprefix("kb/")) for p in read_kb(folder)[1]] == [
        ("K002", SEALED),
        ("K002", CHECKS),
        ("K002", RULES),
    ]
    (folder / CHECKS).write_text("- : [")
    assert {p.code for p in read_kb(folder)[1]} == {"K002", "Y001"}


def test_every_broken_kb_file_ends_a_command_with_exit_4_and_its_place(folder, run):
    for rel, text, place in (
        (RULES, "- {", "kb/rules/drain.yaml:2:1 Y001"),
        (LOW, "title: x", "pipe-too-low.yaml:1:1 K003"),
        ("facts.yaml", "", "kb/facts.yaml Y010"),
    ):
        kept = (folder / rel).read_text()
        (folder / rel).write_text(text)
        for argv in (["hear", "it leaks"], ["advise", "-"], ["kb", "check"]):
            done = run(*argv, "--kb", str(folder), typed="{complaints: [wet]}")
            assert done.code == Exit.KB, argv
            assert place in done.err
            assert "Traceback" not in done.err + done.out
            enveloped = run(*argv, "--kb", str(folder), "--json", typed="{complaints: [wet]}")
            data = msgspec.json.decode(enveloped.out)
            assert (enveloped.code, data["exit"]) == (Exit.KB, Exit.KB)
            assert data["errors"]
        (folder / rel).write_text(kept)
    assert run("kb", "check", "--kb", str(folder)).code == Exit.DONE


def definition(rel):
    """Return the schema definition that a kb file is made of, and whether the file is a list of them."""
    top = rel.partition("/")[0]
    kind = (
        LISTS.get(rel)
        or OPTIONAL.get(rel)
        or SINGLES.get(rel)
        or FOLDERS.get(top)
        or {"causes": model.Cause, "machines": model.Machine}[top]
    )
    return kind.__name__, rel in LISTS or rel in OPTIONAL or top in FOLDERS


def validator(rel):
    """Return a validator of one kind of file, made of the schema that editors are given."""
    made = model.schema()
    name, many = definition(rel)
    ref = {"$ref": f"#/$defs/{name}"}
    return jsonschema.Draft202012Validator({**made, **({"type": "array", "items": ref} if many else ref)})


def test_the_schema_itself_is_a_valid_schema():
    jsonschema.Draft202012Validator.check_schema(model.schema())


@pytest.mark.parametrize(
    ("folder_of", "every"),
    [(home, 4), (lambda: SMALL, 1), pytest.param(home, 1, marks=pytest.mark.slow)],
    ids=["shipped", "small", "all shipped"],
)
def test_the_editor_schema_accepts_every_kb_file(folder_of, every):
    """Of causes, of which there are far more than of anything else, the quick run takes every fourth."""
    validators = {}
    for n, path in enumerate(files(folder_of())):
        if "causes" in path.parts and n % every:
            continue
        rel = path.relative_to(folder_of()).as_posix()
        key = definition(rel)
        validators.setdefault(key, validator(rel))
        # A second reader of YAML: the schema must fit what editors see, not what our own reader makes of it.
        data = yaml.load(path.read_text(), Loader=getattr(yaml, "CBaseLoader", yaml.BaseLoader))
        errors = list(validators[key].iter_errors(typed(data)))
        assert not errors, f"{rel}: {errors[0].json_path} {errors[0].message}"


def typed(data):
    """Return a tree of texts with JSON-like numbers, true and false made values, as YAML 1.2 reads them."""
    if isinstance(data, dict):
        return {k: typed(v) for k, v in data.items()}
    if isinstance(data, list):
        return [typed(v) for v in data]
    if re.fullmatch(r"-?(0|[1-9]\d*)(\.\d+)?", data):
        return float(data) if "." in data else int(data)
    if re.fullmatch(r"-?\.\d+", data):
        return float(data)
    return {"true": True, "false": False, "null": None, "": None}.get(data, data)


@pytest.mark.parametrize(
    ("rel", "old", "new"),
    [
        (LOW, "kind: site", "kind: sight"),
        (LOW, "title: Pipe too low", "titel: Pipe too low"),
        (RULES, "measures: length", "measures: lenght"),
        (CHECKS, "minutes: {technician: 5}", "minutes: 5"),
        ("hazards.yaml", "signal: DANGER", "signal: BEWARE"),
        ("roles.yaml", "id: desk", "id: dsk"),
        ("facts.yaml", "share_per_1000: 700", "share_per_1000: 0"),
    ],
)
def test_the_editor_schema_refuses_what_the_loader_refuses(folder, rel, old, new):
    spoil(folder, rel, old, new)
    assert read_kb(folder)[0] is None
    data = typed(yaml.load((folder / rel).read_text(), Loader=yaml.BaseLoader))
    assert list(validator(rel).iter_errors(data))


@pytest.mark.parametrize(
    ("look", "code", "said"),
    [
        ("{check: hose-sealed, answer: taped}", None, ""),
        ("{why_hidden: in the wall}", None, ""),
        ("{rule: pipe-height, side: above}", None, ""),
        ("{}", "K161", "nothing named as what defines this cause"),
        ("{check: hose-sealed, answer: taped, why_hidden: in the wall}", "K161", "check and why_hidden named"),
        ("{rule: pipe-height, side: below}", "K161", "does not break 'pipe-height' on the side 'below'"),
        ("{check: hose-sealed, answer: loose}", "K161", "does not show 'loose' of 'hose-sealed'"),
        ("{check: hose-sealed, answer: tapped}", "K110", "'hose-sealed' has no answer 'tapped'"),
        ("{check: hose-seal, answer: taped}", "K101", "hose-seal"),
    ],
)
def test_what_defines_a_cause_is_one_thing_that_it_shows(folder, look, code, said):
    spoil(folder, SEALED, "\nshows:\n", f"\ndefines: {look}\nshows:\n")
    problems = read_kb(folder)[1]
    assert [p.code for p in problems][:1] == ([code] if code else [])
    if code:
        assert said in problems[0].message
        assert problems[0].line
        assert problems[0].mend


@pytest.mark.parametrize(
    ("repeats", "code", "said"),
    [
        ("[wet]", None, ""),
        ("[]", None, ""),
        ("[wet, dark]", None, ""),
        ("[dark]", "K167", "repeats no complaint that 'hose-sealed-in' shows"),
        ("[wett]", "K101", "wett"),
    ],
)
def test_a_proof_repeats_what_its_cause_is_complained_of_by(folder, repeats, code, said):
    """A proof that could pass with all that the cause shows still there proves nothing."""
    with (folder / "complaints.yaml").open("a") as file:
        file.write(
            "- {title: Dark, id: dark, says: it is dark, hear: [dark, it is dark, no light, lights out, all dark], gates: [], unlisted_per_1000: {n: 1, basis: judgement}}\n"
        )
    spoil(folder, LOW, "\nshows:\n", "\nshows:\n  - {complaint: dark, strength: likely}\n")
    text = (folder / CHECKS).read_text()
    at = text.index("\n", text.index("id: hose-sealed"))
    (folder / CHECKS).write_text(f"{text[:at]}\n  repeats: {repeats}{text[at:]}")
    problems = read_kb(folder)[1]
    assert [p.code for p in problems][:1] == ([code] if code else [])
    assert not code or said in problems[0].message


def test_most_causes_say_why_their_numbers_are_as_they_are_and_no_two_alike(kb):
    """Strengths are judgement; judgement alone stands for at most a third of the causes."""
    said = [c.because for c in kb.causes.values() if c.because]
    assert len(said) >= 2 / 3 * len(kb.causes)
    assert all(40 <= len(text) <= 200 for text in said)
    sentences = [s.strip().lower() for text in said for s in text.split(". ")]
    assert len({*sentences}) == len(sentences)


@pytest.mark.parametrize(
    ("line", "code", "said"),
    [
        ("{complaints: [wet]}", None, ""),
        ("{answers: {pipe-height: below}}", None, ""),
        ("{}", "K162", "an unless that says nothing"),
        ("{answers: {hose-sealed: taped}}", "K162", "its own answer makes senseless"),
        ("{answers: {pipe-height: taped}}", "K110", "pipe-height"),
        ("{complaints: [wetx]}", "K101", "wetx"),
    ],
)
def test_what_makes_a_question_senseless_is_said_of_others(folder, line, code, said):
    text = (folder / CHECKS).read_text()
    at = text.index("\n", text.index("id: hose-sealed"))
    (folder / CHECKS).write_text(f"{text[:at]}\n  unless: [{line}]{text[at:]}")
    problems = read_kb(folder)[1]
    assert [p.code for p in problems] == ([code] if code else [])
    assert not code or said in problems[0].message
