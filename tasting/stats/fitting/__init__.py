"""Maximum likelihood within bounds: the maximum, and how far a quantity may lie from it."""
