"""Everything to take away: documents, answers, tidy tables."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import streamlit as st
from sqlalchemy import Engine

from tasting.report.answers import safe_csv
from tasting.report.data_tables import archived, data_tables, zipped
from tasting.store import formulas, past, sessions
from tasting.store.all_answers import all_answers
from tasting.store.database import Progress
from tasting.store.documents import export_document, export_texts, write_document
from tasting.store.past import Search
from tasting.ui import page

_AT_ONCE = 200
# What so many sessions give is made while the browser waits for it.
_TOLD_EVERY = 50
# Sessions; each step of the bar is a message to the browser.


@dataclass(frozen=True, slots=True)
class _Download:
    """A file that is made when it is asked for."""

    label: str
    name: str
    key: str
    make: Callable[[Engine, Progress], bytes]


def _document(engine: Engine, progress: Progress) -> bytes:
    """Everything that is not open, as one document."""
    return write_document(export_document(engine, None, [], progress)).encode()


def _documents(engine: Engine, progress: Progress) -> bytes:
    """The same in documents that can be imported together, in one archive."""
    texts = enumerate(export_texts(engine, [], progress), start=1)
    return archived((f"tasting-log-{place}.json", text.encode()) for place, text in texts)


def _answers(engine: Engine, progress: Progress) -> bytes:
    """The answers of closed sessions as CSV, with the mark by which spreadsheets know UTF-8."""
    table = all_answers(engine, [])
    progress(1, 1)
    return safe_csv(table).encode("utf-8-sig")


def _tables(engine: Engine, progress: Progress) -> bytes:
    """All tidy tables with their dictionary, in one archive."""
    closed = sessions.closed_sessions(engine, [], progress)
    return zipped(data_tables(all_answers(engine, []), closed, formulas.formulas(engine)))


_ANSWERS = _Download("Answers (CSV)", "tasting-answers.csv", "answers", _answers)
_TABLES = _Download("Tidy tables (ZIP)", "tasting-tables.zip", "tables", _tables)
_FEW = (_Download("Everything (JSON)", "tasting-log.json", "everything", _document), _ANSWERS)
_MANY = (_Download("Everything (ZIP of JSON)", "tasting-log.zip", "everything", _documents),)


def offer_downloads(engine: Engine) -> None:
    """The files; those of a large log are prepared first, while a bar says how far they are."""
    st.write("Open sessions stay sealed and are not included.")
    many = past.count(engine, Search()) > _AT_ONCE
    if many:
        _prepare(engine, (*_MANY, _ANSWERS, _TABLES))
    else:
        with st.container(horizontal=True):
            for one in (*_FEW, _TABLES):
                page.offer_file(one.label, partial(one.make, engine, _unseen), one.name, one.key)
    st.caption(
        "The JSON document contains formulas, references and sessions and can be read back. The "
        "ZIP contains answers, sessions, versions and compositions as CSV, and a dictionary of "
        "their columns."
    )
    if many:
        st.caption(
            "A large log comes as several JSON documents in one ZIP. Unpack it, and import all of "
            "them at once."
        )
    st.write(
        "To copy the whole database, open sessions too, run `tasting backup FILE`; the app can "
        "keep running. The copy contains serving keys: keep it away from assessors."
    )


def _unseen(_done: float, _of: float) -> None:
    """Progress of what takes a moment."""


def _prepare(engine: Engine, files: tuple[_Download, ...]) -> None:
    """Buttons that prepare a file; the one that is pressed offers it until the page is touched."""
    with st.container(horizontal=True):
        pressed = [st.button(f"Prepare: {one.label}", key=f"prepare_{one.key}") for one in files]
    for one, wanted in zip(files, pressed, strict=True):
        if wanted:
            content = _with_a_bar(engine, one)
            page.offer_file(f"Download {one.name}", content, one.name, one.key)


def _with_a_bar(engine: Engine, file: _Download) -> bytes:
    bar = st.progress(0.0, f"Preparing {file.name}")

    def show(done: float, of: float) -> None:
        if not done % _TOLD_EVERY or done == of:
            bar.progress(done / of, f"Preparing {file.name}")

    try:
        return file.make(engine, show)
    finally:
        bar.empty()
