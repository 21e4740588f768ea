"""The three answers: each state, and that none claims more than what it rests on."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as some
from scipy import stats

from tasting.insight.advice.answers import (
    last_change,
    there_yet,
    three_answers,
    what_next,
    worth_asking,
)
from tasting.insight.advice.next_session import GAP, next_sessions
from tasting.insight.advice.pair_words import findings_so_far
from tasting.insight.advice.question import (
    Going,
    GoToDrinks,
    GoToSession,
    PlanComparison,
    Question,
    version_name,
)
from tasting.insight.findings.closed_session import ClosedSession
from tasting.insight.findings.finding import conclude, findings
from tasting.insight.noticing.drivers import DEFAULT_DRIVERS, DRIVERS
from tasting.insight.noticing.model import fit_thresholds
from tasting.panel.methods import METHODS
from tasting.panel.plan import Sample
from tests.insight.tallies import tally_of
from tests.insight.workshop import bottle, document, noticed

FORMULA, BOTTLE = document().formulas[0], bottle()
LATEST, PARENT = FORMULA.versions[-1], FORMULA.version("spritz-10")
DAY = datetime(2026, 8, 1, tzinfo=UTC)
SIMILAR = {"similarity_aim": True, "beta": 0.05}


@cache
def nothing_tasted():
    return fit_thresholds((), document().drink)


def sample(drink):
    kind = "reference" if drink is BOTTLE else "version"
    return Sample(kind=kind, id=drink.id, name=drink.id)


def session(count, n, method="triangle", a=BOTTLE, b=LATEST, day=0, **more):
    tally = tally_of(METHODS[method], count, n, **more)
    named = replace(tally, a=a.id, b=b.id)
    closed = ClosedSession(
        id=f"s{day}",
        name="made up",
        invented="",
        closed_at=DAY + timedelta(days=day),
        a=sample(a),
        b=sample(b),
        answers=n,
        tally=named,
    )
    return closed, conclude(named)


def asked(*known, **more):
    kept = [one for one, _ in known]

    def those_of(*ids):
        return [one for one in kept if set(ids) <= {one.a.id, one.b.id}]

    given = {"formula": FORMULA, "reference": BOTTLE, "thresholds": noticed()} | more
    return Question(
        compared=those_of, newest=lambda drink: next(reversed(those_of(drink)), None), **given
    )


def change(count, n, method="triangle", **more):
    return last_change(asked(session(count, n, method, a=PARENT, **more)))


def test_a_difference_from_the_reference_is_not_there_yet():
    """13 of 24 are needed: ISO 4120:2004, table A.1 (from memory)."""
    answer = there_yet(asked(session(15, 24)))

    assert answer.sentence == "Not yet: a difference was shown."
    assert answer.evidence.startswith("15 of 24 correct in a triangle test; 13 needed. About 44 %")
    assert answer.action == GoToSession("Read the finding", "s0")


def test_not_shown_is_not_settled_and_never_alike():
    answer = there_yet(asked(session(10, 24)))

    assert answer.sentence == "Not settled."
    assert answer.evidence.endswith("Not shown does not mean alike.")
    assert not answer.settled
    assert answer.action.label == "Plan another session"


def test_similarity_names_its_share_and_its_beta():
    answer = there_yet(asked(session(20, 60, **SIMILAR)))

    assert answer.sentence == "Close: fewer than 30 % notice."
    assert "Similarity holds for this share only, at β = 0.05." in answer.evidence


def test_a_small_difference_is_nearly_there():
    answer = there_yet(asked(session(96, 240, **SIMILAR)))

    assert answer.sentence == "Nearly: it differs, but fewer than 30 % notice."


def test_far_below_guessing_cups_come_first():
    answer = there_yet(asked(session(2, 24)))

    assert answer.sentence == "Not settled: check the cups."
    assert "check the serving key and the cups" in answer.evidence
    assert "would notice" not in answer.evidence


def test_never_tasted_is_forecast_where_the_model_can():
    answer = there_yet(asked())

    assert answer.claim is None
    assert answer.sentence == "Not tested yet."
    assert answer.evidence.startswith(
        "Forecast for v12 against Reference bottle R: about 15 % would notice (0–60 %)."
    )
    assert "not a result" in answer.explained
    assert answer.action.label == "Test v12 against Reference bottle R (16 tastings)"
    assert (answer.action.a, answer.action.b, answer.action.method) == (BOTTLE, LATEST, "triangle")


def test_never_tasted_says_so_where_nothing_can_be_forecast():
    before = session(15, 24, b=PARENT)
    answer = there_yet(asked(before, thresholds=nothing_tasted()))

    assert answer.sentence == "Not tested yet."
    assert answer.evidence.endswith(
        "The last one tasted against it, v10: a difference was shown (15 of 24)."
    )


def test_without_a_reference_there_is_nowhere_to_be():
    answer = there_yet(asked(reference=None))

    assert answer.sentence == "No reference yet."
    assert answer.action == GoToDrinks("Add a reference")


@pytest.mark.parametrize(
    ("answer", "sentence"),
    [
        (change(15, 24), "Yes: a difference was shown."),
        (change(10, 24), "Not shown."),
        (change(20, 60, **SIMILAR), "Hardly: fewer than 30 % notice."),
        (change(96, 240, **SIMILAR), "Yes, but fewer than 30 % notice."),
        (change(2, 24), "Not settled: check the cups."),
        (change(20, 24, "paired", expected="B"), "Yes: v12 was found more sour than v10."),
        (change(4, 24, "preference"), "Yes: v10 was preferred to v12."),
        (change(12, 24, "preference"), "Not shown."),
    ],
)
def test_the_last_change(answer, sentence):
    assert answer.sentence == sentence


def test_sessions_of_one_pair_are_pooled_and_said_to_disagree():
    answer = there_yet(asked(session(4, 36), session(22, 36, day=1)))

    assert "26 of 72 correct in 2 triangle tests" in answer.evidence
    assert "The sessions disagree." in answer.evidence


def test_a_change_that_was_not_tasted_comes_with_the_last_one_that_was():
    first, second = FORMULA.versions[:2]
    answer = last_change(asked(session(15, 24, a=first, b=second)))

    assert answer.sentence == "Not tested yet."
    assert answer.evidence.startswith("v10 → v12: Nearly half of the citric acid")
    assert answer.evidence.endswith(
        "Last tasted change on the way to v12: v1 → v2, a difference was shown (15 of 24)."
    )
    # By another way: scipy's binomial tail with 9 correct needed, half of assessors noticing.
    assert answer.action.label == "Test v10 against v12 (16 tastings)"
    assert stats.binom.sf(8, 16, 1 / 3) <= 0.0501
    assert stats.binom.sf(8, 16, 1 / 3 + 2 / 3 * 0.5) >= 0.8


def test_a_first_version_has_no_change():
    alone = FORMULA.model_copy(update={"versions": FORMULA.versions[:1]})

    assert last_change(asked(formula=alone)).sentence == "No change yet."


def going(id_, *drinks, open=True, answered=11, waiting=0):
    return Going(id_, f"Evening {id_}", open, answered, 20, waiting, frozenset(drinks))


def test_an_open_session_comes_next_and_says_how_many_are_in_only():
    answer = what_next(asked(going=[going("s", LATEST.id, BOTTLE.id, waiting=4)]))

    assert answer.sentence == "A session is open: 11 of 20 in."
    assert answer.evidence == "“Evening s”. 4 assessors have not begun."
    assert answer.action == GoToSession("Go to the session", "s")


def test_what_is_being_tasted_is_not_offered_again():
    """One session answers two cards: the first says how many are in, the other goes there."""
    now = going("s", LATEST.id, BOTTLE.id)
    after, there, _ = three_answers(asked(going=[now]))

    assert (after.question, after.action) == ("Next", GoToSession("Go to the session", "s"))
    assert there.sentence == "Being tasted now: 11 of 20."
    assert there.evidence == "The result shows when you close the session."
    assert there.action is None


def test_what_was_found_stays_while_it_is_tasted_again():
    again = going("s", LATEST.id, PARENT.id)
    answer = last_change(asked(session(15, 24, a=PARENT), going=[again]))

    assert answer.sentence == "Being tasted now: 11 of 20."
    assert "So far: Yes: a difference was shown. 15 of 24 correct" in answer.evidence
    assert answer.action is None


def test_a_planned_session_of_the_same_two_is_gone_to_and_not_planned_again():
    other = going("other", FORMULA.versions[0].id)
    planned = going("p", LATEST.id, BOTTLE.id, open=False)
    there = there_yet(asked(going=[other, planned]))

    assert there.sentence == "Not tested yet."
    assert there.evidence.startswith("A session is planned: 20 tastings.")
    assert there.action == GoToSession("Go to the session", "p")


def test_without_a_model_what_was_not_compared_comes_next():
    """Where acid is known of no drink no comparison can be weighed; there still is a next one."""
    first = what_next(asked())
    assert (first.action.a, first.action.b) == (BOTTLE, LATEST)
    assert "not known" in first.evidence

    then = what_next(asked(session(15, 24)))
    assert (then.action.a, then.action.b) == (PARENT, LATEST)
    both = asked(session(15, 24), session(9, 24, a=PARENT))
    assert what_next(both).action == GoToDrinks("Go to the drinks")


def test_one_version_alone_has_nothing_to_be_compared_with():
    alone = FORMULA.model_copy(update={"versions": (FORMULA.versions[0],)})

    assert what_next(asked(formula=alone, reference=None)).sentence == "Nothing to compare yet."


def test_a_planned_preference_is_no_test_of_whether_it_is_noticed():
    liked = replace(going("p", LATEST.id, PARENT.id, open=False), distance=False)
    answer = last_change(asked(going=[liked]))

    assert answer.evidence.startswith("v10 → v12: ")
    assert answer.action.label == "Test v10 against v12 (16 tastings)"


def test_this_formulas_open_session_is_preferred_and_a_planned_one_only_for_the_latest():
    here, there = going("here", LATEST.id), going("there", "other")
    old = going("old", FORMULA.versions[0].id, open=False)
    planned = going("planned", LATEST.id, open=False)

    assert what_next(asked(going=[there, here])).action.session_id == "here"
    assert what_next(asked(going=[there])).action.session_id == "there"
    assert what_next(asked(going=[old])).sentence == f"Compare v12 with {BOTTLE.name}."
    assert what_next(asked(going=[planned])).sentence == "A session is planned: 20 tastings."


def test_otherwise_the_most_informative_session_with_what_it_needs():
    shelf = (BOTTLE, *FORMULA.versions)
    best = next_sessions(noticed(), "sugar", shelf, base=LATEST)[0]
    answer = what_next(asked(best=best))
    wish = answer.action

    assert answer.sentence.startswith("Compare v12 with the same with 3.1 g white sugar")
    assert (
        "With 24 tastings, the noticeable step of sugar would be known to about ±"
        in answer.evidence
    )
    assert isinstance(wish, PlanComparison)
    assert (wish.label, wish.made) == ("Make it and plan 24 tastings", best.made)
    assert wish.purpose == "To find the noticeable step of sugar."


def test_what_is_worth_asking_follows_the_goal():
    drivers = [DRIVERS[key] for key in DEFAULT_DRIVERS]

    assert worth_asking(drivers, BOTTLE)[0] == GAP
    assert GAP not in worth_asking(drivers, None)
    assert "ideal ta" in worth_asking(drivers, None)


def test_the_last_finding_of_a_version_is_of_its_newest_pair():
    question = asked(session(15, 24, a=PARENT), session(10, 24, day=1))

    assert findings_so_far(question, LATEST) == (
        "not shown to differ from Reference bottle R; 10 of 24 (13 needed)"
    )
    assert findings_so_far(question, PARENT) == "differs from v12; 15 of 24 (13 needed)"
    assert findings_so_far(question, FORMULA.versions[0]) == "not tasted"


def test_sessions_that_disagree_are_told_one_by_one_and_left_open():
    """10 of 36, 4 of 8, 15 of 24: likelihood ratio of the table by scipy, p < 0.05."""
    counts = [(10, 36), (4, 8), (15, 24)]
    question = asked(*[session(*each, day=day) for day, each in enumerate(counts)])

    assert findings_so_far(question, LATEST) == (
        "open against Reference bottle R; three sessions disagree: 10 of 36, 4 of 8, 15 of 24"
    )


def test_many_sessions_are_counted_and_not_named():
    question = asked(*[session(8, 24, day=day) for day in range(5)])

    assert findings_so_far(question, LATEST).startswith(
        "not shown to differ from Reference bottle R; five sessions together 40 of 120 ("
    )


def test_sessions_that_agree_are_told_together():
    question = asked(session(12, 24), session(13, 24, day=1))

    assert findings_so_far(question, LATEST) == (
        "differs from Reference bottle R; two sessions together 25 of 48 (24 needed): 12 of 24, "
        "13 of 24"
    )


@pytest.mark.parametrize(
    ("label", "name"),
    [("v10 towards bottle R", "v10"), ("3b", "3b"), ("less syrup", "less syrup"), ("v", "v")],
)
def test_a_version_is_called_by_its_number_if_it_has_one(label, name):
    assert version_name(label) == name


COUNTED = [key for key, method in METHODS.items() if method.psychometric]


@given(some.data(), some.sampled_from(COUNTED), some.integers(4, 60), some.booleans())
def test_no_answer_claims_more_than_the_finding_it_rests_on(data, key, n, similarity):
    """A difference only where the finding shows one, similarity only where it shows that, and
    never that two are the same."""
    method = METHODS[key]
    aim = SIMILAR if similarity and method.measures_distance else {}
    expected = {"expected": "B"} if method.names_attribute else {}
    count = data.draw(some.integers(0, n))
    pairs = [session(count, n, key, a=a, **aim, **expected) for a in (BOTTLE, PARENT)]
    verdict = pairs[0][1].evidence.verdict

    for answer in three_answers(asked(*pairs))[:2]:
        said = f"{answer.sentence} {answer.evidence}"
        positive = ("Yes", "Nearly", "Not yet")
        assert not answer.sentence.startswith(positive) or verdict.difference
        assert "fewer than" not in answer.sentence or verdict.similarity
        assert not answer.settled or verdict.difference or verdict.similarity
        assert not any(word in said for word in ("same", "identical", "no difference"))


def test_the_sample_workshop_has_all_three():
    answers = three_answers(asked(*findings(document().sessions)))

    assert [answer.question for answer in answers] == [
        "There yet?",
        "Was the last change noticed?",
        "Next",
    ]
    assert not any(answer.settled for answer in answers)
