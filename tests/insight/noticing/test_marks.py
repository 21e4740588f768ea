"""The share who notice in each session, beside the size of its step."""

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import binomtest, norm

from sample_sessions.truth import triangle
from tasting.drink.formula import Version
from tasting.drink.label import Reference
from tasting.errors import InputError, SealedError
from tasting.insight.findings.tally import Tally
from tasting.insight.noticing.comparisons import Asked, SessionScore, TastedPair
from tasting.insight.noticing.drivers import DRIVERS, SUGAR, TA, drivers_named
from tasting.insight.noticing.marks import (
    SessionShare,
    beside_curve,
    pooled_shares,
    session_shares,
)
from tasting.panel.methods import METHODS
from tasting.panel.plan import Sample
from tasting.panel.session import Session
from tasting.stats.results import Estimate, Interval
from tasting.store.documents import Document
from tests.insight.workshop import document, noticed
from tests.ui.workshop import (
    MEASURED,
    SPRITZ,
    UNMEASURED,
    answered,
    closed,
    opened,
    planned,
    some_closed,
)

BOTH = (TA, SUGAR)
DRINKS = Document(formulas=(SPRITZ,), references=(MEASURED, UNMEASURED))
WORKSHOP = {
    one.session_id: one for one in session_shares(document().sessions, document().drink, BOTH)
}


def row(session: Session) -> SessionShare:
    (only,) = session_shares([session], DRINKS.drink, BOTH)
    return only


ACID = row(closed(planned("acid"), 10, 2))


def ends(share: Estimate | None) -> tuple[float, float, float]:
    assert share is not None
    return share.value, share.low, share.high


def test_sessions_without_answers_are_left_out() -> None:
    rows = session_shares(some_closed(), DRINKS.drink, BOTH)

    assert [one.session_id for one in rows] == ["acid", "syrup", "liking", "unknown"]


def test_p_d_and_its_interval_correct_for_guessing() -> None:
    """p_d = 1.5 x/n - 0.5 for a triangle test (ISO 4120, from memory); interval by scipy."""
    exact = binomtest(10, 12).proportion_ci(0.95, method="exact")
    by_hand = [1.5 * share - 0.5 for share in (10 / 12, exact.low, exact.high)]

    assert ends(ACID.p_d) == pytest.approx(by_hand)


def test_a_triangle_test_has_its_own_share_on_both_scales() -> None:
    assert ends(ACID.as_triangle) == pytest.approx(ends(ACID.p_d), abs=1e-6)


def test_16_of_24_correct_tetrads_are_half_by_their_own_method_and_fewer_triangles() -> None:
    """p_d = (16/24 - 1/3) / (2/3) = 50 %. Tetrads need less distance for it than triangles, whose
    integrals are taken here by scipy: of the tetrad by Ennis and Jesionka 2011, J Sens Stud 26:371
    (from memory), of the triangle by Frijters, Kooistra and Vereijken 1980 (`truth.triangle`)."""

    def tetrad(d: float) -> float:
        def missed(x: float) -> float:
            far = norm.cdf(x - d)
            return float(norm.pdf(x) * (2 * norm.cdf(x) * far - far**2))

        return 1 - 2 * float(quad(missed, -9, 9)[0])

    distance = brentq(lambda d: tetrad(d) - 16 / 24, 0.1, 5)
    triangles = 1.5 * triangle(distance) - 0.5
    one = row(closed(planned("tetrad", "tetrad", replicates=2), 16, 8))

    assert one.p_d is not None
    assert one.p_d.value == pytest.approx(0.5)
    assert one.as_triangle is not None
    assert one.as_triangle.value == pytest.approx(0.285, abs=0.001)
    assert one.as_triangle.value == pytest.approx(triangles, abs=1e-6)
    assert one.as_triangle.low < one.as_triangle.value < one.as_triangle.high


@pytest.mark.parametrize("method", ["triangle", "tetrad", "duo-trio", "paired"])
def test_swapped_samples_give_the_same_row_with_the_step_turned_round(method: str) -> None:
    there = row(closed(planned("one", method, "spritz-1", "spritz-2"), 9, 3))
    right, wrong = (3, 9) if method == "paired" else (9, 3)  # counted there: choices of B
    back = row(closed(planned("one", method, "spritz-2", "spritz-1"), right, wrong))

    assert back.steps == pytest.approx({key: -step for key, step in there.steps.items()})
    assert ends(back.p_d) == pytest.approx(ends(there.p_d))
    assert ends(back.as_triangle) == pytest.approx(ends(there.as_triangle))
    same = {"samples": "", "steps": {}, "p_d": None, "distance": None}
    assert replace(back, **same) == replace(there, **same)


def test_a_preference_has_a_lead_and_no_share_who_notice() -> None:
    liking = row(closed(planned("liking", "preference"), 11, 1))

    assert liking.lead is not None
    assert liking.lead.value == pytest.approx(10 / 12)
    assert liking.p_d is liking.as_triangle is None


@pytest.mark.parametrize("method", ["same-different", "a-not-a"])
def test_a_method_without_a_chance_of_guessing_has_no_share(method: str) -> None:
    one = row(closed(planned("one", method), 9, 3))

    assert one.p_d is one.as_triangle is one.lead is None


@pytest.mark.parametrize(
    "method", [method for method in METHODS.values() if method.psychometric], ids=str
)
def test_nothing_noticed_and_all_noticed_are_so_as_a_triangle_test(method: object) -> None:
    whole = Estimate(1.0, Interval(0.0, 1.0, 0.95))
    one = replace(ACID, method=method, p_d=whole)

    assert ends(one.as_triangle) == pytest.approx((1.0, 0.0, 1.0), abs=1e-6)


def test_four_millilitres_of_syrup_are_the_step_in_sugar() -> None:
    """By hand: 20 and 24 mL of syrup of 0.615 g sugar/mL in 180 and 184 mL, 0.93 g from juices."""
    steps = row(closed(planned("syrup", a="spritz-1", b="spritz-3"), 9, 3)).steps
    by_hand = (24 * 0.615 + 0.93) / 0.184 - (20 * 0.615 + 0.93) / 0.180

    assert steps[SUGAR.key] == pytest.approx(by_hand, rel=0.01)
    assert steps[SUGAR.key] > 0


def test_a_step_of_citric_acid_and_its_share() -> None:
    """The first session: 15 of 24 triangles at 0.2 g of citric acid in 226 mL (0.88 g/L).
    p_d = 1.5 x/n - 0.5. Eight people tasted three times each, so the interval allows for their
    spread and ends above scipy's exact one of independent answers."""
    first = WORKSHOP["session-01"]
    exact = binomtest(15, 24).proportion_ci(0.95, method="exact")

    assert first.steps[TA.key] == pytest.approx(0.2 / 0.226, rel=0.01)
    assert first.n == 24
    assert ends(first.p_d)[0] == pytest.approx(1.5 * 15 / 24 - 0.5)
    assert ends(first.p_d)[2] > 1.5 * exact.high - 0.5


def test_a_reference_without_measured_acidity_leaves_the_step_unknown() -> None:
    steps = row(closed(planned("unknown", a="S"), 9, 3)).steps

    assert TA.key not in steps
    assert SUGAR.key in steps


def test_what_else_moved_is_told() -> None:
    alone, together = WORKSHOP["session-01"], WORKSHOP["session-04"]

    assert alone.moved == {TA.key}
    assert together.moved == {TA.key, SUGAR.key}
    assert alone.nothing_else(TA)
    assert not together.nothing_else(TA)
    assert not together.nothing_else(SUGAR)


def test_one_person_alone_and_the_reference_are_told() -> None:
    alone = WORKSHOP["session-16"]

    assert alone.one_person
    assert alone.with_reference
    assert not alone.nothing_else(TA)
    assert not WORKSHOP["session-01"].one_person


def test_each_drink_is_composed_once() -> None:
    asked: Counter[str] = Counter()

    def counting(sample: Sample) -> Version | Reference:
        asked[sample.id] += 1
        return DRINKS.drink(sample)

    session_shares([closed(planned("one"), 9, 3), closed(planned("two"), 6, 6)], counting, BOTH)

    assert asked == {"spritz-1": 1, "spritz-2": 1}


def test_an_open_session_stays_sealed() -> None:
    with pytest.raises(SealedError, match="close it first"):
        session_shares([answered(opened(planned("open")), 5, 5)], DRINKS.drink, BOTH)


def test_an_unknown_drink_is_named() -> None:
    with pytest.raises(InputError, match="spritz-1"):
        session_shares([closed(planned("acid"), 9, 3)], Document().drink, BOTH)


def test_every_driver_has_a_step() -> None:
    (one,) = session_shares(
        [closed(planned("acid"), 9, 3)], DRINKS.drink, drivers_named(list(DRIVERS))
    )

    assert set(one.steps) == set(DRIVERS)


@pytest.mark.parametrize("driver", BOTH)
def test_beside_the_curve_stand_the_difference_tests_it_was_fitted_to(driver: object) -> None:
    fit = noticed().fit
    asked = [one for one in WORKSHOP.values() if one.method.question_kind == "difference"]

    assert fit is not None
    assert len(asked) == fit.sessions
    assert all(one in asked for one in beside_curve(list(WORKSHOP.values()), driver))


def test_what_changed_something_else_and_next_to_nothing_here_is_not_beside_the_curve() -> None:
    sugar = replace(ACID, session_id="sugar", steps={TA.key: 0.02}, moved=frozenset([SUGAR.key]))
    matched = replace(
        ACID, session_id="matched", steps={TA.key: -0.02}, moved=frozenset(), with_reference=True
    )
    unknown = replace(ACID, session_id="unknown", steps={})
    found = beside_curve([ACID, sugar, matched, unknown], TA)

    assert [one.session_id for one in found] == ["acid", "matched"]


def added_up(*sessions: Session) -> TastedPair:
    """Sessions that asked the same of the same two samples, as the store adds them up."""
    plan, tallies = sessions[-1].plan, [Tally.of_session(one) for one in sessions]
    answers = Counter((n, count) for tally in tallies for count, n in tally.scores)
    rows = [(n, count, who, often) for who, ((n, count), often) in enumerate(answers.items())]
    return TastedPair(
        asked=Asked(plan.procedure, plan.attribute, plan.expected, fixed=not plan.sequential),
        a=plan.a,
        b=plan.b,
        sessions=tuple((one.id, one.name) for one in sessions),
        shown=sum(session_shares([one], DRINKS.drink, BOTH)[0].shown for one in sessions),
        answers=np.array(rows),
        scores=Counter(SessionScore(1, len(tally.scores), tally.count) for tally in tallies),
    )


def pooled(*groups: TastedPair, most: int = 100) -> tuple[SessionShare, ...]:
    return pooled_shares(groups, DRINKS.drink, BOTH, most)


def test_equal_pairs_share_a_mark_with_the_share_of_all_their_answers() -> None:
    """10 and 8 of 12 triangles are 18 of 24: p_d = 1.5 x/n - 0.5 (ISO 4120, from memory)."""
    first, last = closed(planned("one"), 10, 2), closed(planned("two"), 8, 4)
    (one,) = pooled(added_up(first, last))

    assert one.p_d is not None
    assert one.p_d.value == pytest.approx(1.5 * 18 / 24 - 0.5, abs=1e-6)
    assert one.p_d.low < one.p_d.value < one.p_d.high
    assert (one.sessions, one.n, one.shown) == (2, 24, 2)
    assert (one.session_id, one.name) == ("two", "Session two")
    assert one.steps == pytest.approx(ACID.steps)


def test_sessions_that_disagree_have_a_wider_interval_than_their_sum() -> None:
    apart = [closed(planned(str(place)), count, 12 - count) for place, count in enumerate((12, 3))]
    (wide,) = pooled(added_up(*apart))
    alike = [closed(planned(str(place)), count, 12 - count) for place, count in enumerate((8, 7))]
    (narrow,) = pooled(added_up(*alike))

    assert wide.n == narrow.n
    assert wide.p_d
    assert narrow.p_d
    assert wide.p_d.high - wide.p_d.low > narrow.p_d.high - narrow.p_d.low


def test_turned_round_pairs_share_a_mark_unless_a_sample_was_expected() -> None:
    turned = {"a": "spritz-2", "b": "spritz-1"}
    there, back = closed(planned("one"), 9, 3), closed(planned("two", **turned), 9, 3)
    asked = {"method": "paired", "expected": "B"}
    sour, other = (
        closed(planned(id_, **asked, **at), 9, 3) for id_, at in (("p", {}), ("q", turned))
    )

    assert [one.sessions for one in pooled(added_up(there), added_up(back))] == [2]
    assert [one.sessions for one in pooled(added_up(sour), added_up(other))] == [1, 1]


def test_counts_that_do_not_add_up_have_no_mark() -> None:
    liking = added_up(closed(planned("liking", "preference"), 11, 1))
    sequence = added_up(closed(planned("one"), 9, 3))
    sequence = replace(sequence, asked=replace(sequence.asked, fixed=False))

    assert pooled(liking, sequence) == ()


def test_of_too_many_pairs_those_tasted_most_have_a_mark() -> None:
    often = added_up(closed(planned("one"), 9, 3), closed(planned("two"), 8, 4))
    once = added_up(closed(planned("three", b="spritz-3"), 9, 3))

    assert [one.session_id for one in pooled(once, often, most=1)] == ["two"]
