"""What was worked out before, kept so that a change of one door costs one door: what a door depends on, under which key it is
kept, and where."""
