"""Sessions and compositions brought together: what was found, and what it was about."""
