"""Hosts who log in with an identity provider (OpenID Connect), through Streamlit's own login.

Optional: who is a host stands in TASTING_HOSTS, the provider in Streamlit's secrets.toml. Without
TASTING_HOSTS nobody becomes a host in this way.
"""

from collections.abc import Mapping
from typing import Literal

import streamlit as st
from sqlalchemy import Engine
from streamlit.errors import StreamlitAuthError

from tasting import settings
from tasting.errors import InputError
from tasting.records import now
from tasting.store.access import shared_link_secret
from tasting.store.host_logins import LASTS

Standing = Literal["nobody", "host", "another"]


def standing() -> Standing:
    """Who is logged in at the identity provider: nobody, a host, or somebody else."""
    return standing_of(st.user.to_dict(), settings.hosts(), now().timestamp())


def standing_of(user: Mapping[str, object], listed: frozenset[str], now: float) -> Standing:
    """The standing of somebody with these claims (OpenID Connect Core 1.0, sections 2 and 5.1).

    A login lasts as long as a sign-in with the passphrase, though Streamlit's cookie lasts longer.
    `now` and the claim `iat` are seconds since 1970.
    """
    issued = user.get("iat")
    if user.get("is_logged_in") is not True or not isinstance(issued, int | float):
        return "nobody"
    if now - issued > LASTS.total_seconds():
        return "nobody"
    # Some providers send the claim as text, some not at all: those are taken at their word.
    verified = str(user.get("email_verified", True)).casefold() == "true"
    return "host" if verified and address_of(user).casefold() in listed else "another"


def address_of(user: Mapping[str, object]) -> str:
    """The e-mail address among the claims, or nothing."""
    return str(user.get("email") or "").strip()


def link_secret(engine: Engine) -> bytes | None:
    """The secret behind the links, the same for all hosts; None when single sign-on is not used."""
    if not settings.hosts() or not st.secrets.load_if_toml_exists():
        return None
    kept = st.secrets.get("auth", {}).get("cookie_secret")
    return shared_link_secret(engine, str(kept)) if kept else None


def log_in() -> None:
    """Lead the browser to the identity provider. Raises InputError when none is set up."""
    try:
        st.login()
    except StreamlitAuthError:
        raise InputError(
            "single sign-on is not set up; install the package with its part sso, and fill [auth] "
            "in .streamlit/secrets.toml"
        ) from None
