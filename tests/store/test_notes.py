"""Notes on drinks: rows that are only added, so that each can be undone."""

import pytest
from sqlalchemy import Engine

from tasting.errors import InputError
from tasting.store import formulas, notes
from tests.ui.workshop import SPRITZ


@pytest.fixture
def kept(engine: Engine) -> Engine:
    formulas.keep_formula(engine, SPRITZ)
    return engine


def test_a_formula_is_renamed_and_named_back(kept: Engine) -> None:
    formulas.rename(kept, SPRITZ.id, " Bay spritz ")
    assert formulas.formula(kept, SPRITZ.id).name == "Bay spritz"
    assert formulas.formulas(kept)[0].versions == SPRITZ.versions
    formulas.rename(kept, SPRITZ.id, SPRITZ.name)
    assert formulas.formulas(kept) == (SPRITZ,)


@pytest.mark.parametrize(("name", "match"), [(" ", "text is empty"), ("SODA", "'SODA' already")])
def test_a_name_is_neither_empty_nor_taken(kept: Engine, name: str, match: str) -> None:
    formulas.keep_formula(kept, renamed("other", "Soda"))
    with pytest.raises(InputError, match=match):
        formulas.rename(kept, SPRITZ.id, name)
    assert formulas.formula(kept, SPRITZ.id) == SPRITZ


def renamed(id_: str, name: str) -> formulas.Formula:
    first = SPRITZ.versions[0].model_copy(update={"id": f"{id_}-1"})
    return SPRITZ.model_copy(update={"id": id_, "name": name, "versions": (first,)})


def test_formulas_come_by_their_present_names(kept: Engine) -> None:
    formulas.keep_formula(kept, renamed("other", "Soda"))
    formulas.rename(kept, SPRITZ.id, "Zest spritz")
    assert [known.name for known in formulas.formulas(kept)] == ["Soda", "Zest spritz"]


def test_a_drink_is_put_away_and_taken_out_again(kept: Engine) -> None:
    notes.archive(kept, SPRITZ.id)
    assert notes.archived(kept) == {SPRITZ.id}
    notes.archive(kept, SPRITZ.id, away=False)
    assert notes.archived(kept) == frozenset()
    assert len(notes.notes(kept, SPRITZ.id)) == 2


def test_notes_come_newest_first_with_their_version(kept: Engine) -> None:
    notes.add_note(kept, SPRITZ.id, "remark", "flat beside R", "spritz-1")
    notes.add_note(kept, SPRITZ.id, "glass", "highball")
    found = notes.notes(kept, SPRITZ.id)
    assert [(note.kind, note.text, note.version_id) for note in found] == [
        ("glass", "highball", ""),
        ("remark", "flat beside R", "spritz-1"),
    ]


def test_an_empty_remark_is_refused(kept: Engine) -> None:
    with pytest.raises(InputError, match="remark is empty"):
        notes.add_note(kept, SPRITZ.id, "remark", "  ")
