"""The share who notice as a table: every session, whatever its method."""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from tasting.insight.noticing.drivers import DRIVERS, SUGAR, TA, Driver
from tasting.insight.noticing.marks import SessionShare, session_shares
from tasting.panel.session import Session
from tasting.store.documents import Document
from tasting.ui.dashboard.noticed_table import in_unit, line, table
from tests.ui.workshop import MEASURED, SPRITZ, UNMEASURED, closed, planned, some_closed

DRINKS = Document(formulas=(SPRITZ,), references=(MEASURED, UNMEASURED))
STEP = "Step B − A, g/L"
AS_TRIANGLE = "Share who notice, as a triangle test, %"
OWN = "Share who notice, own method (p_d), %"
LEAD = "Lead in preference, %"


def rows(*sessions: Session, drivers: Sequence[Driver] = (TA, SUGAR)) -> tuple[SessionShare, ...]:
    return session_shares(sessions, DRINKS.drink, drivers)


def told(session: Session, driver: Driver = TA) -> dict[str, object]:
    return line(rows(session)[0], driver)


SOME = rows(*some_closed())
ACID = closed(planned("acid"), 10, 2)


def test_a_line_has_the_numbers_of_its_session() -> None:
    said = told(ACID)

    assert (said["Session"], said["Method"]) == ("Session acid", "Triangle test")
    assert said["Tastings n"] == 12
    assert said[AS_TRIANGLE] == said[OWN] == "75 (27–97)"
    assert (said["Difference"], said["B against A"]) == ("shown", "Spritz, v2 against Spritz, v1")
    assert said["Tasted by"] == "a panel"
    assert LEAD not in said


def test_both_scales_are_named_where_they_differ() -> None:
    said = told(closed(planned("tetrad", "tetrad", replicates=2), 16, 8))

    assert str(said[OWN]).startswith("50 (")
    assert str(said[AS_TRIANGLE]).startswith("29 (")


def test_a_preference_has_a_lead_by_its_own_name() -> None:
    said = told(closed(planned("liking", "preference"), 11, 1))

    assert said[AS_TRIANGLE] == said[OWN] == "–"
    assert str(said[LEAD]).startswith("83 (")
    assert sorted(table(SOME, TA)[LEAD])[1:] == ["–", "–", "–"]


@pytest.mark.parametrize("method", ["same-different", "a-not-a"])
def test_a_method_without_a_share_has_its_distance_only(method: str) -> None:
    said = told(closed(planned("one", method), 9, 3))

    assert said[AS_TRIANGLE] == said[OWN] == "–"
    assert said["d′"] != "–"


def test_swapped_samples_turn_the_sign_of_the_step() -> None:
    there = told(ACID)
    back = told(closed(planned("acid", a="spritz-2", b="spritz-1"), 10, 2))

    assert (there[STEP], back[STEP]) == ("+0.90", "−0.90")
    turned = {STEP, "B against A"}
    assert {key: cell for key, cell in there.items() if key not in turned} == {
        key: cell for key, cell in back.items() if key not in turned
    }


def test_an_unknown_step_comes_last() -> None:
    last = table(SOME, TA).iloc[-1].to_dict()

    assert (last["Session"], last[STEP]) == ("Session unknown", "unknown")


def test_the_table_is_ordered_by_the_size_of_the_step() -> None:
    steps = table(SOME, SUGAR)[STEP]
    sizes = [abs(float(step.replace("−", "-"))) for step in steps]

    assert sizes == sorted(sizes)
    assert len(sizes) == len(SOME)


def test_what_else_differs_counts_other_drivers_and_the_reference() -> None:
    assert told(closed(planned("reference", a="R"), 9, 3))["What else differs"] == ("something")
    (only_acid,) = rows(ACID, drivers=[TA])
    assert line(only_acid, TA)["What else differs"] == "no other modelled figure"


def test_no_marks_make_an_empty_table() -> None:
    assert len(table([], TA)) == 0


def test_no_word_calls_two_drinks_the_same() -> None:
    words = table(SOME, TA).to_csv().casefold()

    assert not {"same", "identical", "significant"} & set(words.split())


def test_invented_sessions_are_marked() -> None:
    assert told(ACID.model_copy(update={"invented": "made up"}))["Session"] == (
        "Session acid (invented)"
    )


@pytest.mark.parametrize(
    ("step", "text"),
    [
        (None, "unknown"),
        (0.884, "+0.88"),
        (-0.146, "−0.15"),
        (0.0, "0.00"),
        (-0.001, "0.00"),
        (-11.77, "−11.8"),
        (9.997, "+10.0"),
    ],
)
def test_a_step_is_written_with_its_sign(step: float | None, text: str) -> None:
    known = {} if step is None else {TA.key: step}

    assert line(replace(rows(ACID)[0], steps=known), TA)[STEP] == text


def test_a_driver_without_a_unit_leaves_no_comma() -> None:
    assert in_unit("Step", DRIVERS["ph"]) == "Step"
    assert in_unit("Step", TA) == "Step, g/L"
