"""Hosts who log in with an identity provider (OpenID Connect), through Streamlit's own login.

Optional: who is a host stands in TASTING_HOSTS, the provider in Streamlit's secrets.toml. Without
TASTING_HOSTS nobody becomes a host in this way.
"""

import streamlit as st
from sqlalchemy import Engine
from streamlit.errors import StreamlitAuthError

from tasting import settings
from tasting.errors import InputError
from tasting.records import now
from tasting.store.access import shared_link_secret
from tasting.store.provider_logins import Standing, address_of, standing_of

__all__ = ["Standing", "address_of", "link_secret", "log_in", "standing"]


def standing() -> Standing:
    """Who is logged in at the identity provider: nobody, a host, or somebody else."""
    return standing_of(st.user.to_dict(), settings.hosts(), now().timestamp())


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
