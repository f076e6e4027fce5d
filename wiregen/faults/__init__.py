"""What can go wrong at a door, one thing at a time, and what the door and a meter then show."""
