"""Formulas and references are added, found again, and never changed."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine

from tasting.drink.formula import Formula
from tasting.errors import InputError, NotFoundError
from tasting.panel.plan import Sample
from tasting.records import now
from tasting.store import formulas
from tasting.store.database import open_database
from tasting.store.documents import export_document, import_documents
from tests.ui.workshop import MEASURED, SPRITZ, UNMEASURED, keep, some_closed, version


@pytest.fixture
def kept(engine: Engine) -> Engine:
    """The spritz and a reference."""
    formulas.keep_formula(engine, SPRITZ)
    formulas.keep_reference(engine, MEASURED)
    return engine


def test_what_was_kept_is_found_as_it_was(kept: Engine) -> None:
    assert formulas.formula(kept, "spritz") == SPRITZ
    assert formulas.formulas(kept) == (SPRITZ,)
    assert formulas.references(kept) == (MEASURED,)


def test_a_new_version_joins_the_tree(kept: Engine) -> None:
    fourth = version(4, 12, 20, "Half of the lemon")
    formulas.add_version(kept, "spritz", fourth)

    assert formulas.formula(kept, "spritz").versions == (*SPRITZ.versions, fourth)


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"parent": "spritz-9"}, "not an earlier version"),
        ({"parent": None}, "has no parent"),
        ({"label": "v2"}, "the label 'v2'"),
        ({"id": "spritz-2"}, "the id 'spritz-2'"),
    ],
)
def test_a_version_that_does_not_fit_the_tree_is_refused(
    kept: Engine, change: dict[str, object], match: str
) -> None:
    stray = version(4, 12, 20, "Half of the lemon").model_copy(update=change)
    with pytest.raises(InputError, match=match):
        formulas.add_version(kept, "spritz", stray)
    assert formulas.formula(kept, "spritz") == SPRITZ


def test_an_id_is_taken_once_even_by_another_formula(kept: Engine) -> None:
    other = Formula(id="other", name="Other", versions=SPRITZ.versions[:1])
    with pytest.raises(InputError, match="version 'v1' is saved already, or its id"):
        formulas.keep_formula(kept, other)
    with pytest.raises(NotFoundError, match="no formula is saved under the id 'other'"):
        formulas.formula(kept, "other")


def test_a_reference_is_kept_once(kept: Engine) -> None:
    with pytest.raises(InputError, match="reference 'Reference bottle R' is saved already"):
        formulas.keep_reference(kept, MEASURED)


def test_everything_can_be_compared_newest_version_first(kept: Engine) -> None:
    names = [sample.name for sample in formulas.samples(kept)]

    assert names[0] == "Reference bottle R"
    assert [name[-2:] for name in names[1:]] == ["v3", "v2", "v1"]


def test_a_sample_leads_to_its_drink(kept: Engine) -> None:
    found = [formulas.drink(kept, sample) for sample in formulas.samples(kept)]

    assert found == [MEASURED, *reversed(SPRITZ.versions)]


def test_a_sample_of_nothing_is_said(kept: Engine) -> None:
    stray = Sample(kind="reference", id=UNMEASURED.id, name=UNMEASURED.name)
    with pytest.raises(NotFoundError, match="no reference is saved under the id 'S'"):
        formulas.drink(kept, stray)


def test_new_ids_differ_and_fit() -> None:
    ids = {formulas.new_id() for _ in range(100)}

    assert len(ids) == 100
    assert {len(id_) for id_ in ids} == {16}


def test_a_reference_is_completed(kept: Engine) -> None:
    after = formulas.correct_reference(kept, MEASURED, {"ph": 3.1}, "metered")

    assert formulas.references(kept) == (after,)
    assert (after.ph, after.ta_g_per_l) == (3.1, MEASURED.ta_g_per_l)
    assert after.earlier[0].was == MEASURED


def test_what_was_known_earlier_is_found_by_its_moment(kept: Engine) -> None:
    before = now()
    after = formulas.correct_reference(kept, MEASURED, {"ph": 3.1}, "metered")
    bottle = Sample(kind="reference", id=MEASURED.id, name=MEASURED.name)

    assert formulas.drink(kept, bottle) == after
    assert formulas.drink(kept, bottle, before) == MEASURED


def test_a_closed_session_keeps_what_was_known_when_it_closed(engine: Engine) -> None:
    session = some_closed()[2]
    keep(engine, session)
    after = formulas.correct_reference(engine, MEASURED, {"ph": 3.33}, "metered")

    assert formulas.compared(engine, session)[0] == MEASURED
    assert formulas.drink(engine, session.plan.a) == after


def test_two_hosts_who_correct_the_same_state_do_not_lose_one(kept: Engine) -> None:
    formulas.correct_reference(kept, MEASURED, {"ph": 3.1}, "metered")

    with pytest.raises(InputError, match="was corrected meanwhile"):
        formulas.correct_reference(kept, MEASURED, {"ph": 3.3}, "metered elsewhere")


def test_a_corrected_reference_travels_with_its_history(kept: Engine, other: Engine) -> None:
    after = formulas.correct_reference(kept, MEASURED, {"ph": 3.1}, "metered")
    import_documents(other, [export_document(kept)])
    again = formulas.correct_reference(other, after, {"ph": 3.2}, "metered again")

    assert formulas.references(other) == (again,)
    assert [one.was.ph for one in again.earlier] == [None, 3.1]


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Engine]:
    """Another empty database."""
    opened = open_database(f"sqlite:///{tmp_path / 'other.sqlite3'}")
    yield opened
    opened.dispose()
