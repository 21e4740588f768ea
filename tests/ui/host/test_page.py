"""Data and help."""

import io
import zipfile
from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.published.check import PublishedValue
from tasting.report.answers import answers_table
from tasting.report.data_tables import data_tables, zipped
from tasting.store import formulas, host_logins, sessions
from tasting.store.documents import Document, write_document
from tasting.ui import access
from tasting.ui.host import downloads, published
from tests.ui.conftest import PASSPHRASE
from tests.ui.reading import read
from tests.ui.workshop import MEASURED, closed, keep, opened, planned, some_closed

OpenPage = Callable[[str], AppTest]


def labels(page: AppTest) -> list[str]:
    return [fold.label for fold in page.expander]


def test_help_and_data_are_folded(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, *some_closed())
    page = open_page("host")

    assert page.header[0].value == "Saved here: 3 versions, 2 references, 5 closed sessions"
    assert labels(page)[:3] == [
        "A first evening in five steps",
        "Which test for which question",
        "What it will not tell you",
    ]
    assert "Close and reveal" in read(page), "the README's own words"
    assert not page.exception


def test_everything_can_be_taken_away(open_page: OpenPage) -> None:
    given = [button.proto.label for button in open_page("host").get("download_button")]

    assert given == ["Everything (JSON)", "Answers (CSV)", "Tidy tables (ZIP)"]


def test_the_archive_holds_the_tables_and_their_dictionary(engine: Engine) -> None:
    keep(engine, *some_closed())
    closed_ = list(sessions.closed_sessions(engine))
    made = zipped(data_tables(answers_table(closed_), closed_, formulas.formulas(engine)))
    archive = zipfile.ZipFile(io.BytesIO(made))

    assert sorted(archive.namelist()) == [
        f"{name}.csv" for name in ("answers", "compositions", "dictionary", "sessions", "versions")
    ]
    assert archive.read("answers.csv").decode("utf-8-sig").count("Session acid") == 12


def erase(page: AppTest, name: str, passphrase: str) -> str:
    """Ask for it, and what the page says."""
    page.text_input(key="erase_name").input(name)
    page.text_input(key="erase_passphrase").input(passphrase)
    page.button(key="erase").click().run()
    return " ".join(message.value for message in [*page.error, *page.success])


def test_a_pseudonym_is_erased_for_who_knows_the_passphrase(
    open_page: OpenPage, engine: Engine
) -> None:
    keep(engine, closed(planned("acid"), 10, 2))
    page = open_page("host")

    assert "not the passphrase" in erase(page, "Assessor 1", "a guess")
    assert "Erased in 1 session" in erase(page, "Assessor 1", PASSPHRASE)
    session = sessions.closed_session(engine, "acid")
    assert '"Assessor 1"' not in session.model_dump_json()
    assert len(session.answers) == 12


def test_an_unknown_pseudonym_is_told(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, closed(planned("acid"), 10, 2))

    assert "No session has an assessor" in erase(open_page("host"), "Nobody", PASSPHRASE)


def upload(page: AppTest, *documents: Document | str) -> str:
    """Import these documents, and what the page says."""
    texts = [one if isinstance(one, str) else write_document(one) for one in documents]
    files = [(f"{at}.json", text.encode(), "application/json") for at, text in enumerate(texts)]
    page.file_uploader(key="import_files").set_value(files)
    page.button(key="import").click().run()
    return " ".join(message.value for message in [*page.error, *page.success])


def reference(id: str) -> Document:
    return Document(references=(MEASURED.model_copy(update={"id": id, "name": f"Bottle {id}"}),))


def test_documents_are_imported(open_page: OpenPage, engine: Engine) -> None:
    said = upload(open_page("host"), reference("X"), reference("Y"))

    assert said == "Imported: formulas 0, references 2, sessions 0."
    assert {one.id for one in formulas.references(engine)} == {"X", "Y"}


@pytest.mark.parametrize("bad", ["{", '{"schema": 1, "x": 1}'])
def test_one_bad_file_keeps_all_out(open_page: OpenPage, engine: Engine, bad: str) -> None:
    said = upload(open_page("host"), reference("X"), bad)

    assert said.startswith("1\\.json")
    assert not formulas.references(engine)


def test_an_open_session_is_not_imported(open_page: OpenPage, engine: Engine) -> None:
    keep(engine)
    forged = Document(sessions=(opened(planned("forged")),))

    assert "is open, and whoever wrote" in upload(open_page("host"), forged)
    assert not sessions.kept_any(engine)


def test_without_a_file_it_asks_for_one(open_page: OpenPage) -> None:
    page = open_page("host")
    page.button(key="import").click().run()

    assert page.error[0].value == "Choose a file first."


AGREES = PublishedValue("a_table", "n 12", "a printed table", "seen", 8.0, 8.0, allowed=0.0)
MISSES = PublishedValue("a_table", "n 13", "a printed table", "seen", 8.0, 9.0, allowed=0.0)


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ([AGREES], "1 value computed again: 1 agrees, 0 differ as known, 0 miss."),
        ([AGREES, MISSES], "2 values computed again: 1 agrees, 0 differ as known, 1 miss."),
    ],
)
def test_published_values_are_computed_when_asked(
    open_page: OpenPage,
    monkeypatch: pytest.MonkeyPatch,
    values: list[PublishedValue],
    said: str,
) -> None:
    monkeypatch.setattr(published, "TABLES", (lambda: iter(values),))
    page = open_page("host")
    assert not page.dataframe
    page.button(key="compute_published").click().run()

    assert (page.success or page.error)[0].value == said
    assert list(page.dataframe[0].value["Values"]) == [str(len(values))]


def test_signing_out_everywhere_ends_every_sign_in(open_page: OpenPage, engine: Engine) -> None:
    other = host_logins.begin(engine, b"x" * 64, datetime.now(UTC))
    page = open_page("host")
    page.button(key="everywhere").click().run()

    assert host_logins.secret_of(engine, other, datetime.now(UTC)) is None
    assert not access.is_host()
    assert "Data and help" not in read(page)


def test_files_of_a_large_log_are_prepared_behind_a_bar(
    open_page: OpenPage, engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    keep(engine, *some_closed())
    monkeypatch.setattr(downloads, "_AT_ONCE", 4)
    page = open_page("host")
    assert not page.get("download_button")
    page.button(key="prepare_everything").click().run()

    (made,) = page.get("download_button")
    assert made.proto.label == "Download tasting-log.zip"
    assert not page.exception
