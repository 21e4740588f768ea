"""The committed documents, read once."""

import pytest

from sample_sessions import documents
from tasting.panel.session import Session
from tasting.store.documents import Document, read_document


@pytest.fixture(scope="session")
def workshop() -> Document:
    """All documents of the folder as one."""
    read = [read_document(path) for path in documents()]
    return Document(
        formulas=tuple(formula for document in read for formula in document.formulas),
        references=tuple(bottle for document in read for bottle in document.references),
        sessions=tuple(session for document in read for session in document.sessions),
    )


@pytest.fixture(scope="session")
def closed(workshop: Document) -> list[Session]:
    """The closed sessions."""
    return [session for session in workshop.sessions if session.state == "closed"]
