"""A browser that asks an ASGI application directly: it keeps cookies and follows no redirect."""

import asyncio
from dataclasses import dataclass, field
from http.cookies import SimpleCookie
from urllib.parse import urlencode, urlsplit


@dataclass(frozen=True)
class Reply:
    """What came back."""

    status: int
    headers: dict[str, str]
    text: str
    cookies: tuple[str, ...] = ()


@dataclass
class Browser:
    """One browser before one application."""

    app: object
    host: str = "testserver"
    address: str = "192.0.2.1"
    cookies: dict[str, str] = field(default_factory=dict)

    def get(self, url: str, **headers: str) -> Reply:
        return self._ask("GET", url, b"", headers)

    def post(self, url: str, given: dict[str, str], **headers: str) -> Reply:
        return self._ask("POST", url, urlencode(given).encode(), headers)

    def _ask(self, method: str, url: str, body: bytes, headers: dict[str, str]) -> Reply:
        sent = {"host": self.host, **headers}
        if self.cookies:
            sent["cookie"] = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        reply = asyncio.run(self._exchange(method, url, body, sent))
        for cookie in reply.cookies:
            for name, morsel in SimpleCookie(cookie).items():
                self.cookies[name] = morsel.value
                if morsel["max-age"] == "0":
                    del self.cookies[name]
        return reply

    async def _exchange(self, method: str, url: str, body: bytes, headers: dict[str, str]) -> Reply:
        parts, messages = urlsplit(url), []
        scope = {
            "type": "http",
            "method": method,
            "scheme": "http",
            "client": (self.address, 50_000),
            "path": parts.path,
            "query_string": parts.query.encode(),
            "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
        }

        async def receive() -> dict[str, object]:
            return {"type": "http.request", "body": body, "more_body": False}

        async def send(message: dict[str, object]) -> None:
            messages.append(message)

        await self.app(scope, receive, send)
        start, *rest = messages
        got = {name.decode().lower(): value.decode() for name, value in start["headers"]}
        text = b"".join(message.get("body", b"") for message in rest).decode()
        cookies = (value for name, value in start["headers"] if name.lower() == b"set-cookie")
        return Reply(start["status"], got, text, tuple(map(bytes.decode, cookies)))
