"""One thread for the number libraries: the networks are small, and the tests run side by side.  Read once, when numpy loads."""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
