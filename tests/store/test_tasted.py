"""Sums of closed sessions from columns, beside the sessions themselves."""

from collections.abc import Iterable

import pytest
from sqlalchemy import Engine, text

from tasting.insight.noticing.comparisons import (
    NOBODY_KNOWN,
    PooledPair,
    comparisons,
    in_sums,
    pooled,
)
from tasting.insight.noticing.drivers import drivers_named
from tasting.insight.noticing.model import fit_sums, fit_thresholds
from tasting.store import session_index
from tasting.store.database import writing
from tasting.store.documents import fill
from tasting.store.session_index import EVERY, Wanted
from tasting.store.tasted import tasted
from tests.insight.workshop import document
from tests.ui.workshop import answered, closed, keep, opened, planned, some_closed

BOTH = drivers_named(["ta", "sugar"])


def told(pairs: Iterable[PooledPair]) -> list[object]:
    """What the model sees of each comparison, whoever an assessor's number stands for."""
    return [
        (
            one.method.key,
            one.attribute,
            one.lead,
            one.with_reference,
            one.named,
            sorted((n, right, times) for n, right, _, times in one.answers.tolist()),
            sorted(one.scores.items()),
        )
        for one in pairs
    ]


@pytest.fixture
def workshop(engine: Engine) -> Engine:
    """The sample workshop's sessions, kept."""
    fill(engine, document())
    return engine


def test_the_sums_are_those_of_the_sessions(workshop: Engine) -> None:
    drink = document().drink
    from_columns = pooled(in_sums(tasted(workshop).pairs, drink, BOTH))
    straight = pooled(comparisons(session_index.read(workshop).sessions, drink, BOTH))

    assert sorted(map(str, told(from_columns))) == sorted(map(str, told(straight)))


def test_the_model_is_the_same_by_columns_and_by_sessions(workshop: Engine) -> None:
    by_sums = fit_sums(tasted(workshop).pairs, document().drink)
    by_sessions = fit_thresholds(document().sessions, document().drink)

    assert sorted(by_sums.session_ids) == sorted(by_sessions.session_ids)
    assert str(by_sums.refusals) == str(by_sessions.refusals)
    for one, other in zip(by_sums.noticed, by_sessions.noticed, strict=True):
        ends = [(at.weight.estimate.low, at.weight.estimate.high) for at in (one, other)]
        assert ends[0] == pytest.approx(ends[1], rel=1e-6)


def test_an_assessor_has_one_number_whatever_the_seat_and_no_name_leaves(engine: Engine) -> None:
    keep(engine, closed(planned("one"), 9, 3), closed(planned("two"), 6, 6))
    (pair,) = tasted(engine).pairs

    assert set(pair.answers[:, 2].tolist()) == set(range(12))
    assert int(pair.answers[:, 3].sum()) == 24
    assert NOBODY_KNOWN not in pair.answers[:, 2]
    assert pair.sessions == (("one", "Session one"), ("two", "Session two"))


def test_repeated_tastings_and_undecided_answers(engine: Engine) -> None:
    keep(engine, closed(planned("twice", replicates=2), 15, 9))
    (pair,) = tasted(engine).pairs
    tastings, counted, _, times = pair.answers.T

    assert set(tastings.tolist()) == {2}
    assert int(counted @ times) == 15
    ((score, often),) = pair.scores.items()
    assert (*score, often) == (2, 12, 15, 1)


def test_nothing_is_read_of_what_is_not_closed_or_not_wanted(engine: Engine) -> None:
    assert tasted(engine).pairs == ()
    keep(engine, *some_closed(), answered(opened(planned("now")), 3, 2))
    known = {id_ for pair in tasted(engine).pairs for id_, _ in pair.sessions}
    third = tasted(engine, Wanted(("spritz-3",))).pairs

    assert known == {one.id for one in session_index.read(engine).sessions if one.answers}
    assert third
    assert all("spritz-3" in (pair.a.id, pair.b.id) for pair in third)


def test_a_damaged_session_is_set_aside_by_name(engine: Engine) -> None:
    keep(engine, closed(planned("good"), 9, 3), closed(planned("bad", b="spritz-3"), 9, 3))
    with writing(engine) as connection:
        connection.execute(text("UPDATE result SET fault = 'broken' WHERE session_id = 'bad'"))
    found = tasted(engine, EVERY)

    assert found.set_aside == ("broken",)
    assert [pair.sessions for pair in found.pairs] == [(("good", "Session good"),)]
