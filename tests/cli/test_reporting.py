"""`tasting report`: a file for a closed session, and nothing before."""

from pathlib import Path

import pytest

from tasting.store.documents import write_document
from tests.cli.conftest import Tasting, workshop


@pytest.fixture
def filled(tasting: Tasting, log: Path, tmp_path: Path) -> Path:
    """A database with the workshop."""
    document = tmp_path / "workshop.json"
    document.write_text(write_document(workshop()), "utf-8")
    assert tasting("import", document, "--database", log).code == 0
    return log


@pytest.mark.parametrize("wanted", ["acid", "Session acid"])
def test_a_closed_session_becomes_a_file(
    tasting: Tasting, filled: Path, tmp_path: Path, wanted: str
) -> None:
    file = tmp_path / "report.html"
    said = tasting("report", wanted, "--output", file, "--database", filled)

    assert (said.code, said.out) == (0, f"Written to {file}.\n")
    assert "A difference was shown" in file.read_text("utf-8")


def test_a_file_is_never_overwritten(tasting: Tasting, filled: Path, tmp_path: Path) -> None:
    file = tmp_path / "report.html"
    file.write_text("mine")
    said = tasting("report", "acid", "--output", file, "--database", filled)

    assert (said.code, file.read_text()) == (2, "mine")


def test_a_summary_to_paste(tasting: Tasting, filled: Path) -> None:
    said = tasting("report", "acid", "--summary", "--database", filled)

    assert said.out.startswith("Session acid: Triangle test, ")


@pytest.mark.parametrize(
    ("wanted", "sentence"),
    [("next", "is planned"), ("nothing", "'nothing'"), ("nobody", "no answer was given")],
)
def test_without_a_finding_there_is_no_report(
    tasting: Tasting, filled: Path, wanted: str, sentence: str
) -> None:
    said = tasting("report", wanted, "--database", filled)

    assert said.code == 2
    assert sentence in said.err
    assert said.err.count("\n") == 1
