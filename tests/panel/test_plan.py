"""What a plan for one person alone has to be."""

import pytest

from tasting.errors import InputError
from tasting.panel.methods import METHODS
from tasting.panel.plan import Plan
from tasting.records import checked
from tests.ui.workshop import planned

ONE_CUP = ("triangle", "duo-trio", "duo-trio-constant", "3-afc", "paired", "preference")


def alone(method: str, **more: object) -> Plan:
    """A plan for one person who tastes alone."""
    asks = METHODS[method].asks
    asked = {"attribute": "more sour", "expected": "B"} if asks == "direction" else {}
    usual = dict(planned("one", method, **asked).plan)
    return checked(Plan, {**usual, "assessors": ["me"], "alone": True, "replicates": 6, **more})


@pytest.mark.parametrize("method", ONE_CUP)
def test_who_tastes_alone_chooses_one_cup(method: str) -> None:
    assert alone(method).tastings == 6


@pytest.mark.parametrize("method", sorted(set(METHODS) - set(ONE_CUP)))
def test_a_choice_of_no_single_cup_cannot_be_made_alone(method: str) -> None:
    with pytest.raises(InputError, match="take a method that asks for one cup"):
        alone(method)


def test_no_preference_stands_under_no_cup() -> None:
    with pytest.raises(InputError, match="take a method that asks for one cup"):
        alone("preference", no_preference=True)


def test_two_people_are_not_alone() -> None:
    with pytest.raises(InputError, match="list one assessor"):
        alone("triangle", assessors=["me", "you"])
