"""The bench: a glass of a version, pinch by pinch, on a phone."""
