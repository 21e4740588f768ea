"""Whether this browser is the host's; every page asks, beside the server that asked before it."""

import streamlit as st

from tasting.records import now
from tasting.report.links import TICKET
from tasting.store import host_logins
from tasting.store.host_logins import COOKIE
from tasting.ui import page, single_sign_on


def host_token() -> str:
    """The token that this browser got when the host signed in, or nothing."""
    return st.context.cookies.get(COOKIE, "")


def _secret() -> bytes | None:
    token = host_token()
    return host_logins.secret_of(page.engine(), token, now()) if token else None


def is_host() -> bool:
    """Whether this browser is signed in as the host."""
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


def print_ticket() -> str:
    """What lets a host who logged in with an identity provider print; nothing where not needed.

    The server's plain pages know its own sign-in only, and Streamlit cannot set its cookie.
    """
    if single_sign_on.standing() != "host" or _secret() is not None:
        return ""
    ticket = str(st.session_state.get(TICKET, ""))
    if not ticket or host_logins.secret_of(page.engine(), ticket, now()) is None:
        secret = secret_behind_links()
        ticket = host_logins.begin(page.engine(), secret, now(), host_logins.TICKET_LASTS)
        st.session_state[TICKET] = ticket
    return ticket


def sign_out() -> None:
    """End the sign-in of this browser, in all its tabs."""
    with page.show_errors():
        for token in (host_token(), str(st.session_state.get(TICKET, ""))):
            host_logins.end(page.engine(), token)
    if single_sign_on.standing() != "nobody":
        st.logout()


def sign_out_everywhere() -> None:
    """End the sign-in of the host in every browser."""
    require_host()
    with page.show_errors():
        host_logins.end_all(page.engine())
    if single_sign_on.standing() != "nobody":
        st.logout()
