"""Documents: formulas, references, sessions, notes and prices as JSON, to keep, to send and to
recompute from.

One format with a version number. Unknown fields are refused with their path; a document of an older
version is read for ever. `json_schema` is the published description of it.
"""

import json
from collections import Counter, deque
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any, Literal, Self

from pydantic import ConfigDict, Field, model_validator
from sqlalchemy import Connection, Engine

from tasting.drink.formula import Formula, Version
from tasting.drink.label import Reference
from tasting.errors import InputError
from tasting.panel.plan import Sample
from tasting.panel.session import Session
from tasting.records import Note, Record, checked, now
from tasting.store import damage, formulas, mapping, sessions
from tasting.store.database import Progress, writing
from tasting.store.written_notes import (
    DrinkNote,
    PackNote,
    check_notes,
    drink_notes,
    insert_notes,
    pack_notes,
)

PARTS = ("formulas", "references", "sessions")
# What a document holds.

LARGEST_BYTES = 50_000_000
_TOGETHER = 500
"""Sessions of one document where everything is exported: so many are in memory at a time."""

_AT_ONCE = 100
# Sessions that are inserted before progress is told.


class Document(Record):
    """What a file holds. `invented` says so when the data in it is made up."""

    model_config = ConfigDict(populate_by_name=True)

    version: Literal[1] = Field(default=1, alias="schema")
    invented: Note = ""
    formulas: tuple[Formula, ...] = ()
    references: tuple[Reference, ...] = ()
    sessions: tuple[Session, ...] = ()
    notes: tuple[DrinkNote, ...] = ()
    prices: tuple[PackNote, ...] = ()

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        known = {one.id for one in self.formulas} | {one.id for one in self.references}
        check_notes(self.notes, self.prices, frozenset(known))
        return self

    def drink(self, sample: Sample) -> Version | Reference:
        """What a sample of a session in this document points to. Raises InputError."""
        for drink in self._drinks(sample.kind):
            if drink.id == sample.id:
                return drink
        raise InputError(f"the document contains no {sample.kind} with the id {sample.id!r}")

    def _drinks(self, kind: str) -> Iterable[Version | Reference]:
        if kind == "reference":
            return self.references
        return (version for formula in self.formulas for version in formula.versions)


def json_schema() -> dict[str, Any]:
    """The JSON Schema of a document."""
    return Document.model_json_schema(by_alias=True)


def read_document(path: Path) -> Document:
    """The document in a file. Raises InputError that names the file and the field."""
    text = read_text(path)
    try:
        return parse_document(text)
    except InputError as error:
        raise InputError(f"{path}: {error}") from None


def read_text(path: Path) -> str:
    """The text in a file. Raises InputError when it cannot be read, is huge, or is not UTF-8."""
    try:
        # A device and a pipe have no size to ask for, and may never end.
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise InputError(f"cannot read {path}: {error.strerror}") from None
    except ValueError:
        raise InputError("cannot read this file: no file has a name like that") from None
    return text_of(data, path)


def text_of(content: bytes, name: Path | str) -> str:
    """The text in the content of a file of this name. Raises InputError as `read_text` does."""
    if len(content) > LARGEST_BYTES:
        raise InputError(f"{name} is larger than {LARGEST_BYTES:,} bytes; split it")
    try:
        return content.decode("utf-8").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError:
        raise InputError(f"cannot read {name}: it is not text in UTF-8; save it as that") from None


def parse_document(text: str) -> Document:
    """The document in a text. Raises InputError that names the place."""
    try:
        values = json.loads(text)
    except json.JSONDecodeError as error:
        raise InputError(f"this is not JSON: {error}") from None
    except RecursionError:
        raise InputError("this is nested far deeper than any of our documents") from None
    except ValueError:  # which Python raises for numbers of thousands of digits
        raise InputError("a number in this has far more digits than any of ours") from None
    if not isinstance(values, dict) or "schema" not in values:
        raise InputError('this is not one of our documents: it has no "schema" field')
    if values["schema"] != 1:
        raise InputError(
            f"schema {values['schema']!r} is not known here; this program reads schema 1"
        )
    return checked(Document, values)


def write_document(document: Document) -> str:
    """The text of a document; reading it gives the same document."""
    kept = document.model_dump(mode="json", by_alias=True)
    return json.dumps(kept, indent=2, ensure_ascii=False) + "\n"


def write_parts(document: Document, largest: int = LARGEST_BYTES) -> Iterator[str]:
    """The texts of documents that together hold this one, none of them larger than what is read
    again; the first holds the drinks, so import all of them together.

    A single session is never split, however large it is.
    """
    text, many = write_document(document), len(document.sessions)
    if len(text.encode()) <= largest or many < 2:
        yield text
        return
    half = many // 2
    first = document.model_copy(update={"sessions": document.sessions[:half]})
    rest = Document(invented=document.invented, sessions=document.sessions[half:])
    yield from write_parts(first, largest)
    yield from write_parts(rest, largest)


def export_document(
    engine: Engine,
    chosen: Sequence[str] | None = None,
    set_aside: list[str] | None = None,
    progress: Progress = lambda done, of: None,
) -> Document:
    """The sessions with these ids and the drinks that they compare, or everything that is not open,
    with all notes and prices.

    set_aside: takes a sentence for each session that is damaged; without it, the first one raises
        DamagedError, and so does a chosen one
    progress: takes how many sessions are read, and of how many
    Raises SealedError when a chosen session is open.
    """
    if chosen is None:
        ids = sessions.ids_to_export(engine)
        return _everything(engine, _kept(engine, ids, set_aside, progress))
    kept = _kept(engine, chosen, None, progress)
    wanted = {(sample.kind, sample.id) for one in kept for sample in (one.plan.a, one.plan.b)}
    return Document(
        formulas=tuple(
            formula
            for formula in formulas.formulas(engine)
            if any(("version", version.id) in wanted for version in formula.versions)
        ),
        references=tuple(
            reference
            for reference in formulas.references(engine)
            if ("reference", reference.id) in wanted
        ),
        sessions=tuple(kept),
    )


def export_texts(
    engine: Engine,
    set_aside: list[str] | None = None,
    progress: Progress = lambda done, of: None,
    together: int = _TOGETHER,
) -> Iterator[str]:
    """Everything that is not open as the texts of one or more documents; the first holds the
    drinks, so import all of them together.

    set_aside, progress: as in `export_document`
    together: sessions of one document at most, which are in memory at a time
    """
    ids = sessions.ids_to_export(engine)
    for start in range(0, max(1, len(ids)), together):
        some = ids[start : start + together]
        kept = _kept(engine, some, set_aside, _from(progress, start, len(ids)))
        yield from write_parts(
            Document(sessions=tuple(kept)) if start else _everything(engine, kept)
        )


def _from(progress: Progress, start: int, of: int) -> Progress:
    return lambda done, _: progress(start + done, of)


def _kept(
    engine: Engine, ids: Sequence[str], set_aside: list[str] | None, progress: Progress
) -> list[Session]:
    kept = list[Session]()
    for done, session_id in enumerate(ids, start=1):
        with damage.set_aside(set_aside):
            kept.append(_exported(engine, session_id))
        progress(done, len(ids))
    return kept


def _everything(engine: Engine, kept: Sequence[Session]) -> Document:
    """All drinks with their notes and prices, and these sessions."""
    every = tuple(formulas.formulas(engine))
    return Document(
        formulas=every,
        references=tuple(formulas.references(engine)),
        sessions=tuple(kept),
        notes=drink_notes(engine, every),
        prices=pack_notes(engine),
    )


def _exported(engine: Engine, session_id: str) -> Session:
    state = sessions.summary(engine, session_id).state
    if state == "planned":
        return sessions.planned_session(engine, session_id)
    if state == "abandoned":
        return sessions.abandoned_session(engine, session_id)
    return sessions.closed_session(engine, session_id)


def import_documents(
    engine: Engine,
    documents: Iterable[Document],
    progress: Callable[[float], None] = lambda done: None,
    at: datetime | None = None,
) -> Counter[str]:
    """Keep everything in these documents, or, when one part of it cannot be kept, nothing.

    They are kept one after the other, so that no more than one has to be in memory. A session may
    compare drinks of another one of them, in any order. That it came from a document goes on its
    record.

    progress: takes how many are done, with the part of the next one that is; whatever it raises
        ends the import, and nothing is kept
    Returns how many formulas, references and sessions were kept. Raises InputError naming the part:
    an id that is taken, a sample that is not known, or an open session, whose key the author of the
    document knows.
    """
    counts, pairs = Counter[str](), dict[Hashable, Session]()
    # Nobody writes yet about sessions that come from a document.
    with writing(engine, "documents") as connection:
        for done, document in enumerate(documents, start=1):
            _check_none_open(document)
            for share in _inserted(connection, document):
                progress(done - 1 + share)
            pairs |= _pairs(document)
            for session in document.sessions:
                mapping.note(connection, session.id, at or now(), "imported", "from a document")
            counts.update({part: len(getattr(document, part)) for part in PARTS})
            progress(done)
        sessions.check_drinks(connection, pairs.values())
    return counts


def _check_none_open(document: Document) -> None:
    for session in document.sessions:
        if session.state == "open":
            raise InputError(
                f"the session {session.name!r} is open, and whoever wrote the document knows its "
                "serving key; close it where it was opened, or plan it again here"
            )


def fill(engine: Engine, *documents: Document) -> None:
    """Keep documents that come with the program, an open session too; raises as above else."""
    pairs = dict[Hashable, Session]()
    with writing(engine, "documents") as connection:
        for document in documents:
            deque(_inserted(connection, document), maxlen=0)
            pairs |= _pairs(document)
        sessions.check_drinks(connection, pairs.values())


def _inserted(connection: Connection, document: Document) -> Iterator[float]:
    """Inserts all of it, some sessions at a time; yields which part of them is in."""
    _insert_drinks(connection, document)
    added = document.sessions
    for first in range(0, len(added), _AT_ONCE):
        sessions.insert_sessions(connection, added[first : first + _AT_ONCE])
        yield min(1.0, (first + _AT_ONCE) / len(added))


def _pairs(document: Document) -> dict[Hashable, Session]:
    """A session of each pair, without what was given: thousands would fill the memory."""
    given = {"sets": (), "answers": (), "events": ()}
    return {(kept.plan.a, kept.plan.b): kept.model_copy(update=given) for kept in document.sessions}


def _insert_drinks(connection: Connection, document: Document) -> None:
    for formula in document.formulas:
        formulas.insert_formula(connection, formula)
    for reference in document.references:
        formulas.insert_reference(connection, reference)
    insert_notes(connection, document.notes, document.prices)
