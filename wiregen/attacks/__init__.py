"""What somebody outside can do to a door's wires, and what comes of it."""
