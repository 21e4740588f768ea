"""Starting the web app's server: what it is told, and who can reach it."""

import os
import secrets
import signal
import socket
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.util import find_spec
from typing import Never
from urllib.parse import urlsplit

from tasting import settings
from tasting.cli.connection import opened
from tasting.cli.look import THEME
from tasting.errors import InputError, StoreError
from tasting.store.access import has_passphrase

ELSEWHERE = ("192.0.2.1", 9)
"""An address reserved for documentation (RFC 5737); nothing is ever sent to it."""

_BELIEVED = "FORWARDED_ALLOW_IPS"
"""Where uvicorn reads whose X-Forwarded-For it believes."""

OPTIONS: Mapping[str, str] = {
    "server.headless": "true",
    "server.fileWatcherType": "none",
    "server.enableStaticServing": "false",
    # Megabytes: the largest document that may be imported; answers from paper have a bound of 1.
    "server.maxUploadSize": "50",
    "server.maxMessageSize": "20",
    "browser.gatherUsageStats": "false",
    "client.showErrorDetails": "none",
    "client.showErrorLinks": "false",
    "client.toolbarMode": "minimal",
    # Proposals are put into fields by their keys; Streamlit warns of that on the page itself.
    "global.disableWidgetStateDuplicationWarning": "true",
    "logger.hideWelcomeMessage": "true",
    "logger.level": "warning",
    **THEME,
}


@dataclass(frozen=True, slots=True)
class Start:
    """How the app is about to be started.

    url: the address that people open; given_url: the one in the links of assessors, if it is fixed
    setup_code: asked for when the host's passphrase is chosen; None when one was chosen already
    """

    database: str
    port: int
    lan: bool
    given_url: str | None
    setup_code: str | None

    @property
    def url(self) -> str:
        """The address that the host opens."""
        return self.given_url or f"http://localhost:{self.port}"


def prepare(database: str, port: int, lan: bool) -> Start:
    """Check the database and the port, and settle the rest. Raises TastingError."""
    with opened(database) as engine:
        first_start = not has_passphrase(engine)
    _check_free(_interface(lan), port)
    url = settings.base_url() or (f"http://{lan_address()}:{port}" if lan else None)
    code = settings.setup_code() or f"{secrets.token_hex(3)}-{secrets.token_hex(3)}"
    return Start(database, port, lan, url, code if first_start else None)


def _interface(lan: bool) -> str:
    return "0.0.0.0" if lan else "127.0.0.1"


def _check_free(interface: str, port: int) -> None:
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((interface, port))
        except OSError as error:
            reason = error.strerror or "it is taken"
            raise InputError(
                f"port {port} cannot be used ({reason}); give another --port"
            ) from None


def lan_address() -> str:
    """This machine's address in its network. Raises InputError when it is in none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(ELSEWHERE)
        except OSError:
            raise InputError("this machine is in no network; leave out --lan") from None
        return str(probe.getsockname()[0])


def _command(start: Start) -> list[str]:
    """The command line of the server."""
    options = {
        **OPTIONS,
        "server.address": _interface(start.lan),
        "server.port": str(start.port),
        # Without it the server asks a service on the internet for its own address.
        "browser.serverAddress": urlsplit(start.url).hostname or "localhost",
    }
    flags = [f"--{name}={value}" for name, value in options.items()]
    # -P: a file in the present folder must not stand in for a module.
    return [sys.executable, "-P", "-m", "tasting.web.start", "run", _script(), *flags]


def _script() -> str:
    found = find_spec("tasting.web.server")
    if found is None or found.origin is None:
        raise StoreError("the app's server is missing; install the package again")
    return found.origin


def _environment(start: Start) -> dict[str, str]:
    """The environment of the server: the present one and what it has to know."""
    told = {
        settings.DATABASE: start.database,
        settings.BASE_URL: start.given_url,
        settings.SETUP_CODE: start.setup_code,
    }
    given = {name: value for name, value in told.items() if value}
    return {**os.environ, **given, _BELIEVED: settings.proxies()}


@contextmanager
def _ctrl_c_waits() -> Iterator[None]:
    """Puts Ctrl+C off until the server's process lets it in: Python begins with a traceback."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def run(start: Start) -> Never:
    """Become the server."""
    arguments, told = _command(start), _environment(start)
    sys.stdout.flush()
    with _ctrl_c_waits():
        os.execve(arguments[0], arguments, told)
