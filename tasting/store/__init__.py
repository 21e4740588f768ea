"""The only place that knows the database: formulas, sessions, the host's passphrase, documents."""
