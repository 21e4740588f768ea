"""`tasting import` and `tasting export`."""

import csv
import io
import json
from functools import partial
from pathlib import Path

import pytest

from tasting.cli import import_export
from tasting.panel.session import Session
from tasting.store import private_files
from tasting.store.database import file_address, open_database
from tasting.store.documents import (
    Document,
    export_texts,
    json_schema,
    parse_document,
    write_document,
    write_parts,
)
from tests.cli.conftest import Said, Tasting, workshop
from tests.ui.workshop import MEASURED, keep, opened, planned


@pytest.fixture
def kept(tasting: Tasting, document: Path, log: Path) -> Path:
    """A database with the workshop."""
    assert tasting("import", document, "--database", log).code == 0
    return log


def refused(said: Said, sentence: str) -> None:
    """One sentence, exit code 2, nothing else."""
    assert (said.code, said.out) == (2, "")
    assert sentence in said.err
    assert said.err.count("\n") == 1


def test_what_was_kept_is_counted(tasting: Tasting, document: Path, log: Path) -> None:
    said = tasting("import", document, "--database", log)

    assert said.out == f"Saved in {log}: formulas 1, references 2, sessions 6.\n"


def test_machines_get_the_counts(tasting: Tasting, document: Path, log: Path) -> None:
    said = tasting("import", document, "--database", log, "--json")

    assert said.json == {"formulas": 1, "references": 2, "sessions": 6}


def test_what_is_exported_is_what_was_imported(tasting: Tasting, kept: Path) -> None:
    exported = parse_document(tasting("export", "--database", kept).out)

    assert exported.formulas == workshop().formulas
    assert exported.references == workshop().references
    assert {session.id: _without_events(session) for session in exported.sessions} == {
        session.id: _without_events(session) for session in workshop().sessions
    }
    assert {session.events[-1].what for session in exported.sessions} == {"imported"}


def _without_events(session: Session) -> Session:
    return session.model_copy(update={"events": ()})


def test_one_session_is_exported_with_its_drinks(tasting: Tasting, kept: Path) -> None:
    out = tasting("export", "--database", kept, "--session", "acid").out
    exported = parse_document(out)

    assert [session.id for session in exported.sessions] == ["acid"]
    assert (len(exported.formulas), exported.references) == (1, ())


def test_answers_are_exported_as_tidy_csv(tasting: Tasting, kept: Path) -> None:
    """12 + 12 + 12 + 8 answers; of the triangle called acid 10 are correct."""
    rows = list(csv.DictReader(io.StringIO(tasting("export", "--csv", "--database", kept).out)))

    assert len(rows) == 44
    acid = [row for row in rows if row["session"] == "Session acid"]
    assert sum(row["counted"] == "True" for row in acid) == 10


def test_answers_of_one_session_are_exported_as_csv(tasting: Tasting, kept: Path) -> None:
    out = tasting("export", "--csv", "--session", "unknown", "--database", kept).out

    assert {row["session"] for row in csv.DictReader(io.StringIO(out))} == {"Session unknown"}


def test_a_file_is_written_once(tasting: Tasting, kept: Path, tmp_path: Path) -> None:
    output = tmp_path / "out.json"
    said = tasting("export", "--database", kept, "--output", output)

    assert said.out == f"Written to {output}.\n"
    assert len(parse_document(output.read_text("utf-8")).sessions) == 6
    refused(
        tasting("export", "--csv", "--database", kept, "--output", output),
        "exists already; name a new file",
    )
    assert output.read_text("utf-8").startswith('{\n  "schema": 1')


def test_machines_are_told_the_file(tasting: Tasting, kept: Path, tmp_path: Path) -> None:
    output = tmp_path / "out.csv"
    said = tasting("export", "--csv", "--json", "--database", kept, "--output", output)

    assert said.json == {"output": str(output)}
    assert output.read_text("utf-8").startswith('"session_id"')


def test_the_schema_is_published(tasting: Tasting) -> None:
    assert json.loads(tasting("export", "--schema").out) == json_schema()


def test_the_usual_database_is_in_the_data_folder(
    tasting: Tasting, document: Path, tmp_path: Path
) -> None:
    """XDG Base Directory Specification 0.8: $XDG_DATA_HOME holds the user's data."""
    assert tasting("import", document).code == 0
    assert len(parse_document(tasting("export").out).sessions) == 6


def test_an_address_is_taken_as_it_is(tasting: Tasting, kept: Path) -> None:
    assert tasting("export", "--database", f"sqlite:///{kept}").code == 0


def test_an_open_session_stays_sealed(tasting: Tasting, tmp_path: Path, log: Path) -> None:
    engine = open_database(file_address(log))
    keep(engine, opened(planned("running")))
    engine.dispose()

    assert parse_document(tasting("export", "--database", log).out).sessions == ()
    for form in ((), ("--csv",)):
        refused(
            tasting("export", *form, "--session", "running", "--database", log),
            "is open: sealed until it is closed",
        )


def test_an_open_session_is_not_imported(tasting: Tasting, tmp_path: Path, log: Path) -> None:
    """Whoever wrote the document knows its key."""
    forged = workshop().model_copy(update={"sessions": (opened(planned("forged")),)})
    file = tmp_path / "forged.json"
    file.write_text(write_document(forged), "utf-8")
    said = tasting("import", file, "--database", log)

    refused(said, "the session 'Session forged' is open, and whoever wrote the document knows its")
    assert not parse_document(tasting("export", "--database", log).out).formulas


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        (("--session", "nothing"), "no session is saved under the id 'nothing'"),
        (("--csv", "--session", "next"), "is planned: sealed until it is closed"),
        (("--csv", "--json"), "--csv does not go with --schema, nor with --json on standard"),
        (("--csv", "--schema"), "--csv does not go with --schema"),
        (("--output", "/nowhere/out.json"), "cannot write /nowhere/out.json: No such file"),
    ],
)
def test_what_cannot_be_exported_is_told(
    tasting: Tasting, kept: Path, options: tuple[str, ...], sentence: str
) -> None:
    refused(tasting("export", "--database", kept, *options), sentence)


def test_a_database_that_is_not_there_is_not_made(tasting: Tasting, log: Path) -> None:
    refused(tasting("export", "--database", log), f"there is no database at {log}")
    assert not log.exists()


@pytest.mark.parametrize("command", ["import", "export"])
def test_a_file_that_is_no_database_is_told(
    tasting: Tasting, document: Path, log: Path, command: str
) -> None:
    log.write_text("Dear guest, " * 100)
    files = [document] if command == "import" else []

    refused(tasting(command, *files, "--database", log), "file is not a database")


@pytest.mark.parametrize("address", ["nosuch://host/log", "postgresql://me:secret@:port/log"])
def test_an_address_that_cannot_be_used_is_told(tasting: Tasting, address: str) -> None:
    said = tasting("export", "--database", address)

    refused(said, "the database's address cannot be used")
    assert "secret" not in said.err


BAD_FILES = {
    "missing": (None, "No such file or directory"),
    "no JSON": ("{", "this is not JSON"),
    "no document": ("[]", 'it has no "schema" field'),
    "newer": ('{"schema": 2}', "schema 2 is not known here"),
    "unknown field": ('{"schema": 1, "x": 1}', "x: this field is not known here"),
    "bad session": (
        '{"schema": 1, "sessions": [{"id": "a b"}]}',
        "sessions.0.id: write letters, digits",
    ),
}


@pytest.mark.parametrize(("content", "sentence"), BAD_FILES.values(), ids=list(BAD_FILES))
def test_one_bad_file_keeps_all_out(
    tasting: Tasting, kept: Path, tmp_path: Path, content: str | None, sentence: str
) -> None:
    before = tasting("export", "--database", kept).out
    bad, more = tmp_path / "bad.json", tmp_path / "more.json"
    if content is not None:
        bad.write_text(content)
    fresh = MEASURED.model_copy(update={"id": "T", "name": "Reference bottle T"})
    more.write_text(write_document(Document(references=(fresh,))), "utf-8")

    refused(tasting("import", more, bad, "--database", kept), sentence)
    assert tasting("export", "--database", kept).out == before


def test_what_is_kept_already_keeps_all_out(tasting: Tasting, document: Path, kept: Path) -> None:
    before = tasting("export", "--database", kept).out

    refused(tasting("import", document, "--database", kept), "is saved already, or its id 'spritz'")
    assert tasting("export", "--database", kept).out == before


def test_an_export_that_fails_leaves_no_file(
    tasting: Tasting, document: Path, log: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on a disk that is full: half of it is written, then it fails."""
    tasting("import", document, "--database", log)

    def fail(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(private_files.os, "fsync", fail)
    said = tasting("export", "--database", log, "--output", tmp_path / "new.json")

    assert (said.code, said.out) == (2, "")
    assert said.err == f"cannot write {tmp_path}/new.json: No space left on device\n"
    assert not [one.name for one in tmp_path.iterdir() if "new" in one.name or "unf" in one.name]


def test_an_export_is_for_its_owner_alone(
    tasting: Tasting, document: Path, log: Path, tmp_path: Path
) -> None:
    tasting("import", document, "--database", log)
    tasting("export", "--database", log, "--output", tmp_path / "new.json")

    assert (tmp_path / "new.json").stat().st_mode & 0o777 == 0o600


def test_standard_output_takes_one_document_however_large(
    tasting: Tasting, kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(import_export, "write_parts", partial(write_parts, largest=20_000))

    assert parse_document(tasting("export", "--database", kept).out).sessions


def test_a_large_log_is_written_in_numbered_files_that_are_imported_together(
    tasting: Tasting, kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(import_export, "export_texts", partial(export_texts, together=1))
    said = tasting("export", "--database", kept, "--output", tmp_path / "log.json").out
    files = sorted(tmp_path.glob("log-*.json"))

    assert len(files) > 1
    assert "too much for one file" in said
    again = tmp_path / "again.sqlite3"
    tasting("import", "--database", again, *files)
    ids = [
        {
            session.id
            for session in parse_document(tasting("export", "--database", log).out).sessions
        }
        for log in (kept, again)
    ]
    assert ids[0] == ids[1]
