"""Who may see which page: a host who signed in, or whoever holds the link of a seat."""

import hmac
import os

import streamlit as st
from sqlalchemy import Engine

from tasting.errors import InputError
from tasting.store.access import choose_passphrase, is_passphrase

SEAT = "seat"
"""Query parameter of an assessor's link."""

SETUP_CODE = "TASTING_SETUP_CODE"
"""Environment variable with the code that `tasting app` prints at its first start."""

_HOST = "signed_in_as_host"


def seat_token() -> str | None:
    """The token in the address, if this browser opened an assessor's link."""
    return st.query_params.get(SEAT)


def is_host() -> bool:
    """Whether this browser signed in as the host and is not on an assessor's link."""
    return seat_token() is None and bool(st.session_state.get(_HOST))


def require_host() -> None:
    """Stops the page unless the host has signed in; every page of the host begins with it."""
    if not is_host():
        st.error("Please sign in as the host to see this page.")
        st.stop()


def sign_in(engine: Engine, passphrase: str) -> None:
    """Sign this browser in. Raises InputError when the passphrase is wrong."""
    if not is_passphrase(engine, passphrase):
        raise InputError("that is not the passphrase; check capitals and try again")
    st.session_state[_HOST] = True


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
    st.session_state.pop(_HOST, None)
