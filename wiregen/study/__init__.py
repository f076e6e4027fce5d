"""Study: a door's figures and expected readings."""
