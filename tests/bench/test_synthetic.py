"""The made-up kbs: the loader takes them, the same seed gives the same files, and a complaint touches no more in a larger one."""

import pytest

from dryfloor.engine.advise import advise
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.evidence import gather_evidence
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.knowledge import graph
from dryfloor.engine.knowledge.load import read_kb
from dryfloor.engine.language.matching import hear
from tests.bench.synthetic import CAUSES, District, files, word, write

SMALL, LARGE = 100, 300
"""Causes of two kbs, of which the larger holds the smaller."""


@pytest.fixture(scope="module")
def kbs(tmp_path_factory):
    """Both kbs, read with every reference checked."""
    out = []
    for size in (SMALL, LARGE):
        folder = tmp_path_factory.mktemp("made-up") / str(size)
        write(folder, size)
        kb, problems = read_kb(folder)
        assert problems == []
        out.append(kb)
    return out


@pytest.mark.slow
def test_the_loader_and_every_reference_check_take_it(kbs):
    assert [len(kb.causes) for kb in kbs] == [SMALL, LARGE]


def test_everything_grows_with_it_and_is_about_as_dense_as_the_shipped_kb(kbs, kb):
    small, large = kbs
    for table in ("complaints", "checks", "rules", "facts", "hazards", "parts"):
        assert len(getattr(large, table)) * SMALL == len(getattr(small, table)) * LARGE
        density = len(getattr(small, table)) / SMALL * len(kb.causes) / len(getattr(kb, table))
        assert 0.5 < density < 2, table


def test_the_same_seed_gives_the_same_files_and_another_one_others():
    assert [*files(SMALL, 3)] == [*files(SMALL, 3)]
    assert [*files(SMALL, 3)] != [*files(SMALL, 4)]


def test_a_larger_kb_holds_every_district_of_a_smaller_one():
    small, large = dict(files(SMALL)), dict(files(LARGE))
    mine = [name for name in small if "/" in name]
    assert len(mine) == SMALL + 4
    assert all(large[name] == small[name] for name in mine)


def test_a_number_of_causes_that_is_no_row_of_districts_is_refused():
    for causes in (0, 75, 20_000):
        with pytest.raises(ValueError, match="expected a multiple of 50 up to 10000"):
            next(files(causes))


def test_words_are_all_different():
    assert len({word(n) for n in range(20_000)}) == 20_000


def test_a_file_stays_under_what_the_loader_reads_in_the_largest_kb():
    from dryfloor.engine.knowledge.strict_yaml import MOST_BYTES

    last = District(199, 0)
    assert (
        200 * max(len("".join(getattr(last, name)())) for name in ("complaints", "hazards", "facts")) < 0.9 * MOST_BYTES
    )


def test_what_a_complaint_touches_does_not_depend_on_the_size_of_the_kb(kbs):
    # The first district of both: the same causes, checks and findings go into the belief, and nothing of the rest does.
    seen = []
    for kb in kbs:
        network = network_of(kb)
        rows = []
        for complaint in [*kb.complaints][:5]:
            state = fold(
                kb, [Event(role="technician"), Event(complaints=[complaint]), Event(check="look-000-0", answer="off-0")]
            )
            evidence = gather_evidence(network, state)
            rows.append((evidence.causes, evidence.names, evidence.facts.names, network.checks_for(evidence.causes)))
        seen.append(rows)
    assert seen[0] == seen[1]
    assert all(0 < len(causes) < CAUSES for causes, *_ in seen[0])


def test_every_complaint_of_a_larger_kb_touches_about_as_much(kbs):
    most = [max(len(graph.relevant(network_of(kb).graph, [c])) for c in kb.complaints) for kb in kbs]
    assert max(most) < 1.5 * min(most) < CAUSES


def test_a_case_gets_the_same_advice_in_a_larger_kb(kbs):
    case = [Event(role="homeowner"), Event(complaints=["trouble-000-2"]), Event(cleared="hazard-000-2", word="clear")]
    small, large = (advise(kb, [*case, Event(check="height-000-0", value="1 in")]) for kb in kbs)
    assert small.worked_out
    assert small == large


def test_a_phrase_is_heard_for_its_own_complaint(kbs):
    for kb in kbs:
        for complaint in list(kb.complaints.values())[::3]:
            assert hear(complaint.hear[0], kb).complaints[0].complaint == complaint.id
