"""Whether Streamlit's login with an identity provider made this browser a host's.

Streamlit keeps the claims in a cookie that it signs; it is read here as Streamlit reads it, so that
files and uploads can be refused before they reach it.
"""

import json

from starlette.requests import HTTPConnection
from streamlit.auth_util import get_cookie_with_chunks
from streamlit.web.server.server_util import get_cookie_secret
from streamlit.web.server.starlette.starlette_app_utils import decode_signed_value
from streamlit.web.server.starlette.starlette_server_config import USER_COOKIE_NAME

from tasting import settings
from tasting.records import now
from tasting.store.provider_logins import standing_of


def is_host(connection: HTTPConnection) -> bool:
    """Whether somebody who is listed as a host has logged in here, and not too long ago."""
    listed = settings.hosts()
    if not listed or USER_COOKIE_NAME not in connection.cookies:
        return False
    return standing_of(_claims(connection), listed, now().timestamp()) == "host"


def _claims(connection: HTTPConnection) -> dict[str, object]:
    secret = get_cookie_secret()

    def part(name: str) -> bytes | None:
        return decode_signed_value(secret, name, connection.cookies.get(name, ""))

    try:
        told = json.loads(get_cookie_with_chunks(part, USER_COOKIE_NAME) or b"{}")
    except ValueError:
        return {}
    return told if isinstance(told, dict) else {}
