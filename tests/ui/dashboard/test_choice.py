"""What the dashboard is about."""

from tasting.drink.formula import Formula
from tasting.panel.plan import Sample
from tasting.store.session_index import Compared
from tasting.ui.dashboard.choice import chosen, first_formula, first_reference
from tests.ui.workshop import MEASURED, SPRITZ, UNMEASURED, sample

OTHER = Formula(
    id="other",
    name="Another drink",
    versions=(SPRITZ.versions[0].model_copy(update={"id": "other-1"}),),
)


def compared(id: str, a: str, b: str) -> Compared:
    return Compared(id, "", sample(a), sample(b))


VERSIONS = compared("versions", "spritz-1", "spritz-2")
BOTTLE_R = compared("r", "spritz-1", "R")
BOTTLE_S = compared("s", "S", "spritz-1")
BOTTLES = compared("bottles", "R", "S")
ELSEWHERE = Compared(
    "elsewhere",
    "",
    Sample(kind="version", id="other-1", name="Another drink, v1"),
    sample("R"),
)


def test_versions_among_themselves_and_against_the_chosen_reference() -> None:
    closed = [VERSIONS, BOTTLE_R, BOTTLE_S, BOTTLES, ELSEWHERE]

    assert chosen(closed, SPRITZ, MEASURED) == [VERSIONS, BOTTLE_R]
    assert chosen(closed, SPRITZ, UNMEASURED) == [VERSIONS, BOTTLE_S]


def test_without_a_reference_only_versions_among_themselves() -> None:
    assert chosen([VERSIONS, BOTTLE_R], SPRITZ, None) == [VERSIONS]


def test_it_begins_with_the_formula_that_was_tasted_last() -> None:
    assert first_formula([SPRITZ, OTHER], [VERSIONS, ELSEWHERE]) == 1
    assert first_formula([SPRITZ, OTHER], [ELSEWHERE, VERSIONS]) == 0
    assert first_formula([SPRITZ, OTHER], []) == 0


def test_it_begins_with_the_reference_that_was_compared_most() -> None:
    bottles = [MEASURED, UNMEASURED]

    assert first_reference(bottles, SPRITZ, [BOTTLE_S, BOTTLE_R, BOTTLE_S]) == 1
    assert first_reference(bottles, SPRITZ, [VERSIONS]) == 0
    assert first_reference([], SPRITZ, []) is None
