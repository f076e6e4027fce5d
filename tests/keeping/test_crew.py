"""Work side by side: results in the order of the jobs, and no more begun than a few before their turn."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from threading import Lock

from wiregen.crew import AHEAD, Crew


def test_results_come_in_order_and_no_more_than_a_few_wait() -> None:
    begun, lock, heard = 0, Lock(), []

    def work(site: int, job: int) -> int:
        nonlocal begun
        with lock:
            begun += 1
        return site + job

    jobs = range(5 * AHEAD)
    with ThreadPoolExecutor(2) as pool:
        crew = Crew(0, pool, 1000)
        results = crew("adding", work, jobs, lambda doing, done, of: heard.append((doing, done, of)))
        for taken, result in enumerate(results):
            assert result == 1000 + taken
            assert begun <= taken + AHEAD
    assert begun == len(jobs)
    assert heard == [("adding", done, len(jobs)) for done in range(len(jobs) + 1)]


def test_one_alone_does_a_job_when_it_is_asked_for() -> None:
    done: list[int] = []
    results = Crew(0, None)("adding", lambda site, job: done.append(job) or site + job, [1, 2, 3])
    assert next(results) == 1
    assert done == [1]
