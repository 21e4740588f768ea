"""Notes, archiving and prices travel in documents, with their whole record."""

import json

import pytest
from sqlalchemy import Engine

from tasting.errors import InputError
from tasting.store import formulas, notes
from tasting.store.database import open_database
from tasting.store.documents import (
    Document,
    export_document,
    import_documents,
    parse_document,
    write_document,
)
from tasting.store.prices import keep_price, prices, read_price
from tests.ui.workshop import MEASURED, SPRITZ, closed, keep, planned


@pytest.fixture
def written(engine: Engine) -> Engine:
    """A workshop with notes on its drinks, one put away, one taken out again, and two prices."""
    keep(engine, closed(planned("acid"), 10, 2))
    notes.add_note(engine, SPRITZ.id, "glass", "tumbler")
    notes.add_note(engine, SPRITZ.id, "remark", "Flat beside R", "spritz-2")
    formulas.rename(engine, SPRITZ.id, "Bay spritz")
    formulas.rename(engine, SPRITZ.id, "Spritz")
    notes.archive(engine, SPRITZ.id)
    notes.archive(engine, SPRITZ.id, away=False)
    notes.archive(engine, MEASURED.id)
    for cost in ("17", "18,50"):
        keep_price(engine, "bay-syrup", read_price("70 cl", cost, "EUR"))
    return engine


def travelled(document: Document) -> Engine:
    """Another log, into which the document was written, sent and read."""
    there = open_database("sqlite://")
    import_documents(there, [parse_document(write_document(document))])
    return there


def test_what_is_noted_is_the_same_in_another_log(written: Engine) -> None:
    there = travelled(export_document(written))
    assert notes.archived(there) == {MEASURED.id}
    assert formulas.formula(there, SPRITZ.id).name == "Spritz"
    assert prices(there) == prices(written)
    # The first name has become a note, the oldest one.
    assert notes.notes(there, SPRITZ.id)[:-1] == notes.notes(written, SPRITZ.id)


def test_no_history_is_lost_on_the_way_back(written: Engine) -> None:
    """Each earlier name, what was put away and taken out, and earlier prices."""
    there = travelled(export_document(written))
    names = [one.text for one in notes.notes(there, SPRITZ.id) if one.kind == "name"]
    assert names == ["Spritz", "Bay spritz", SPRITZ.name]
    kinds = [one.kind for one in notes.notes(there, SPRITZ.id)]
    assert kinds.count("archived") == 2
    again = export_document(there)
    assert [(one.price, one.pack) for one in again.prices] == [(17, "70.0 cl"), (18.5, "70.0 cl")]
    assert again.notes == export_document(written).notes


def test_a_document_of_before_has_none(written: Engine) -> None:
    text = write_document(Document(formulas=(SPRITZ,)))
    old = text.replace(',\n  "notes": [],\n  "prices": []', "")
    assert "notes" not in old
    assert parse_document(old) == Document(formulas=(SPRITZ,))


def test_chosen_sessions_go_out_without_notes_and_prices(written: Engine) -> None:
    """They are sent to others, to recompute a finding."""
    sent = export_document(written, ["acid"])
    assert sent.formulas
    assert (sent.notes, sent.prices) == ((), ())


def test_the_newest_price_holds_wherever_it_came_from(engine: Engine, written: Engine) -> None:
    document = export_document(written).model_copy(
        update={"formulas": (), "references": (), "sessions": (), "notes": ()}
    )
    keep_price(written, "bay-syrup", read_price("1 l", "20", "EUR"))
    import_documents(written, [document])
    assert prices(written)["bay-syrup"].price == 20
    assert len(export_document(written).prices) == 3, "those that were there are not added again"


NOTE = {"drink": SPRITZ.id, "kind": "glass", "text": "x", "noted_at": "2026-01-01T10:00:00Z"}
PRICE = {"ingredient": "water", "pack": "1 L", "price": 2, "currency": "EUR"}


@pytest.mark.parametrize(
    ("part", "changed", "match"),
    [
        ("notes", {**NOTE, "drink": "other"}, "'other', which is not in this document"),
        ("notes", {**NOTE, "kind": "colour"}, "notes.0.kind: "),
        ("notes", {**NOTE, "kind": "name", "text": "  "}, "name is empty"),
        ("notes", {**NOTE, "kind": "name", "text": "a\nb"}, "control character"),
        ("notes", {**NOTE, "version": "<b>"}, "notes.0.version"),
        ("notes", {**NOTE, "noted_at": "yesterday"}, "notes.0.noted_at: "),
        ("notes", {**NOTE, "shape": "x"}, "not known here"),
        ("prices", {**PRICE, "noted_at": NOTE["noted_at"], "pack": "one"}, "not an amount"),
        ("prices", {**PRICE, "noted_at": NOTE["noted_at"], "price": -1}, "prices.0.price: "),
        ("prices", {**PRICE, "noted_at": NOTE["noted_at"], "currency": " "}, "currency is missing"),
        ("prices", {**PRICE, "noted_at": NOTE["noted_at"], "currency": "E\nR"}, "control"),
    ],
)
def test_a_note_that_cannot_be_is_refused(part: str, changed: dict, match: str) -> None:
    document = Document(formulas=(SPRITZ,)).model_dump(mode="json", by_alias=True)
    with pytest.raises(InputError, match=match):
        parse_document(json.dumps({**document, part: [changed]}))
