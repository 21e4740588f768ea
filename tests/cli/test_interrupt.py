"""Ctrl+C at any moment: nothing but silence."""

import signal
import subprocess
import sys
import time
from pathlib import Path
from random import Random

import pytest

from tests.serving import free_port
from tests.sources import ROOT

LOUD = (b"Traceback", b"KeyboardInterrupt", b"Exception ignored", b"Error")
FIRST_SECONDS = 0.1
"""Before that it is Python that starts, not the program."""


def interrupted(command: list[str], seconds: float, folder: Path) -> tuple[int, bytes]:
    """The exit code and what was said on standard error when Ctrl+C came so late."""
    with subprocess.Popen(
        [sys.executable, "-P", "-m", "tasting", *command],
        cwd=folder,
        env={"PYTHONPATH": str(ROOT), "HOME": str(folder), "PATH": "/usr/bin"},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    ) as process:
        time.sleep(seconds)
        process.send_signal(signal.SIGINT)
        _, said = process.communicate(timeout=60)
    return process.returncode, said


@pytest.mark.parametrize("moment", range(12))
def test_a_command_is_quiet(moment: int, tmp_path: Path) -> None:
    seconds = FIRST_SECONDS + Random(moment).random() * 2
    code, said = interrupted(["methods"], seconds, tmp_path)

    assert code in (0, 130, -signal.SIGINT)
    assert not [word for word in LOUD if word in said], said.decode()


@pytest.mark.parametrize("moment", range(8))
def test_the_app_is_quiet(moment: int, tmp_path: Path) -> None:
    """While it imports, while it starts its server, and while that runs."""
    seconds = FIRST_SECONDS + (moment + Random(moment).random()) * 0.8
    code, said = interrupted(["app", "--port", str(free_port())], seconds, tmp_path)

    assert code in (0, 130, -signal.SIGINT)
    assert not [word for word in LOUD if word in said], said.decode()
