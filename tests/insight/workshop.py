"""The sample workshop, read once, and what the model says about it."""

from functools import cache

from sample_sessions import documents
from tasting.insight.noticing.model import fit_thresholds
from tasting.store.documents import Document, read_document


@cache
def document():
    """All documents of the sample workshop as one."""
    read = [read_document(path) for path in documents()]
    return Document(
        formulas=tuple(formula for one in read for formula in one.formulas),
        references=tuple(reference for one in read for reference in one.references),
        sessions=tuple(
            session for one in read for session in one.sessions if session.state == "closed"
        ),
    )


@cache
def noticed(**more):
    """What its closed sessions say."""
    return fit_thresholds(document().sessions, document().drink, **more)


def versions():
    """Its versions, by id."""
    return {version.id: version for version in document().formulas[0].versions}


def bottle():
    """Its reference bottle."""
    return document().references[0]
