"""One thread for the number libraries, so that processor time is what a computation takes."""

from __future__ import annotations

import os
import sys

THREADS = "OPENBLAS_NUM_THREADS"


def one_thread(module: str) -> None:
    """Starts a module of the bench anew with one thread: the number is read once, when numpy is loaded."""
    if os.environ.get(THREADS) != "1":
        os.execvpe(sys.executable, [sys.executable, "-m", module, *sys.argv[1:]], {**os.environ, THREADS: "1"})
