"""What of a site is no longer as it was: door by door, told to the one who has to change the wall."""
