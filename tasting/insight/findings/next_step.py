"""One thing to do next: from the verdict, the plan's power, what differs, what was tasted since."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from math import ceil
from typing import Protocol

from tasting.errors import InputError
from tasting.insight.findings.tally import Tally
from tasting.insight.findings.verdict import Verdict
from tasting.panel import sizing
from tasting.panel.design import TestDesign
from tasting.panel.plan import Plan
from tasting.panel.sizing_words import share_noticed
from tasting.stats import sequential
from tasting.stats.sequential import Decision
from tasting.wording import decimals, percent

_ASKED = {"acidity": "more sour", "sugar": "sweeter", "alcohol": "stronger"}
"""What to ask for when this level differs."""
_SMALLER = 2 / 3
"""How much smaller a share is planned for once a panel was large enough."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What was found.

    low: whether the score is so far below guessing that key and cups come first
    open_direction: whether something is noticed, but no common direction
    """

    verdict: Verdict
    low: bool
    open_direction: bool


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What a next step depends on beyond the answers.

    differing: which of acidity, sugar and alcohol differ, the most different first; None where the
        drinks are not known
    since: names of later sessions that compared the two samples
    """

    differing: tuple[str, ...] | None = None
    since: tuple[str, ...] = ()


class ComparedOnce(Protocol):
    """A session, or a summary of one."""

    @property
    def name(self) -> str:
        """Its name."""

    @property
    def plan(self) -> Plan:
        """Its plan."""

    @property
    def closed_at(self) -> datetime | None:
        """When it was closed, if it was."""


def tasted_since(session: ComparedOnce, others: Sequence[ComparedOnce]) -> tuple[str, ...]:
    """Names of the sessions that compared the same two samples and were closed later, in order."""
    closed = [
        (other.closed_at, other.name)
        for other in others
        if other.closed_at and _pair(other) == _pair(session)
    ]
    since = session.closed_at
    return tuple(name for at, name in sorted(closed) if since is not None and at > since)


def _pair(one: ComparedOnce) -> frozenset[tuple[str, str]]:
    return frozenset((sample.kind, sample.id) for sample in (one.plan.a, one.plan.b))


def next_step(tally: Tally, outcome: Outcome, around: Surroundings) -> str:
    """One thing to do next."""
    verdict = outcome.verdict
    if outcome.low:
        return "Next: check the serving key and the cups before you taste again."
    if around.since:
        return f'Next: read "{around.since[-1]}", which compared them later.'
    if verdict is Verdict.SIMILARITY:
        return (
            f"Next: write p_d = {percent(tally.design.p_d)} and β = {tally.design.beta:g} beside "
            "the result; it holds for these only."
        )
    if not verdict.difference:
        return f"Next: {_unshown(tally)}"
    if outcome.open_direction:
        return "Next: ask each assessor for the direction: a two-sided paired comparison."
    return f"Next: {_shown(tally, around)}"


def _shown(tally: Tally, around: Surroundings) -> str:
    if not tally.method.measures_distance:
        return _preferred(tally)
    if tally.attribute:
        return _towards(tally)
    if around.differing is None:
        return "ask for the direction with a paired comparison on what you changed."
    asked = [_ASKED[name] for name in around.differing if name in _ASKED]
    if not asked:
        return (
            "acidity, sugar and alcohol hardly differ, so describe what is noticed before you "
            "change anything."
        )
    return (
        f"ask for the direction with a paired comparison: which one is {asked[0]}? "
        f"{around.differing[0].capitalize()} differs most."
    )


def _preferred(tally: Tally) -> str:
    chosen, _ = tally.favoured
    if tally.reference and chosen == {"A": tally.a, "B": tally.b}[tally.reference]:
        return f"find out what people like about {chosen}: compare one attribute at a time."
    return f"build the next version on {chosen}."


def _towards(tally: Tally) -> str:
    if tally.reference:
        name = {"A": tally.a, "B": tally.b}[tally.reference]
        return f"move the formula towards {name} by less than this step; taste again."
    return "ask which of the two people prefer, or set a target before you change it again."


def _unshown(tally: Tally) -> str:
    design = tally.design
    if not design.has_chance:
        return _more_sets(tally)
    if design.sequential:
        return _more_answers(tally)
    if tally.clustered and tally.method.two_choices:
        return "plan more assessors: more answers from the same ones add little."
    try:
        if design.aim == "similarity":
            return _for_similarity(design, tally.n)
        return _for_difference(tally, _needed(design))
    except InputError:
        return "plan for a larger difference: this one takes too many tastings."


def _more_sets(tally: Tally) -> str:
    reach = _reach(tally.design, tally.n)
    if reach is None:
        return f"plan more than {tally.n} sets: this few detect no difference at all."
    least = decimals(reach, 1)
    return f"if less than d′ = {least} matters, plan more than {tally.n} sets."


def _more_answers(tally: Tally) -> str:
    test = tally.wald_test
    run = sequential.run(test, [given.counted for given in tally.choosing])
    if run.decision is not Decision.GO_ON:
        return "to show similarity, plan for it, with its own β; otherwise plan for a smaller p_d."
    needed = max(test.expected_tastings())
    return f"plan it again with more room: it takes up to {needed:.0f} tastings on average."


def _for_similarity(design: TestDesign, n: int) -> str:
    needed = sizing.similarity_size(design).n
    if n < needed:
        return (
            f"plan a larger session: {needed} tastings, {needed - n} more, would show similarity "
            f"at p_d = {percent(design.p_d)} if nobody notices."
        )
    return f"state a larger p_d than {percent(design.p_d)}, or look for what is noticed."


def _for_difference(tally: Tally, needed: int) -> str:
    design, n = tally.design, tally.n
    if n >= needed:
        less = round(_SMALLER * design.p_d, 2)
        more = _needed(replace(design, d_prime=None, p_d=less))
        return f"if {share_noticed(design, less)} matters, plan {more} tastings."
    given = len(tally.given)
    if given < tally.planned and tally.planned >= needed:
        return f"run it again with all {tally.planned} tastings that were planned."
    every = ceil(needed * given / n)  # as many stay undecided
    return (
        f"plan a larger session: {every} tastings, {every - given} more, detect "
        f"{share_noticed(design, design.p_d)} at {percent(design.power)} power."
    )


@lru_cache(maxsize=256)
def _reach(design: TestDesign, n: int) -> float | None:
    return sizing.reach(design, n).d_prime


# Many findings are made of the same plan.
@lru_cache(maxsize=256)
def _needed(design: TestDesign) -> int:
    return sizing.difference_size(design).n
