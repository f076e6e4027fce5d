"""wiregen: from a door's YAML to the paper that a technician lands it from.

What libraries read from the environment once, as they are loaded, is set here, where the user has not.
"""

import os
from platform import machine

__version__ = "0.1.0"

os.environ.setdefault("RL_shapeChecking", "0")  # reportlab looks at every attribute of every shape otherwise, set or read
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the matrices of a door are small: threads would only cost

# Kernels that every processor of its kind has, or the last digits would depend on which one a packet is made on.
KERNELS = {"x86_64": "Nehalem", "AMD64": "Nehalem", "aarch64": "ARMV8", "arm64": "ARMV8"}
if machine() in KERNELS:
    os.environ.setdefault("OPENBLAS_CORETYPE", KERNELS[machine()])
