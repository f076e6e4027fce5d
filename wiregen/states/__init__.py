"""What a door does: its network and its logic settled together, in every state, with something struck or whole."""
