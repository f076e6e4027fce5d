"""Doors side by side: one function over many doors, here, in other processes or on a Dask cluster, results in the doors' order.

Processes and a cluster are given their work alike, through an executor of `concurrent.futures`.
"""

from __future__ import annotations

import multiprocessing
import signal
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import ExitStack, contextmanager
from itertools import islice
from threading import Lock, current_thread, main_thread
from typing import Any, Generic, TypeVar

AHEAD = 64  # jobs that are begun before their turn: so many results wait to be taken, at the most
Processes = int | str  # how many; or the address of the scheduler of a cluster, "tcp://host:8786"
Progress = Callable[[str, int, int], None]  # what is being done, how many are done, of how many
Site = TypeVar("Site")
Job = TypeVar("Job")
Done = TypeVar("Done")


def silent(doing: str, done: int, of: int) -> None:
    """A `Progress` that tells nobody."""


class Crew(Generic[Site]):
    """Calls `work(site, job)` for every job."""

    def __init__(self, site: Site, pool: Executor | None, there: Any = None) -> None:
        """`there` stands for the site with those who work: it has been given to them before."""
        self._site = site
        self._pool = pool
        self._there = there

    @property
    def afar(self) -> bool:
        """Whether it works where nobody here can read what is kept."""
        return self._there is not None

    @property
    def apart(self) -> bool:
        """Whether it works elsewhere, so that what it gives is sent."""
        return self._pool is not None

    def __call__(
        self, doing: str, work: Callable[[Site, Job], Done], jobs: Sequence[Job], tell: Progress = silent
    ) -> Iterator[Done]:
        """The results in the order of `jobs`; `tell` hears of each."""
        tell(doing, 0, len(jobs))
        results = self._elsewhere(self._pool, work, jobs) if self._pool else (work(self._site, job) for job in jobs)
        for done, result in enumerate(results, start=1):
            tell(doing, done, len(jobs))
            yield result


    def _elsewhere(self, pool: Executor, work: Callable[[Site, Job], Done], jobs: Sequence[Job]) -> Iterator[Done]:
        rest = iter(jobs)

        def begun(count: int) -> list[Future[Done]]:
            return [pool.submit(_work_there, work, self._there, job) for job in islice(rest, count)]

        with _break_held():
            waiting = deque(begun(AHEAD))
        while waiting:
            yield waiting.popleft().result()
            waiting += begun(1)


class Hired:
    """Hands for several tasks, one after the other: those who were given a site go on with it."""

    def __init__(self, jobs: Processes, held: ExitStack) -> None:
        self._jobs, self._held = jobs, held
        self._crew: tuple[Any, Crew[Any]] | None = None

    def crew(self, site: Site, tasks: int) -> Crew[Site]:
        if self._crew is None or self._crew[0] is not site:
            self._held.close()
            self._crew = site, self._held.enter_context(crew(self._jobs, site, tasks))
        return self._crew[1]


Hands = Processes | Hired


@contextmanager
def hired(jobs: Processes) -> Iterator[Hired]:
    with ExitStack() as held:
        yield Hired(jobs, held)


@contextmanager
def crew(jobs: Hands, site: Site, tasks: int) -> Iterator[Crew[Site]]:
    """As many processes as asked for and of use, each given `site` once; none where one is enough.

    Started afresh, not forked: a fork would copy the threads of the number libraries in whatever state they are.  On a
    cluster the same program must be installed; raises OSError where no scheduler answers.
    """
    if isinstance(jobs, Hired):
        yield jobs.crew(site, tasks)
        return
    if isinstance(jobs, str):
        from distributed import Client

        with Client(jobs, set_as_default=False) as client:
            there = client.scatter(site, broadcast=True, hash=False)
            yield Crew(site, client.get_executor(), there)
        return
    if min(jobs, tasks) < 2:
        yield Crew(site, None)
        return
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(min(jobs, tasks), mp_context=context, initializer=_begin_there, initargs=(site,)) as pool:
        try:
            yield Crew(site, pool)
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise


@contextmanager
def _break_held() -> Iterator[None]:
    """Holds Ctrl-C back while processes are started: they inherit that, and so leave it to this one to answer.

    Noted by a handler too, as threads of the number libraries, which hold nothing back, may be the ones to hear it.
    """
    if not hasattr(signal, "pthread_sigmask") or current_thread() is not main_thread():  # Windows; not ours to answer
        yield
        return
    pressed: list[int] = []
    handler = signal.signal(signal.SIGINT, lambda number, _: pressed.append(number))
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
        signal.signal(signal.SIGINT, handler)
    if pressed:
        raise KeyboardInterrupt


_there: dict[str, Any] = {}  # in a process of the crew: the site it was given
_one = Lock()  # the setting of type is for one thread at a time, and a worker of a cluster may have several


def _begin_there(site: object) -> None:
    _there["site"] = site


def _work_there(work: Callable[[Any, Job], Done], site: Any, job: Job) -> Done:
    with _one:
        return work(_there["site"] if site is None else site, job)
