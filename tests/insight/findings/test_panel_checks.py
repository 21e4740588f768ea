"""Looks at the panel: what they see, and that they stay quiet where all is well."""

from random import Random

import pytest
from scipy.stats import fisher_exact, hypergeom

from tasting.errors import SealedError
from tasting.insight.findings.panel_checks import assessor_checks, false_alarm, panel_checks
from tasting.panel.entries import Answer
from tasting.panel.methods import METHODS
from tasting.panel.session import Session
from tests.ui.workshop import START, closed, opened, planned

SIXTY = tuple(f"P{number}" for number in range(60))


def given(session: Session, choose) -> Session:
    """Each set answered by `choose(served, options)`, the index of an option; then closed."""
    answers = tuple(
        Answer(
            assessor=served.assessor,
            replicate=served.replicate,
            choice=session.plan.choices(served.codes)[choose(served)],
            given_at=START.replace(month=3),
        )
        for served in session.sets
    )
    done = Session.model_validate({**dict(session), "answers": answers})
    return done.closed(START.replace(month=4))


def right_option(session: Session, served) -> int:
    method = session.plan.procedure
    return next(
        place for place in range(len(method.options)) if method.is_counted(served.order, place)
    )


def test_a_place_that_everyone_likes_is_seen() -> None:
    found = panel_checks(given(opened(planned("odd", assessors=SIXTY)), lambda served: 1))

    assert found[0].question == "Is one place on the ballot chosen too often?"
    assert found[0].seen == "chosen place 1: 0, 2: 60, 3: 0"
    assert found[0].check.p_value < 0.001
    assert found[0].holm_p_value < 0.01


def test_an_order_that_gives_the_answer_away_is_seen() -> None:
    session = opened(planned("odd", assessors=SIXTY))

    def choose(served) -> int:
        right = right_option(session, served)
        return right if served.order.startswith("A") else (right + 1) % 3

    order = panel_checks(given(session, choose))[1]

    assert order.question == "Does the serving order matter?"
    assert order.check.p_value < 0.001
    assert "AAB 10 of 10" in order.seen
    assert "BBA 0 of 10" in order.seen


def test_a_panel_that_tires_is_seen_by_fishers_test() -> None:
    """30 right, then 30 wrong; p by scipy."""
    half = panel_checks(closed(planned("odd", assessors=SIXTY), 30, 30))[-1]

    assert half.seen == "correct in 30 of 30, then in 0 of 30"
    assert half.check.p_value == pytest.approx(fisher_exact([[30, 0], [0, 30]]).pvalue)


def test_looking_again_gives_the_same_numbers() -> None:
    session = closed(planned("odd"), 8, 4)

    assert panel_checks(session) == panel_checks(session)


@pytest.mark.parametrize(
    ("method", "questions"),
    [
        ("triangle", ["place", "order", "half"]),
        ("duo-trio", ["place", "order", "half"]),
        ("tetrad", ["answer", "order", "half"]),
        ("paired", ["place", "half"]),
        ("preference", ["place", "half"]),
        ("same-different", ["half"]),
        ("a-not-a", ["half"]),
    ],
)
def test_each_method_has_the_looks_that_make_sense(method: str, questions: list[str]) -> None:
    session = opened(planned("odd", method, assessors=SIXTY))
    random = Random(1)
    found = panel_checks(
        given(session, lambda served: random.randrange(len(METHODS[method].options)))
    )

    assert len(found) == len(questions)
    for look, word in zip(found, questions, strict=True):
        assert word in look.question


def test_where_everyone_guesses_small_p_are_as_rare_as_they_say() -> None:
    """Sixty people guess in 40 sessions: 120 looks, about 6 below 0.05; 16 or more has p < 0.001
    (binomial)."""
    random = Random(7)
    p_values = [
        look.check.p_value
        for seed in range(40)
        for look in panel_checks(
            given(opened(planned("odd", assessors=SIXTY), seed), lambda _: random.randrange(3))
        )
    ]

    assert len(p_values) == 120
    assert sum(p <= 0.05 for p in p_values) < 16


def test_an_open_session_stays_sealed() -> None:
    with pytest.raises(SealedError, match="close it first"):
        panel_checks(opened(planned("odd")))
    with pytest.raises(SealedError, match="close it first"):
        assessor_checks([opened(planned("odd"))])


def test_without_an_answer_there_is_nothing_to_look_at() -> None:
    nobody = closed(planned("odd"), 0, 0, "Nobody came")

    assert panel_checks(nobody) == ()
    assert assessor_checks([nobody]) == ()


def test_an_assessor_is_held_against_the_others_of_the_session() -> None:
    """Three sets each, the first assessors all right: P(3 of the 6 right fall on 3 of 12 sets)."""
    session = closed(planned("odd", assessors=("P1", "P2", "P3", "P4"), replicates=3), 6, 6)
    right = {check.assessor: check for check in assessor_checks([session])}
    counts = sorted(check.correct for check in right.values())

    assert sum(counts) == 6
    for check in right.values():
        tails = hypergeom(12, 6, 3)
        tail = min(tails.sf(check.correct - 1), tails.cdf(check.correct))
        assert check.p_value == pytest.approx(min(1.0, 2 * tail))
        assert check.expected == 1.5


def test_matters_of_taste_are_not_held_against_anyone() -> None:
    taste = [closed(planned("liking", "preference"), 6, 6), closed(planned("open", "paired"), 6, 6)]

    assert assessor_checks(taste) == ()


def test_the_family_of_looks() -> None:
    """1 - 0.95^3."""
    assert false_alarm(3) == pytest.approx(0.142625)
