"""Addresses that lead into the app from outside the host's pages, and to what it prints."""

from urllib.parse import urlencode

SEAT = "seat"
"""Query parameter of an assessor's link: the token of the seat."""

POUR = "pour"
"""Query parameter of the link for whoever fills the cups, as it was: the session."""

TICKET = "ticket"
"""Query parameter by which a host whom only Streamlit's login knows may print."""

SIGN_IN = "/signin"
"""Path of the plain page for signing in."""

PRINT = "/print"
"""Path of what the host prints; the session and what it is follow."""

HOST_PAGES = ("drinks", "drink", "bench", "label", "tastings", "new", "tasting", "history", "host")
"""Addresses of the host's pages beside the first one, which opens where no page is named."""

HEALTH = "/health"
"""Path that says whether the server answers."""


def seat_link(base_url: str, token: str) -> str:
    """The address of an assessor's ballot."""
    return f"{base_url}/?{SEAT}={token}"


def pour_link(base_url: str, session_id: str) -> str:
    """The address of a session's pour sheet."""
    return f"{base_url}/pour/{session_id}"


def print_link(session_id: str, kind: str, ticket: str = "") -> str:
    """The path of what the host prints for a session: labels, cards or ballots."""
    path = f"{PRINT}/{session_id}/{kind}"
    return f"{path}?{urlencode({TICKET: ticket})}" if ticket else path
