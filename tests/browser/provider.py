"""A small identity provider: OpenID Connect Core 1.0, authorization code flow (section 3.1).

It asks nobody anything: whoever comes is the person whose claims were set last.
"""

import secrets
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from urllib.parse import parse_qs, urlencode

import uvicorn
from joserfc import jwt
from joserfc.jwk import KeySet, RSAKey
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

CLIENT, CLIENT_SECRET = "tasting", "known to the provider and the app"


@dataclass
class Provider:
    """The provider at this address, and the claims about who logs in."""

    url: str
    claims: dict[str, object] = field(default_factory=dict)
    key: RSAKey = field(default_factory=lambda: RSAKey.generate_key(2048, auto_kid=True))
    nonces: dict[str, str] = field(default_factory=dict)

    def discovery(self, _: Request) -> Response:
        """OpenID Connect Discovery 1.0, section 3."""
        ends = {"authorization": "authorize", "token": "token"}
        return JSONResponse(
            {
                "issuer": self.url,
                **{f"{name}_endpoint": f"{self.url}/{path}" for name, path in ends.items()},
                "jwks_uri": f"{self.url}/jwks",
                "response_types_supported": ["code"],
                "subject_types_supported": ["public"],
                "id_token_signing_alg_values_supported": ["RS256"],
            }
        )

    def authorize(self, request: Request) -> Response:
        """Back to the app at once, with a code."""
        asked, code = request.query_params, secrets.token_urlsafe(16)
        self.nonces[code] = asked["nonce"]
        given = urlencode({"code": code, "state": asked["state"]})
        return RedirectResponse(f"{asked['redirect_uri']}?{given}", status_code=302)

    async def token(self, request: Request) -> Response:
        """The signed claims, once for each code."""
        code = parse_qs((await request.body()).decode())["code"][0]
        now = int(time.time())
        told = {"iss": self.url, "sub": "1", "aud": CLIENT, "iat": now, "exp": now + 600}
        told |= {"nonce": self.nonces.pop(code), **self.claims}
        signed = jwt.encode({"alg": "RS256", "kid": self.key.kid}, told, self.key)
        return JSONResponse({"access_token": "none", "token_type": "Bearer", "id_token": signed})

    def jwks(self, _: Request) -> Response:
        """The public key."""
        return JSONResponse(KeySet([self.key]).as_dict(private=False))

    def app(self) -> Starlette:
        """The four addresses."""
        paths = {
            "/.well-known/openid-configuration": self.discovery,
            "/authorize": self.authorize,
            "/jwks": self.jwks,
        }
        routes = [Route(path, answer) for path, answer in paths.items()]
        return Starlette(routes=[*routes, Route("/token", self.token, methods=["POST"])])


@contextmanager
def serving(port: int) -> Iterator[Provider]:
    """The provider on this port, until the end of the block."""
    provider = Provider(f"http://127.0.0.1:{port}")
    config = uvicorn.Config(provider.app(), port=port, log_level="warning", ws="none")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    yield provider
    server.should_exit = True
    thread.join()
