"""Runs the command line inside the test."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tasting.cli import run
from tasting.store.documents import Document, write_document
from tests.ui.workshop import MEASURED, SPRITZ, UNMEASURED, planned, some_closed


@dataclass(frozen=True)
class Said:
    """What a command said, and its exit code."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        assert self.code == 0, self.err
        return json.loads(self.out)


Tasting = Callable[..., Said]


@pytest.fixture
def tasting(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> Tasting:
    """tasting("size", "triangle"); the user's data folder is an empty one of the test."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("HOME", str(tmp_path))
    for name in ("TASTING_DATABASE", "TASTING_BASE_URL", "TASTING_SETUP_CODE"):
        monkeypatch.delenv(name, raising=False)

    def command(*arguments: object) -> Said:
        code = run([str(argument) for argument in arguments])
        return Said(code, *capsys.readouterr())

    return command


@pytest.fixture
def log(tmp_path: Path) -> Path:
    """The file of a database that does not exist yet."""
    return tmp_path / "log.sqlite3"


@cache
def workshop() -> Document:
    """A formula, two references, five closed sessions and a planned one; always the same salts."""
    return Document(
        formulas=(SPRITZ,),
        references=(MEASURED, UNMEASURED),
        sessions=(*some_closed(), planned("next")),
    )


@pytest.fixture
def document(tmp_path: Path) -> Path:
    """The workshop as a file."""
    file = tmp_path / "workshop.json"
    file.write_text(write_document(workshop()), "utf-8")
    return file
