"""The real app under attack: from another site, by messages of a browser, by silent connections.

All of it runs where every call to another machine fails and goes on record.
"""

import os
import resource
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import ExitStack
from datetime import UTC, datetime
from pathlib import Path

import pytest
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.exceptions import InvalidStatus
from websockets.sync.client import ClientConnection, connect
from websockets.typing import Origin

from sample_sessions import documents
from tasting.cli.server import OPTIONS
from tasting.store import host_logins
from tasting.store.access import choose_passphrase, link_secret
from tasting.store.database import file_address, open_database
from tasting.store.documents import fill, read_document
from tasting.store.host_logins import COOKIE
from tests.serving import Server
from tests.sources import ROOT

ALONE = '''
import os, sys

def alone(event, given):
    """Refuse and note whatever leads to another machine."""
    place = {"socket.connect": 1, "socket.sendto": 1, "socket.getaddrinfo": 0,
             "socket.gethostbyname": 0, "socket.gethostbyaddr": 0}.get(event)
    if place is None:
        return
    to = given[place]
    name = str(to[0] if isinstance(to, tuple) else to)
    if name.startswith(("127.", "::1", "localhost", "0.0.0.0", "/", "None")):
        return
    with open(os.environ["CALLS"], "a") as record:
        record.write(f"{event} {to} by {sys.argv}\\n")
    raise OSError(101, "Network is unreachable")

sys.addaudithook(alone)
'''
FILES = 400
"""The app may open so many, as on a small machine."""


class App:
    """The app, and the record of calls to other machines."""

    def __init__(self, folder: Path) -> None:
        self.calls = folder / "calls.txt"
        alone = folder / "alone"
        alone.mkdir()
        (alone / "sitecustomize.py").write_text(ALONE)
        self.environment = {"PYTHONPATH": f"{alone}:{ROOT}", "CALLS": str(self.calls)}
        address = file_address(folder / "log.sqlite3")
        engine = open_database(address)
        fill(engine, *map(read_document, documents()))
        choose_passphrase(engine, "rhubarb and bay")
        secret = link_secret(engine, "rhubarb and bay")
        self.token = host_logins.begin(engine, secret, datetime.now(UTC))
        engine.dispose()
        self.server = Server(address, folder, environment=self.environment)

    @property
    def handles(self) -> int:
        """Files and sockets that the app's process holds."""
        assert self.server.process is not None
        return len(os.listdir(f"/proc/{self.server.process.pid}/fd"))

    def called(self) -> str:
        return self.calls.read_text() if self.calls.exists() else ""

    def socket(self, origin: str | None = None, signed_in: bool = True) -> ClientConnection:
        """A connection to Streamlit, as a browser opens it."""
        return connect(
            f"{self.server.url.replace('http', 'ws')}/_stcore/stream",
            origin=Origin(origin or self.server.url),
            subprotocols=["streamlit"],
            additional_headers={"Cookie": f"{COOKIE}={self.token}"} if signed_in else {},
            open_timeout=20,
            max_size=None,
        )

    def seconds_to_answer(self) -> float:
        began = time.monotonic()
        with urllib.request.urlopen(f"{self.server.url}/health", timeout=20) as said:
            assert said.read() == b"ok"
        return time.monotonic() - began


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[App]:
    running = App(tmp_path_factory.mktemp("attacked"))
    running.server.launch()
    assert running.server.process is not None
    resource.prlimit(running.server.process.pid, resource.RLIMIT_NOFILE, (FILES, FILES))
    running.server.wait()
    yield running
    running.server.stop()


def run_page(connection: ClientConnection, name: str = "") -> list[str]:
    """Ask for a page, and wait for its end; what kinds of things were said."""
    asked = BackMsg(rerun_script={"page_name": name})
    connection.send(asked.SerializeToString())
    kinds = []
    while "script_finished" not in kinds:
        told = ForwardMsg.FromString(connection.recv(timeout=60))
        kinds.append(str(told.WhichOneof("type")))
        if "exception" in str(told.delta.new_element.WhichOneof("type")):
            raise AssertionError(told.delta.new_element.exception)
    return kinds


def test_handshakes_of_another_site_are_refused_and_nobody_waits(app: App) -> None:
    """Streamlit looked up its own address on the internet for them: five, 10 s of silence."""
    for _ in range(5):
        with pytest.raises(InvalidStatus, match="403"):
            app.socket(origin="https://elsewhere.example")
    assert app.seconds_to_answer() < 1
    assert app.called() == ""


def test_every_page_of_the_host_runs_without_another_machine(app: App) -> None:
    with app.socket() as connection:
        for name in ("", "drinks", "drink", "new", "tastings", "tasting", "history", "host"):
            assert "delta" in run_page(connection, name)
    assert app.called() == ""


def test_clearing_the_caches_again_and_again_opens_nothing(app: App) -> None:
    with app.socket() as connection:
        run_page(connection)
        before = app.handles
        for _ in range(10):
            connection.send(BackMsg(clear_cache=True).SerializeToString())
            run_page(connection)

        assert app.handles <= before + 5


def test_somebody_who_is_not_signed_in_opens_no_connection(app: App) -> None:
    with pytest.raises(InvalidStatus, match="403"):
        app.socket(signed_in=False)


def test_silent_connections_leave_the_app_answering(app: App) -> None:
    """A process that may open 400 files, and 600 connections that ask for nothing."""
    before = app.server.log.stat().st_size
    with ExitStack() as all_open:
        for _ in range(600):
            one = all_open.enter_context(socket.socket())
            one.setblocking(False)
            one.connect_ex(("127.0.0.1", app.server.port))
        for _ in range(2):
            assert app.seconds_to_answer() < 15
    assert app.server.log.stat().st_size - before < 10_000, "it filled the disk with complaints"


SAMPLE = ROOT / "sample_sessions"
COMMANDS = (
    *("demo --no-app", f"import {SAMPLE}/workshop.json {SAMPLE}/closed_sessions.json", "methods"),
    *("notice", "export", "check", "data tables", "report session-01", "size triangle", "--help"),
)
ONE_AFTER_THE_OTHER = """
import sys
from tasting.cli import run
sys.exit(", ".join(one for one in sys.argv[1:] if run(one.split())) or 0)
"""


def test_no_command_needs_another_machine(app: App, tmp_path: Path) -> None:
    """In one process, as starting ten of them takes longer than all that they do."""
    told = {**os.environ, **app.environment, "HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-c", ONE_AFTER_THE_OTHER, *COMMANDS],
        cwd=tmp_path,
        env={**told, "TASTING_DATABASE": f"sqlite:///{tmp_path}/x.sqlite3"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert app.called() == ""


def test_the_record_would_show_a_call(app: App, tmp_path: Path) -> None:
    told = {**os.environ, **app.environment, "CALLS": str(tmp_path / "calls")}
    script = "import urllib.request as r; r.urlopen('http://elsewhere.example', timeout=1)"
    subprocess.run([sys.executable, "-c", script], env=told, capture_output=True, check=False)

    assert "elsewhere.example" in (tmp_path / "calls").read_text()


def test_streamlit_tells_nobody_how_it_is_used() -> None:
    assert OPTIONS["browser.gatherUsageStats"] == "false"
