"""Reading: YAML text to a Site, or messages with file, line and column."""
