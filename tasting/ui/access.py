"""Who may see which page: a host who signed in, or whoever holds the link of a seat."""

import streamlit as st

from tasting.records import now
from tasting.report.links import POUR, SEAT
from tasting.store import host_logins
from tasting.store.host_logins import COOKIE
from tasting.ui import page, single_sign_on


def seat_token() -> str | None:
    """The token in the address, if this browser opened an assessor's link."""
    return st.query_params.get(SEAT)


def session_to_pour() -> str | None:
    """The session in the address, if this browser opened the link to its pour sheet."""
    return st.query_params.get(POUR)


def host_token() -> str:
    """The token that this browser got when the host signed in, or nothing."""
    return st.context.cookies.get(COOKIE, "")


def _secret() -> bytes | None:
    token = host_token()
    return host_logins.secret_of(page.engine(), token, now()) if token else None


def is_host() -> bool:
    """Whether this browser is signed in as the host and is on nobody else's link."""
    if seat_token() or session_to_pour():
        return False
    return single_sign_on.standing() == "host" or _secret() is not None


def require_host() -> None:
    """Stops the page unless the host has signed in; every page of the host begins with it."""
    if not is_host():
        st.error("Please sign in as the host to see this page.")
        st.stop()


def secret_behind_links() -> bytes:
    """What the links of assessors are computed from; known to a signed-in host only."""
    require_host()
    # One for all hosts: with two secrets, each host would replace the links of the other.
    secret = single_sign_on.link_secret(page.engine()) or _secret()
    if secret is None:
        st.stop()
    return secret


def sign_out() -> None:
    """End the sign-in of this browser, in all its tabs."""
    with page.show_errors():
        host_logins.end(page.engine(), host_token())
    if single_sign_on.standing() != "nobody":
        st.logout()
