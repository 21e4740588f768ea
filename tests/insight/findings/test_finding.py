"""A finding holds the counts, what they weigh and the sentences that say so."""

import pytest
from scipy.stats import binomtest

from tasting.errors import InputError, SealedError
from tasting.insight.findings.cautions import cautions
from tasting.insight.findings.evidence import evaluate
from tasting.insight.findings.finding import conclude, finding, findings
from tasting.panel.methods import METHODS, PREFERENCE, TRIANGLE
from tasting.panel.session import Session
from tests.insight.tallies import tally_of
from tests.panel.sessions import exclusion
from tests.ui.workshop import START, answered, closed, opened, planned, some_closed


def test_the_example_of_twenty_out_of_thirty() -> None:
    """Triangle, 20 of 30: p = 1.9e-4 by scipy; p_d = 1.5 x 2/3 - 0.5 = 50 %."""
    found = conclude(tally_of(TRIANGLE, 20, 30))

    assert found.evidence.p_value == pytest.approx(binomtest(20, 30, 1 / 3, "greater").pvalue)
    assert found.evidence.noticed.value == pytest.approx(0.5)
    assert found.shown


def test_it_brings_together_what_is_weighed_and_what_is_said() -> None:
    tally = tally_of(TRIANGLE, 20, 30)
    found, evidence = conclude(tally), evaluate(tally)

    assert (found.tally, found.evidence) == (tally, evidence)
    assert found.headline == evidence.headline(tally)
    assert found.sentences[:-1] == tuple(filter(None, evidence.sentences(tally)))
    assert found.sentences[-1].startswith("Next: ")
    assert found.cautions == (*cautions(tally), *evidence.cautions(tally))


@pytest.mark.parametrize(
    "tally", [tally_of(TRIANGLE, 0, 0), tally_of(PREFERENCE, 0, 0, undecided=5)]
)
def test_without_an_answer_that_chose_there_is_nothing_to_conclude(tally) -> None:
    with pytest.raises(InputError, match="no answer was given that counts"):
        conclude(tally)


@pytest.mark.parametrize(
    "session",
    [
        planned("acid"),
        opened(planned("acid")),
        opened(planned("acid")).abandoned(START.replace(year=2027), "x"),
    ],
    ids=lambda session: session.state,
)
def test_a_session_that_is_not_closed_stays_sealed(session: Session) -> None:
    for ask in (finding, lambda one: findings([one])):
        with pytest.raises(SealedError, match=f"'Session acid' is {session.state}: close it"):
            ask(session)


def test_a_closed_session_is_concluded_from_its_answers() -> None:
    found = finding(closed(planned("acid"), 10, 2))

    assert (found.tally.count, found.tally.n, found.shown) == (10, 12, True)
    assert found == conclude(found.tally)


@pytest.mark.parametrize("method", METHODS)
def test_a_session_of_any_method_has_a_finding(method: str) -> None:
    found = finding(closed(planned("acid", method), 9, 3))

    assert (found.tally.count, found.tally.n) == (9, 12)
    assert found.headline
    assert len(found.sentences) >= 3


def test_when_everybody_is_excluded_there_is_no_finding() -> None:
    running = answered(opened(planned("acid", assessors=("Ann", "Bo"))), 2, 0)
    out = tuple(exclusion(who) for who in ("Ann", "Bo"))
    done = Session.model_validate({**dict(running), "exclusions": out}).closed(
        START.replace(year=2027)
    )

    assert findings([done]) == []
    with pytest.raises(InputError, match="no answer was given that counts"):
        finding(done)


def test_sessions_without_an_answer_have_no_finding() -> None:
    assert [session.id for session, _ in findings(some_closed())] == [
        "acid",
        "syrup",
        "liking",
        "unknown",
    ]
