"""Panel checks: what should make no difference, looked at after closing."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.random import Generator

from tasting.errors import SealedError
from tasting.panel.entries import Answer
from tasting.panel.methods import Method, holds_difference
from tasting.panel.plan import NO_PREFERENCE
from tasting.panel.serving import ServingSet
from tasting.panel.session import Session
from tasting.stats import panel_check
from tasting.stats.many import false_alarms, holm
from tasting.stats.panel_check import AssessorCheck, Check

_ALPHA = 0.05


@dataclass(frozen=True, slots=True)
class PanelCheck:
    """One look at a session: what was asked, what was seen, and how rare that is by chance.

    holm_p_value allows for all looks at this session.
    """

    question: str
    seen: str
    check: Check
    holm_p_value: float


@dataclass(frozen=True, slots=True)
class _Tasting:
    """An answer that chose something, with its set and whether it was right."""

    served: ServingSet
    option: int
    right: bool


@dataclass(frozen=True, slots=True)
class AssessorScore:
    """How many answers of an assessor in a session were right, of `n` that chose something."""

    session_id: str
    assessor: str
    right: int
    n: int


def panel_checks(session: Session) -> tuple[PanelCheck, ...]:
    """Places, serving orders and halves of a closed session; those that its method has.

    Raises SealedError while it is not closed. The draws start from its seal, so that looking again
    gives the same numbers.
    """
    tastings = _tastings(session)
    if not tastings:
        return ()
    random = np.random.default_rng(int(session.sealed[:16], 16))
    method = session.plan.procedure
    found = [*_places(method, tastings, random), *_orders(method, tastings, random)]
    found += _halves(tastings, _said(session))
    adjusted = holm([look.check.p_value for look in found])
    return tuple(
        replace(look, holm_p_value=float(p)) for look, p in zip(found, adjusted, strict=True)
    )


def _tastings(session: Session) -> list[_Tasting]:
    if session.state != "closed":
        raise SealedError(f"the session {session.name!r} is {session.state}: close it first")
    plan, sets = session.plan, session.served
    answers = [(sets[one.assessor, one.replicate], one) for one in session.counted_answers]
    return [
        _Tasting(served, plan.choices(served.codes).index(one.choice), _right(session, served, one))
        for served, one in answers
        if one.choice != NO_PREFERENCE
    ]


def _right(session: Session, served: ServingSet, answer: Answer) -> bool:
    """Whether it counts; without a chance of guessing, whether it says what is in the set."""
    counted = session.plan.is_counted(served, answer.choice)
    if session.plan.procedure.psychometric is None:
        return counted == holds_difference(served.order)
    return counted


def _places(
    method: Method, tastings: Sequence[_Tasting], random: Generator
) -> Iterator[PanelCheck]:
    """By the place of what is named in the plan, the places that were chosen."""
    if method.psychometric is None:
        return
    places = range(len(method.options))
    table = np.zeros((len(places), len(places)), dtype=np.int64)
    for one in tastings:
        named = next(place for place in places if method.is_counted(one.served.order, place))
        table[named, one.option] += 1
    chosen = ", ".join(f"{place + 1}: {table[:, place].sum()}" for place in places)
    what = "place" if all(len(option) == 1 for option in method.options) else "answer"
    yield PanelCheck(
        f"Is one {what} on the ballot chosen too often?",
        f"chosen {what} {chosen}",
        panel_check.position_effect(table, random),
        1.0,
    )


def _orders(
    method: Method, tastings: Sequence[_Tasting], random: Generator
) -> Iterator[PanelCheck]:
    """Where there are two orders of two cups, the places have told it already."""
    if method.psychometric is None or len(method.orders) == 2:
        return
    served = Counter(one.served.order for one in tastings)
    right = Counter(one.served.order for one in tastings if one.right)
    orders = [order for order in method.orders if served[order]]
    if len(orders) < 2:
        return
    seen = ", ".join(f"{order} {right[order]} of {served[order]}" for order in orders)
    check = panel_check.order_effect(
        [right[order] for order in orders], [served[order] for order in orders], random
    )
    yield PanelCheck("Does the serving order matter?", f"correct after {seen}", check, 1.0)


def _said(session: Session) -> str:
    """What counted answers are called; where one of two is chosen, by its name."""
    plan = session.plan
    if not plan.procedure.two_choices:
        return "correct"
    return f"{(plan.a if plan.expected == 'A' else plan.b).name} chosen"


def _halves(tastings: Sequence[_Tasting], said: str) -> Iterator[PanelCheck]:
    """In the order in which the answers came."""
    middle = len(tastings) // 2
    if not middle:
        return
    (a, m), (b, n) = (
        (sum(one.right for one in half), len(half))
        for half in (tastings[:middle], tastings[middle:])
    )
    yield PanelCheck(
        "Is the second half like the first?",
        f"{said} in {a} of {m}, then in {b} of {n}",
        panel_check.halves((a, m), (b, n)),
        1.0,
    )


def assessor_checks(sessions: Sequence[Session]) -> tuple[AssessorCheck, ...]:
    """Each assessor against the others who tasted in the same sessions, over closed sessions.

    Only sessions in which an answer can be right: a preference or an open direction is a matter of
    taste. Raises SealedError for a session that is not closed.
    """
    return check_assessors([score for session in sessions for score in assessor_scores(session)])


def check_assessors(scores: Sequence[AssessorScore]) -> tuple[AssessorCheck, ...]:
    """The same from the scores of each assessor in each session."""
    entries = [
        (score.session_id, score.assessor, number < score.right)
        for score in scores
        for number in range(score.n)
    ]
    if not entries:
        return ()
    ids, people, right = zip(*entries, strict=True)
    return panel_check.assessors(ids, people, right)


def assessor_scores(session: Session) -> tuple[AssessorScore, ...]:
    """Right answers of each assessor of a closed session; none where no answer can be right.

    Raises SealedError while it is not closed.
    """
    if session.plan.sides != 1:
        return ()
    tastings = _tastings(session)
    chose = Counter(one.served.assessor for one in tastings)
    right = Counter(one.served.assessor for one in tastings if one.right)
    return tuple(AssessorScore(session.id, who, right[who], chose[who]) for who in chose)


def false_alarm(checks: int) -> float:
    """Probability that at least one of so many checks has p below 0.05 although all is well."""
    return false_alarms([_ALPHA] * checks).at_least_one
