"""Maximum likelihood within bounds: the likelihood, its maximum, and how far a quantity may lie from it."""
