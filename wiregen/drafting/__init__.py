"""Drafting: a door's wiring to placed and routed sheets."""
