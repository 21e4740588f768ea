"""What limits a finding is said beside it, word for word."""

import pytest

from tasting.insight.findings.cautions import cautions
from tasting.insight.findings.finding import Finding, conclude
from tasting.insight.findings.tally import Tally
from tasting.panel.entries import Event
from tasting.panel.methods import PAIRED, PREFERENCE, TRIANGLE, Method
from tests.insight.tallies import tally_in_order, tally_of
from tests.ui.workshop import closed, planned


def found(method: Method, count: int, n: int, **more: object) -> Finding:
    return conclude(tally_of(method, count, n, **more))


EARLY = "Closed early, with 30 of 36 planned answers: The bottle broke"
ONE = (
    "All answers are by one assessor: this speaks for that person only. Repeated sets show how "
    "reliably this person tells the samples apart, not how many others would. They are treated as "
    "independent, which is wrong for a palate that tires or learns."
)
SHUFFLED = (
    "The same person filled, shuffled and tasted the cups: the result is as blind as the "
    "shuffling was. Let somebody else pour before you rely on it."
)
REPEATED = (
    "10 assessors gave 30 answers. Answers by one person are not independent: intervals allow for "
    "how much these assessors differ."
)
VOTES = (
    "10 assessors gave 30 answers. Two answers by one person are not two votes: the test and the "
    "intervals count assessors."
)


@pytest.mark.parametrize(
    ("method", "more", "cautions"),
    [
        (TRIANGLE, {}, ()),
        (TRIANGLE, {"planned": 36, "early_reason": "The bottle broke"}, (EARLY,)),
        (TRIANGLE, {"planned": 36}, ()),
        (TRIANGLE, {"assessors": 1}, (ONE,)),
        (TRIANGLE, {"assessors": 1, "alone": True}, (ONE, SHUFFLED)),
        (TRIANGLE, {"assessors": 10}, (REPEATED,)),
        (PREFERENCE, {}, ()),
        (PREFERENCE, {"assessors": 10}, (VOTES,)),
        (PREFERENCE, {"assessors": 1}, (ONE,)),
        (
            TRIANGLE,
            {"excluded": 1},
            ("1 assessor was excluded before the session was closed; the record says why.",),
        ),
        (
            TRIANGLE,
            {"excluded": 2, "assessors": 10},
            (
                "2 assessors were excluded before the session was closed; the record says why.",
                REPEATED,
            ),
        ),
        (
            PAIRED,
            {"planned": 36, "early_reason": "The bottle broke", "assessors": 10},
            (EARLY, VOTES),
        ),
    ],
)
def test_what_limits_the_finding_is_said(method: Method, more, cautions: tuple[str, ...]) -> None:
    assert found(method, 20, 30, **more).cautions == cautions


def test_a_single_answer_is_not_called_repeated() -> None:
    assert found(TRIANGLE, 1, 1).cautions == (
        "One answer by one assessor: this speaks for that person only.",
    )


def test_a_test_that_may_stop_early_says_which_way_its_estimates_lean() -> None:
    assert conclude(tally_in_order(TRIANGLE, "++++++", sequential=True)).cautions == (
        "A sequential test stops when the score is extreme, which biases plain estimates; these "
        "estimates and intervals allow for the stop.",
    )


def test_a_pourer_who_goes_by_the_name_of_an_assessor_is_told_of() -> None:
    """From sessions before such a reader was turned away, and from documents."""
    session = closed(planned("acid"), 10, 2)
    seen = Event(at=session.opened_at, what="pour sheet shown", detail="to ASSESSOR 3")
    other = Event(at=session.opened_at, what="pour sheet shown", detail="to Kim")
    told = session.model_copy(update={"events": (seen, other)})

    (said,) = (one for one in cautions(Tally.of_session(told)) if "pour sheet" in one)
    assert said.startswith("The pour sheet was shown to 'ASSESSOR 3', a name also on this panel")
    assert not any("pour sheet" in one for one in cautions(Tally.of_session(session)))
