"""The dashboard: how far from the reference, what is noticed, what to do next."""
