"""Planning a session: everything that is fixed before the first answer."""
