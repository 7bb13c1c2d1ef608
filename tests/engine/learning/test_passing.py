"""A pass over many cases gives the same counts whoever counts, however the cases are parted, and whatever is killed."""

import os
import pickle
import signal
from concurrent.futures import process

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.learning import passing
from dryfloor.engine.learning.counts import Counts, Parameters, counted
from dryfloor.engine.learning.passing import Job, Spool, at_home, by_processes, decoded, summed
from tests.support.lessons import lessons
from tests.support.shipped import shipped


@pytest.fixture
def spool(tmp_path):
    made = Spool(tmp_path / "cases", chunk=2)
    made.write(lessons())
    return made


@pytest.fixture
def job():
    return Job(shipped(), Parameters(network_of(shipped())).judged)


def alike(a: Counts, b: Counts) -> None:
    assert np.abs(a.yes - b.yes).max() <= 1e-9
    assert np.abs(a.of - b.of).max() <= 1e-9
    assert a.log_likelihood == pytest.approx(b.log_likelihood, abs=1e-9)
    assert (a.asked, a.left_out) == (b.asked, b.left_out)


def whole() -> Counts:
    network = network_of(shipped())
    return counted(network, Parameters(network), lessons())


def test_a_spool_gives_back_what_was_written(spool):
    assert [*spool.part().lessons()] == lessons()
    assert spool.cases == len(lessons())


@pytest.mark.parametrize("chunk", [1, 3, 100])
def test_any_partition_gives_the_same(tmp_path, job, chunk):
    made = Spool(tmp_path / "cases", chunk)
    made.write(lessons())
    alike(summed(job, made.part(), at_home), whole())


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(1, 9), st.integers(0, 8), st.integers(0, 8))
def test_a_part_is_the_cases_between_two_of_them(tmp_path, chunk, first, last):
    some = lessons()
    assert len(some) == 8
    first, last = min(first, last), max(first, last)
    made = Spool(tmp_path / "cases", chunk)
    made.write(some)
    part = made.part(first, last)
    assert [*part.lessons()] == some[first:last]
    assert (part.cases, part.pieces) == (last - first, len([*part.chunks()]))


def test_every_so_many_chunks_are_those_chunks(spool, job):
    assert [n for n, _ in spool.part().chunks(every=3)] == [0, 3]
    some = [x for n in (0, 3) for x in decoded(dict(spool.part().chunks())[n])]
    network = network_of(shipped())
    alike(summed(job, spool.part(), at_home, every=3), counted(network, Parameters(network), some))


def test_a_job_travels(job):
    again = pickle.loads(pickle.dumps(job))
    assert (again.kb, again.numbers) == (job.kb, job.numbers)


def test_a_pass_that_was_cut_off_goes_on(spool, job):
    seen = []
    total = summed(job, spool.part(), at_home, told=lambda n, counts: seen.append((n, counts)))
    asked = []

    def mapping(job, chunks):
        for n, chunk in chunks:
            asked.append(n)
            yield n, job.count(chunk)

    alike(summed(job, spool.part(), mapping, kept=seen[1]), total)
    assert asked == [*range(2, len(spool.ends))]


def test_counts_that_come_in_any_order_are_summed_in_one(spool, job):
    def backward(job, chunks):
        yield from [(n, job.count(chunk)) for n, chunk in chunks][::-1]

    one, other = summed(job, spool.part(), at_home), summed(job, spool.part(), backward)
    assert (one.yes == other.yes).all()
    assert one.log_likelihood == other.log_likelihood


@pytest.mark.slow
@pytest.mark.parametrize("workers", [1, 2, 4])
def test_any_number_of_workers_gives_the_same(spool, job, workers):
    alike(summed(job, spool.part(), by_processes(workers)), whole())


@pytest.mark.slow
def test_a_worker_that_is_killed_loses_nothing(spool, job, monkeypatch):
    killed = []

    class Watched(process.ProcessPoolExecutor):
        def submit(self, *args):
            future = super().submit(*args)
            if not killed:
                killed.append(next(iter(self._processes)))
                os.kill(killed[0], signal.SIGKILL)
            return future

    monkeypatch.setattr(passing, "ProcessPoolExecutor", Watched)
    alike(summed(job, spool.part(), by_processes(2)), whole())
    assert killed


@pytest.mark.slow
def test_a_scheduler_gives_the_same(spool, job):
    import distributed  # a part of the extra `test`, so that nobody passes without it

    from dryfloor.engine.learning.passing import by_scheduler

    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        alike(summed(job, spool.part(), by_scheduler(cluster.scheduler_address)), whole())


def test_a_chunk_is_the_cases_that_it_was_made_of(spool):
    (_, first), *_ = spool.part().chunks()
    assert decoded(first) == lessons()[:2]
