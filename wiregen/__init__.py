"""wiregen: from a door's YAML to the paper that a technician lands it from."""

__version__ = "0.1.0"
