"""wiregen: from a door's YAML to the paper that a technician lands it from."""

import os

__version__ = "0.1.0"

os.environ.setdefault("RL_shapeChecking", "0")  # reportlab looks at every attribute of every shape otherwise, set or read
