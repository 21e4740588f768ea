"""The ballot on an assessor's phone."""
