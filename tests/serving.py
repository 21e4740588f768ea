"""The real app for tests: `tasting app`, started by its own command on a port of its own."""

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from dataclasses import dataclass, field
from pathlib import Path

from tasting.settings import DATABASE

START_SECONDS = 60


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def healthy(url: str) -> bool:
    """Whether the server answers."""
    try:
        with urllib.request.urlopen(f"{url}/health", timeout=2) as response:
            return bool(response.read() == b"ok")
    except (urllib.error.URLError, ConnectionError, TimeoutError):
        return False


@dataclass
class Server:
    """The app on one port; `environment` is added to the present one, its log lies in `folder`."""

    address: str
    folder: Path
    port: int = field(default_factory=free_port)
    environment: dict[str, str] = field(default_factory=dict)
    process: subprocess.Popen[bytes] | None = None

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def log(self) -> Path:
        """What it says, over all its starts."""
        return self.folder / f"server-{self.port}.log"

    def launch(self) -> None:
        """Start it, without waiting."""
        command = [sys.executable, "-m", "tasting", "app", "--port", str(self.port)]
        told = {**os.environ, DATABASE: self.address, **self.environment}
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                command, cwd=self.folder, env=told, stdout=log, stderr=log
            )

    def wait(self) -> None:
        """Wait until it answers."""
        deadline = time.monotonic() + START_SECONDS
        while not healthy(self.url):
            if not self.process or self.process.poll() is not None or time.monotonic() > deadline:
                raise RuntimeError(f"the app did not start: {self.log.read_text()}")
            time.sleep(0.1)

    def start(self) -> None:
        """Start it, and wait until it answers."""
        self.launch()
        self.wait()

    def complaints(self) -> list[str]:
        """What it said beside its greeting."""
        lines = self.log.read_text().splitlines()
        return [line for line in lines if not line.startswith(("Open http", "Setup code"))]

    def stop(self) -> None:
        """Ask it to end, as Ctrl+C does, and wait."""
        assert self.process is not None
        self.process.terminate()
        self.process.wait(20)

    def kill(self) -> None:
        """kill -9: the command has become the server, so nothing of it is left."""
        assert self.process is not None
        self.process.kill()
        self.process.wait()
