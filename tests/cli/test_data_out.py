"""`tasting data`: tables that pandas reads, and a round trip that loses no finding."""

import csv
import io
import os
import re
import stat
from collections.abc import Iterator
from pathlib import Path

import pandas as pd
import pytest

from tasting.insight.findings.finding import findings
from tasting.panel.session import Session
from tasting.store.documents import Document, parse_document, write_document
from tests.cli.conftest import Tasting, workshop
from tests.sources import ROOT

NAMES = ("answers", "sessions", "versions", "compositions", "dictionary")


@pytest.fixture
def kept(tasting: Tasting, document: Path, log: Path) -> Path:
    """A database with the workshop."""
    assert tasting("import", document, "--database", log).code == 0
    return log


def test_csv_and_parquet_hold_the_same(tasting: Tasting, kept: Path, tmp_path: Path) -> None:
    said = tasting("data", tmp_path / "csv", "--database", kept)
    tasting("data", tmp_path / "parquet", "--parquet", "--database", kept)

    assert said.out.startswith(f"Written to {tmp_path / 'csv'}: answers 44, sessions 5,")
    for name in NAMES:
        text = pd.read_csv(tmp_path / "csv" / f"{name}.csv", keep_default_na=False)
        binary = pd.read_parquet(tmp_path / "parquet" / f"{name}.parquet")
        pd.testing.assert_frame_equal(text.astype(str), binary.astype(str), check_dtype=False)


def test_a_folder_that_is_there_is_left_alone(tasting: Tasting, kept: Path, tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    said = tasting("data", tmp_path / "mine", "--database", kept)

    assert said.code == 2
    assert "name a new folder" in said.err
    assert list((tmp_path / "mine").iterdir()) == []


@pytest.mark.parametrize("how", [[], ["--parquet"]], ids=["csv", "parquet"])
def test_only_the_owner_reads_it(
    tasting: Tasting, kept: Path, tmp_path: Path, how: list[str], careless: None
) -> None:
    tasting("data", tmp_path / "tables", *how, "--database", kept)
    tasting("report", "acid", "--output", tmp_path / "report.html", "--database", kept)
    tasting("export", "--output", tmp_path / "all.json", "--database", kept)

    folder = tmp_path / "tables"
    assert mode(folder) == 0o700
    written = [*folder.iterdir(), tmp_path / "report.html", tmp_path / "all.json"]
    assert {mode(one) for one in written} == {0o600}
    assert len(written) == len(NAMES) + 2


@pytest.fixture
def careless() -> Iterator[None]:
    """Whatever the umask lets through."""
    before = os.umask(0)
    yield
    os.umask(before)


def mode(file: Path) -> int:
    return stat.S_IMODE(file.stat().st_mode)


FORMULAS = ("=1+1", "+1", "-1", "@SUM(1)", "\t=1")
"""First characters by which a spreadsheet takes a cell for a formula (OWASP ASVS 5.0, 1.2.10)."""


def test_a_spreadsheet_runs_no_cell_of_any_table(
    tasting: Tasting, log: Path, tmp_path: Path
) -> None:
    (spoilt := tmp_path / "spoilt.json").write_text(write_document(_spoilt()), "utf-8")
    assert tasting("import", spoilt, "--database", log).code == 0
    tasting("data", tmp_path / "tables", "--database", log)
    answers = tasting("export", "--csv", "--database", log).out

    tables = [file.read_text("utf-8") for file in (tmp_path / "tables").glob("*.csv")]
    assert len(tables) == len(NAMES)
    for text in (*tables, answers):
        for cell in (cell for row in csv.reader(io.StringIO(text)) for cell in row):
            number = re.fullmatch(r"-?[\d.]+(e[-+]\d+)?", cell) and cell != "-1"
            assert number or not cell.startswith(("=", "+", "-", "@", "\t", "\r")), cell
    assert sum("'=1+1" in text for text in (*tables, answers)) >= 4, "it is in the tables"


def _spoilt() -> Document:
    """A workshop in which what is typed is a formula of a spreadsheet."""
    known = workshop()
    done = [one for one in known.sessions if one.state == "closed"][:1]
    held = Session.model_validate(
        {
            **dict(done[0]),
            "name": FORMULAS[0],
            "purpose": FORMULAS[1],
            "invented": FORMULAS[3],
            "answers": tuple(
                one.model_copy(update={"remark": FORMULAS[turn % len(FORMULAS)]})
                for turn, one in enumerate(done[0].answers)
            ),
        }
    )
    spritz = known.formulas[0].model_copy(
        update={
            "name": FORMULAS[0],
            "versions": tuple(
                one.model_copy(update={"label": f"={turn}", "reason": one.parent and "=1+1" or ""})
                for turn, one in enumerate(known.formulas[0].versions)
            ),
        }
    )
    return Document(formulas=(spritz,), references=known.references, sessions=(held,))


def test_export_into_an_empty_database_and_again_gives_the_same_findings(
    tasting: Tasting, kept: Path, tmp_path: Path
) -> None:
    """Bit for bit: the texts of all findings, and the document itself."""
    first = tasting("export", "--database", kept).out
    (tmp_path / "all.json").write_text(first, "utf-8")
    tasting("import", tmp_path / "all.json", "--database", tmp_path / "empty.sqlite3")
    second = tasting("export", "--database", tmp_path / "empty.sqlite3").out

    assert [_said(text) for text in (second,)] == [_said(first)]


def _said(text: str) -> dict[str, tuple[str, ...]]:
    closed = [one for one in parse_document(text).sessions if one.state == "closed"]
    return {
        session.id: (found.headline, *found.sentences, repr(found.evidence))
        for session, found in findings(closed)
    }


def test_the_example_in_the_readme_runs(
    tasting: Tasting,
    kept: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    tasting("data", "evening", "--database", kept)
    readme = (ROOT / "README.md").read_text("utf-8")
    (code,) = re.findall(r"<!-- pandas -->\n```python\n(.*?)```", readme, re.DOTALL)
    exec(compile(code, "README.md", "exec"), {})

    assert "Session acid: 10 of 12, p = 0.0005" in capsys.readouterr().out.splitlines()
