"""A phone without a browser: one connection, one cookie, and the forms of the ballot."""

import asyncio
import re
from contextlib import suppress
from dataclasses import dataclass, field
from html import unescape
from time import monotonic
from urllib.parse import urlencode, urlsplit

PATIENCE_SECONDS = 120
AGAIN_SECONDS = 0.2
ANSWER, BEGIN = "/ballot/answer", "/ballot/begin"


@dataclass
class BallotPage:
    """What the phone shows."""

    text: str = ""

    @property
    def at_set(self) -> int:
        """The set that is shown; 0 before the first and after the last."""
        found = re.search(r" · set (\d+) of \d+</p>", self.text)
        return int(found[1]) if found else 0

    @property
    def has_ended(self) -> bool:
        """Whether this is the end of the ballot."""
        return ">Thank you</h1>" in self.text

    @property
    def codes(self) -> list[str]:
        """The codes that can be chosen."""
        return re.findall(r'name="choice" value="(\d{3})"', self.text)

    @property
    def said(self) -> list[str]:
        """What is said to be wrong, or late."""
        return [unescape(said) for said in re.findall(r'role="alert">([^<]+)<', self.text)]

    def form(self, **given: str) -> dict[str, str]:
        """What the first form sends, with these fields filled in."""
        hidden = re.findall(r'name="(set|key)" value="([^"]+)"', self.text.partition("</form>")[0])
        return {**dict(hidden), **given}

    def is_over(self, replicate: int) -> bool:
        """Whether this set is over."""
        return self.at_set > replicate or self.has_ended


@dataclass
class Phone:
    """One phone, with the ballot's script or without; `seconds` is how long each page took."""

    url: str
    page: BallotPage = field(default_factory=BallotPage)
    cookie: str = ""
    scripted: bool = True
    seconds: list[float] = field(default_factory=list)
    pipe: tuple[asyncio.StreamReader, asyncio.StreamWriter] | None = None

    async def show(self, path: str) -> None:
        """Open an address of the app, and show where it leads."""
        while path:
            began = monotonic()
            status, headers, text = await self.ask("GET", path)
            self.seconds.append(monotonic() - began)
            if kept := re.match(r"tasting_seat=([^;]+)", headers.get("set-cookie", "")):
                self.cookie = kept[1]
            path = headers.get("location", "") if status == 303 else ""
        self.page = BallotPage(text)

    async def send(self, path: str, given: dict[str, str]) -> None:
        """Send a form, until it has come through, and show where it leads."""
        began = monotonic()
        status, headers, text = await self.ask("POST", path, urlencode(given))
        self.seconds.append(monotonic() - began)
        self.page = BallotPage(text)
        if status == 303:
            await self.show(headers["location"])

    def drop(self) -> None:
        """Lose the connection, without a word to the server."""
        if self.pipe:
            self.pipe[1].transport.abort()
            self.pipe = None

    async def ask(self, method: str, path: str, body: str = "") -> tuple[int, dict[str, str], str]:
        """Ask again and again, as the ballot's script does. Raises TimeoutError at last."""
        async with asyncio.timeout(PATIENCE_SECONDS):
            while True:
                with suppress(ConnectionError, asyncio.IncompleteReadError):
                    answer = await self.ask_once(method, path, body)
                    if answer[0] not in (429, 503):
                        return answer
                self.drop()
                await asyncio.sleep(AGAIN_SECONDS)

    async def ask_once(self, method: str, path: str, body: str) -> tuple[int, dict[str, str], str]:
        """One request: status, headers and text of the answer. Raises ConnectionError."""
        place = urlsplit(self.url)
        if self.pipe is None or self.pipe[0].at_eof():
            self.drop()
            self.pipe = await asyncio.open_connection(place.hostname, place.port)
        reader, writer = self.pipe
        lines = [f"{method} {path} HTTP/1.1", f"host: {place.netloc}", "accept: text/html"]
        lines += [f"cookie: tasting_seat={self.cookie}"] * bool(self.cookie)
        if method == "POST":
            lines += ["content-type: application/x-www-form-urlencoded", "origin: null"]
            lines += [f"content-length: {len(body)}"]
            lines += ["tasting-stays: 1"] * self.scripted
        writer.write(("\r\n".join(lines) + "\r\n\r\n" + body).encode())
        status, *head = (await reader.readuntil(b"\r\n\r\n")).decode().split("\r\n")
        headers = {name.lower(): value for name, _, value in (one.partition(": ") for one in head)}
        text = await reader.readexactly(int(headers.get("content-length", 0)))
        return int(status.split()[1]), headers, text.decode()
