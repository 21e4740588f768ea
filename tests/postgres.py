"""A PostgreSQL server of the tests' own, from Debian's binaries, on a socket and no network."""

import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

OWNER = "postgres"


def binaries() -> Path | None:
    """Where initdb and pg_ctl are, of the newest version that is installed."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    return found[-1].parent if found else None


def started_by(parent: int) -> list[int]:
    """The processes whose parent this is (proc(5): the fourth field of stat)."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            fields = stat.read_text().rpartition(")")[2].split()
            if int(fields[1]) == parent:
                found.append(int(stat.parent.name))
    return found


@dataclass(frozen=True)
class Cluster:
    """A server with its data in `folder`, where its socket is as well."""

    folder: Path

    def address(self, name: str) -> str:
        """The address of one of its databases."""
        return f"postgresql+psycopg://{OWNER}@/{name}?host={self.folder}"

    def start(self) -> None:
        """Start it and wait; after a kill its old processes may need a moment to be gone."""
        deadline = time.monotonic() + 60
        options = f"-k {self.folder} -c listen_addresses= -c max_connections=200"
        log = str(self.folder / "log")
        while self.run("pg_ctl", "start", "-w", "-D", self.data, "-l", log, "-o", options):
            assert time.monotonic() < deadline, (self.folder / "log").read_text()[-2000:]
            time.sleep(0.3)

    def stop(self) -> None:
        """Stop it at once."""
        self.run("pg_ctl", "stop", "-m", "immediate", "-w", "-D", self.data)

    def kill(self) -> None:
        """kill -9 of its first process and of all that this one started."""
        first = int((self.folder / "data" / "postmaster.pid").read_text().split()[0])
        for pid in (first, *started_by(first)):
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)

    def create(self, name: str) -> str:
        """The address of a new database in it."""
        failed = self.run("createdb", "-h", str(self.folder), "-U", OWNER, name)
        assert not failed
        return self.address(name)

    @property
    def data(self) -> str:
        """Its data directory."""
        return str(self.folder / "data")

    def run(self, command: str, *arguments: str) -> int:
        """Run one of its commands as the user who may; its exit code."""
        home = binaries()
        assert home, "PostgreSQL is not installed"
        silent = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        who = {"user": OWNER, "group": OWNER} if os.geteuid() == 0 else {}
        done = subprocess.run([home / command, *arguments], cwd=self.folder, **silent, **who)
        return done.returncode


@contextmanager
def cluster() -> Iterator[Cluster]:
    """A new server, stopped and removed afterwards."""
    folder = Path(tempfile.mkdtemp(prefix="tasting-pg-"))
    made = Cluster(folder)
    if os.geteuid() == 0:
        owner = pwd.getpwnam(OWNER)
        os.chown(folder, owner.pw_uid, owner.pw_gid)
    try:
        failed = made.run("initdb", "-D", made.data, "-A", "trust", "-U", OWNER, "-N", "-E", "UTF8")
        assert not failed, "initdb failed"
        made.start()
        yield made
    finally:
        made.stop()
        shutil.rmtree(folder)
