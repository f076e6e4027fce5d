"""Wiring: a door's relations to its conductors."""
