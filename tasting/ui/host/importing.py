"""Reading documents into the database: all of them, or none."""

from collections.abc import Callable, Iterator, Sequence

import streamlit as st
from sqlalchemy import Engine
from streamlit.runtime.uploaded_file_manager import UploadedFile

from tasting.errors import InputError
from tasting.store.documents import (
    LARGEST_BYTES,
    PARTS,
    Document,
    import_documents,
    parse_document,
    text_of,
)
from tasting.ui import page

_LARGEST_MB = LARGEST_BYTES // 1_000_000


def show_import(engine: Engine) -> None:
    """Files to choose, and what was saved of them."""
    st.write(
        "JSON documents with formulas, references and closed sessions. If one part of them cannot "
        "be saved, nothing is. Open sessions are refused: their author knows the serving key."
    )
    with st.form("import", border=False, clear_on_submit=True):
        chosen = st.file_uploader(
            "Documents",
            type="json",
            accept_multiple_files=True,
            key="import_files",
            max_upload_size=_LARGEST_MB,
        )
        sent = st.form_submit_button("Import", key="import")
    if sent and not chosen:
        st.error("Choose a file first.")
    elif sent:
        with page.show_errors():
            _import(engine, chosen)


def _import(engine: Engine, chosen: Sequence[UploadedFile]) -> None:
    bar = st.progress(0.0, "Reading")

    def show(done: float, what: str = "Saving") -> None:
        bar.progress(min(1.0, done / len(chosen)), what)

    try:
        counts = import_documents(engine, _documents(chosen, show), show)
    finally:
        bar.empty()
    told = ", ".join(f"{what} {counts[what]}" for what in PARTS)
    st.success(f"Imported: {told}.")


def _documents(chosen: Sequence[UploadedFile], show: Callable[..., object]) -> Iterator[Document]:
    """One document after the other, so that one of them is in memory. Raises InputError that
    names the file."""
    for place, file in enumerate(chosen):
        show(place, f"Reading {page.escape_markdown(file.name)}")
        try:
            yield parse_document(text_of(file.getvalue(), file.name))
        except InputError as error:
            raise InputError(f"{file.name}: {error}") from None
