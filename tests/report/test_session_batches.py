"""Both samples of a session on one sheet: enough of each, and nothing of the key."""

import re

import pytest

from tasting.panel.methods import METHODS
from tasting.panel.plan import Plan
from tasting.report.pour_sheet import pour_sheet
from tasting.report.session_batches import session_batches, session_batches_html
from tests.ui.workshop import MEASURED, SPRITZ, opened, planned

A, B = SPRITZ.versions[0], SPRITZ.versions[1]


def html(plan: Plan, drinks: tuple = (A, B)) -> str:  # type: ignore[type-arg]
    return session_batches_html("Evening", "", plan, session_batches(plan, drinks))


@pytest.mark.parametrize("method", list(METHODS))
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_there_is_enough_however_the_orders_fall(method: str, seed: int) -> None:
    """The pour sheet of a session that was opened never asks for more."""
    session = opened(planned("one", method), seed=seed)
    made = session_batches(session.plan, (A, B))
    for ready, poured in zip(made, pour_sheet(session).fills, strict=True):
        assert ready.letter == poured.letter
        assert ready.cups >= poured.cups
        assert ready.volume_ml >= poured.volume_ml - 1e-9


def test_it_is_the_recipe_scaled_to_the_cups() -> None:
    """Twelve triangles: 2 blocks of 6 orders with 9 cups of each sample, 30 mL and 10 % to spare:
    594 mL; of 180 mL, 60 mL are rhubarb juice: 198 mL (arithmetic)."""
    made = session_batches(planned("one").plan, (A, B))[0]
    assert (made.cups, made.volume_ml) == (18, pytest.approx(594))
    assert made.sheet is not None
    assert made.sheet.lines[0].measured == "198 mL"


def test_a_bottle_is_poured_as_it_is() -> None:
    said = html(planned("one", a="R").plan, (MEASURED, B))
    assert "From the bottle" in said
    assert "How long it keeps" in said


def test_it_tells_no_code() -> None:
    session = opened(planned("one"))
    said = html(session.plan)
    codes = {code for served in session.sets for code in served.codes}
    assert codes.isdisjoint(re.findall(r"\d+", re.sub(r"<style>.*?</style>", "", said, flags=re.S)))
    assert "This sheet tells no code." in said


def test_what_cannot_be_measured_is_said() -> None:
    tiny = planned("one", serving_ml=1, assessors=("P1",))
    pinch = A.model_copy(update={"parts": (*A.parts, SPRITZ.versions[0].parts[0])})
    said = html(tiny.plan, (pinch, B))
    assert "Batch sheet: Evening" in said
