"""What the dashboard is about."""

from tasting.drink.formula import Formula
from tasting.store.session_index import Wanted
from tasting.ui.dashboard.choice import chosen, first_formula, first_reference
from tests.ui.workshop import MEASURED, SPRITZ, UNMEASURED

OTHER = Formula(
    id="other",
    name="Another drink",
    versions=(SPRITZ.versions[0].model_copy(update={"id": "other-1"}),),
)


def test_versions_among_themselves_and_against_the_chosen_reference() -> None:
    versions = ("spritz-1", "spritz-2", "spritz-3")

    assert chosen(SPRITZ, MEASURED) == Wanted(versions, "R", among=True)
    assert chosen(SPRITZ, None) == Wanted(versions, "", among=True)


def test_it_begins_with_the_formula_that_was_tasted_last() -> None:
    assert first_formula([SPRITZ, OTHER], "other-1") == 1
    assert first_formula([SPRITZ, OTHER], "spritz-3") == 0
    assert first_formula([SPRITZ, OTHER], None) == 0


def test_it_begins_with_the_reference_that_was_compared_most() -> None:
    bottles = [MEASURED, UNMEASURED]

    assert first_reference(bottles, {"S": 2, "R": 1}) == 1
    assert first_reference(bottles, {"S": 1, "R": 1}) == 0
    assert first_reference(bottles, {}) == 0
    assert first_reference([], {}) is None
