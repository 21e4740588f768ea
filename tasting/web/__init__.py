"""What a phone or a stranger may reach: the server, its guard and the ways to sign in."""
