"""The seat behind a phone: the cookie that holds its token, and the keys of its forms.

The token comes in the address once, from a QR code; from then on it is in a cookie alone. A form
carries a key that only the token of its seat gives, so a form of one seat is never taken for
another's when a phone was passed on, and no other site can make one up.
"""

import hashlib
import hmac
from base64 import urlsafe_b64encode

from starlette.requests import Request
from starlette.responses import Response

from tasting.web.bounds import SEATS, STRANGERS
from tasting.web.requests import address_of, over_https

COOKIE = "tasting_seat"
_LASTS_SECONDS = 7 * 24 * 3600


def keep(request: Request, response: Response, token: str) -> None:
    """Set the cookie: no script reads it, and no other site's form brings it along."""
    response.set_cookie(
        COOKIE,
        token,
        max_age=_LASTS_SECONDS,
        path="/ballot",
        httponly=True,
        samesite="lax",  # a link in a message opens the ballot, too
        secure=over_https(request),
    )


def token_of(request: Request) -> str:
    """The token in the cookie, or nothing."""
    return request.cookies.get(COOKIE, "")


def form_key(token: str, stage: str) -> str:
    """The key of a form of this seat: the same each time, so a form sent again is known again."""
    return urlsafe_b64encode(hmac.digest(token.encode(), stage.encode(), "sha256")[:15]).decode()


def fits(token: str, stage: str, key: str) -> bool:
    """Whether a form of this seat and stage carries this key."""
    return hmac.compare_digest(form_key(token, stage).encode(), key.encode())


def is_too_fast(request: Request, token: str) -> bool:
    """Whether this client has asked for more than its share."""
    client = _client(token)
    return not SEATS.take(client) if client in SEATS else STRANGERS.is_spent(address_of(request))


def welcome(token: str) -> None:
    """Count this seat by itself from now on: it is known."""
    SEATS.take(_client(token), 0)


def turn_away(request: Request) -> None:
    """Count a token that nobody gave out against the address that it came from."""
    STRANGERS.take(address_of(request))


def _client(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
