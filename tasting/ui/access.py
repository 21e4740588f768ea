"""Who may see which page: a host who signed in, or whoever holds the link of a seat."""

import hmac
import os

import streamlit as st
from sqlalchemy import Engine

from tasting.errors import InputError
from tasting.store.access import check_passphrase, choose_passphrase, link_secret
from tasting.ui import shared

SEAT = "seat"
"""Query parameter of an assessor's link."""

POUR = "pour"
"""Query parameter of the link for whoever fills the cups."""

SETUP_CODE = "TASTING_SETUP_CODE"
"""Environment variable with the code that `tasting app` prints at its first start."""

_HOST = "signed_in_as_host"
_LINKS = "secret_behind_the_links"


def seat_token() -> str | None:
    """The token in the address, if this browser opened an assessor's link."""
    return st.query_params.get(SEAT)


def session_to_pour() -> str | None:
    """The session in the address, if this browser opened the link to its pour sheet."""
    return st.query_params.get(POUR)


def is_host() -> bool:
    """Whether this browser signed in as the host and is on nobody else's link."""
    return not (seat_token() or session_to_pour()) and bool(st.session_state.get(_HOST))


def require_host() -> None:
    """Stops the page unless the host has signed in; every page of the host begins with it."""
    if not is_host():
        st.error("Please sign in as the host to see this page.")
        st.stop()


def sign_in(engine: Engine, passphrase: str) -> None:
    """Sign this browser in. Raises InputError when the passphrase is wrong."""
    check_passphrase(engine, passphrase, shared.now())
    st.session_state[_LINKS] = link_secret(engine, passphrase)
    st.session_state[_HOST] = True


def secret_behind_links() -> bytes:
    """What the links of assessors are computed from; known to a signed-in host only."""
    return bytes(st.session_state[_LINKS])


def set_up(engine: Engine, passphrase: str, again: str, code: str) -> None:
    """Choose the passphrase at the first start, and sign in. Raises InputError."""
    wanted = os.environ.get(SETUP_CODE, "")
    if not hmac.compare_digest(code.strip().encode(), wanted.encode()):
        raise InputError("that is not the setup code; it stands in the terminal of the app")
    if passphrase != again:
        raise InputError("the two passphrases differ; type the same one twice")
    choose_passphrase(engine, passphrase)
    sign_in(engine, passphrase)


def setup_code_wanted() -> bool:
    """Whether choosing the passphrase needs the code from the terminal."""
    return bool(os.environ.get(SETUP_CODE))


def sign_out() -> None:
    """Forget the sign-in of this browser."""
    for kept in (_HOST, _LINKS):
        st.session_state.pop(kept, None)
