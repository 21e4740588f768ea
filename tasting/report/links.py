"""Addresses that lead into the app from outside the host's pages."""

SEAT = "seat"
"""Query parameter of an assessor's link: the token of the seat."""

POUR = "pour"
"""Query parameter of the link for whoever fills the cups: the session."""

SIGN_IN = "/signin"
"""Path of the plain page for signing in."""


def seat_link(base_url: str, token: str) -> str:
    """The address of an assessor's ballot."""
    return f"{base_url}/?{SEAT}={token}"


def pour_link(base_url: str, session_id: str) -> str:
    """The address of a session's pour sheet."""
    return f"{base_url}/?{POUR}={session_id}"
