"""Entering doors: from a list, or one line of it, to specs that fit what a site has free."""
