"""Who is a host by the login of an identity provider (OpenID Connect), from what it claims."""

from collections.abc import Mapping
from typing import Literal

from tasting.store.host_logins import LASTS

Standing = Literal["nobody", "host", "another"]


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
