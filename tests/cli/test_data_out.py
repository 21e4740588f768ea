"""`tasting data`: tables that pandas reads, and a round trip that loses no finding."""

import re
import stat
from pathlib import Path

import pandas as pd
import pytest

from tasting.insight.findings.finding import findings
from tasting.store.documents import parse_document
from tests.cli.conftest import Tasting
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


def test_only_the_owner_reads_it(tasting: Tasting, kept: Path, tmp_path: Path) -> None:
    tasting("data", tmp_path / "csv", "--database", kept)

    assert stat.S_IMODE((tmp_path / "csv").stat().st_mode) == 0o700


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
