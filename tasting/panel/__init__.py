"""Who tastes what, blind: methods, serving orders, codes, and the life of a session."""
