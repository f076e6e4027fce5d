"""Ways to feed a door, side by side: variants of the door, each put through wiring, study and review, then ranked."""
