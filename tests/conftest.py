"""For speed: one thread for the number libraries, whose networks are small while tests run side by side (read once, when numpy
loads), and fewer looks for what may be freed.  Nothing is kept from one test for the next, but where a test asks for it."""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator

import pytest

gc.set_threshold(100_000, 20, 50)
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
os.environ["WIREGEN_CACHE"] = ""


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """For a module that runs the command line on the same site again and again: what is worked out is kept among its tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WIREGEN_CACHE", str(tmp_path_factory.mktemp("cache")))
        yield
