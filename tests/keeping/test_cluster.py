"""Doors on a Dask cluster: the bytes that one process gives."""

from __future__ import annotations

import contextlib
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.cli.run import wiregen
from tests.keeping.sites import quick_site
from wiregen.build import examine
from wiregen.making import make


@pytest.fixture(scope="module")
def distributed() -> Any:
    """Here and not above: it takes long to load, and other processes of the tests have no need of it."""
    return pytest.importorskip("distributed")


@pytest.fixture(scope="module")
def address(distributed: Any) -> Iterator[str]:
    """The scheduler of two workers on the loopback interface, in threads of this process: what they are given is pickled."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        cluster = distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=False, protocol="tcp", host="127.0.0.1", dashboard_address=None
        )
        with contextlib.closing(cluster):
            yield cluster.scheduler_address


@pytest.mark.filterwarnings("ignore")
def test_a_cluster_gives_the_bytes_that_one_process_gives(address: str, tmp_path: Path) -> None:
    site = quick_site(tmp_path / "weir")
    assert address.startswith("tcp://127.0.0.1")
    done = wiregen("packet", site, "-o", tmp_path / "out", "--cluster", address, "--quiet")
    assert done.returncode == 0, done.stderr
    made = make(examine(site))
    assert {name: (tmp_path / "out" / name).read_bytes() for name in made} == made


def test_where_no_scheduler_answers_it_is_said_in_a_line(
    distributed: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DASK_DISTRIBUTED__COMM__TIMEOUTS__CONNECT", "0.2s")
    pytest.importorskip("dask").config.refresh()
    done = wiregen("check", quick_site(tmp_path / "weir", doors=1), "--cluster", "tcp://127.0.0.1:9")
    assert done.returncode == 3
    assert "Traceback" not in done.stderr
    assert "127.0.0.1:9" in done.stderr.splitlines()[-1]
