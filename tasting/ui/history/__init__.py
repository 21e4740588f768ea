"""All sessions, and what they say together."""
