"""One thing to do next: from the verdict, the plan's power, what differs, what was tasted since;
and the tasting that it asks for, so that a page can offer it filled in."""

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
from tasting.wording import decimals, percent, times

_ASKED = {"acidity": "more sour", "sugar": "sweeter", "alcohol": "stronger"}
"""What to ask for when this level differs."""
_PAIRED, _PREFERENCE = "paired", "preference"
_SMALL_LEAD = 0.1
"""A lead that may be below this share of answers is no ground to build on without a word."""
_SMALLER = 2 / 3
"""How much smaller a share is planned for once a panel was large enough."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What was found.

    low: whether the score is so far below guessing that key and cups come first
    open_direction: whether something is noticed, but no common direction
    least_lead: of a preference the lower end of the lead's 95 % interval
    """

    verdict: Verdict
    low: bool
    open_direction: bool
    least_lead: float = 1.0


@dataclass(frozen=True, slots=True)
class NextStep:
    """says: one thing to do next, as a sentence

    method, attribute: how the same two are to be compared for it; empty where no test of them is
        asked for
    tastings: how many it takes; 0 where that is not said
    """

    says: str
    method: str = ""
    attribute: str = ""
    tastings: int = 0


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What a next step depends on beyond the answers.

    differing: which of acidity, sugar and alcohol differ by more than a noticeable step
    since: names of later sessions that compared the two samples
    others: what other sessions that asked the same of these two say, in a sentence
    """

    differing: tuple[str, ...] = ()
    since: tuple[str, ...] = ()
    others: str = ""


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


def next_step(tally: Tally, outcome: Outcome, around: Surroundings) -> NextStep:
    """One thing to do next."""
    verdict = outcome.verdict
    if outcome.low:
        return NextStep("Next: check the serving key and the cups before you taste again.")
    if around.since:
        return NextStep(f'Next: read "{around.since[-1]}", which compared them later.')
    if verdict is Verdict.SIMILARITY:
        return NextStep(
            f"Next: write p_d = {percent(tally.design.p_d)} and β = {tally.design.beta:g} beside "
            "the result; it holds for these only."
        )
    if not verdict.difference:
        unshown = _unshown(tally)
        return replace(unshown, says=f"Next: {unshown.says}")
    if outcome.open_direction:
        says = "Next: ask each assessor for the direction: a two-sided paired comparison."
        return NextStep(says, _PAIRED, tally.attribute)
    shown = _shown(tally, outcome, around)
    return replace(shown, says=f"Next: {shown.says}")


def _shown(tally: Tally, outcome: Outcome, around: Surroundings) -> NextStep:
    if not tally.method.measures_distance:
        return _preferred(tally, outcome.least_lead)
    if tally.attribute:
        return _towards(tally)
    if len(around.differing) != 1:
        says = "ask assessors what they noticed, then compare the two by that, in pairs."
        return NextStep(says, _PAIRED)
    (level,) = around.differing
    says = (
        f"ask for the direction with a paired comparison: which one is {_ASKED[level]}? "
        f"{level.capitalize()} differs by more than is usually noticed."
    )
    return NextStep(says, _PAIRED, _ASKED[level])


def _preferred(tally: Tally, least: float) -> NextStep:
    chosen, _ = tally.favoured
    if tally.reference and chosen == {"A": tally.a, "B": tally.b}[tally.reference]:
        says = f"find out what people like about {chosen}: compare one attribute at a time."
        return NextStep(says, _PAIRED)
    if least < _SMALL_LEAD:
        people = f"these {tally.assessors}" if tally.assessors > 1 else "this assessor"
        return NextStep(f"{chosen} is the better base for {people}; the lead may be small.")
    return NextStep(f"build the next version on {chosen}.")


def _towards(tally: Tally) -> NextStep:
    if tally.reference:
        name = {"A": tally.a, "B": tally.b}[tally.reference]
        return NextStep(f"move the formula towards {name} by less than this step; taste again.")
    says = "ask which of the two people prefer, or set a target before you change it again."
    return NextStep(says, _PREFERENCE)


def _again(tally: Tally, says: str, tastings: int = 0) -> NextStep:
    """The same test once more."""
    return NextStep(says, tally.method.key, tally.attribute, tastings)


def _unshown(tally: Tally) -> NextStep:
    design = tally.design
    if not design.has_chance:
        return _again(tally, _more_sets(tally))
    if design.sequential:
        return _again(tally, _more_answers(tally))
    if tally.clustered and tally.method.two_choices:
        says = "plan more assessors: this test counts assessors."
        return _again(tally, says)
    try:
        if design.aim == "similarity":
            return _for_similarity(tally)
        return _for_difference(tally, _needed(design))
    except InputError:
        says = "plan for a larger difference: this one takes too many tastings."
        return _again(tally, says)


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


def _for_similarity(tally: Tally) -> NextStep:
    design, n = tally.design, tally.n
    needed = sizing.similarity_size(design).n
    if n < needed:
        says = (
            f"plan a larger session: {needed} tastings, {needed - n} more, would show similarity "
            f"at p_d = {percent(design.p_d)} if nobody notices."
        )
        return _again(tally, says, needed)
    says = f"state a larger p_d than {percent(design.p_d)}, or look for what is noticed."
    return _again(tally, says)


def _for_difference(tally: Tally, needed: int) -> NextStep:
    design, n = tally.design, tally.n
    if n >= needed:
        less = round(_SMALLER * design.p_d, 2)
        more = _needed(replace(design, d_prime=None, p_d=less))
        says = f"to find {_thing(design, less)} {times(design.power)}, plan {more} tastings."
        return _again(tally, says, more)
    given = len(tally.given)
    if given < tally.planned and tally.planned >= needed:
        says = f"run it again with all {tally.planned} tastings that were planned."
        return _again(tally, says, tally.planned)
    every = ceil(needed * given / n)  # as many stay undecided
    says = (
        f"plan a larger session: {every} tastings, {every - given} more, detect "
        f"{share_noticed(design, design.p_d)} at {percent(design.power)} power."
    )
    return _again(tally, says, every)


def _thing(design: TestDesign, p_d: float) -> str:
    if design.method.measures_distance:
        return f"a difference that {percent(p_d)} notice"
    return f"a lead of {percent(p_d)}"


@lru_cache(maxsize=256)
def _reach(design: TestDesign, n: int) -> float | None:
    return sizing.reach(design, n).d_prime


# Many findings are made of the same plan.
@lru_cache(maxsize=256)
def _needed(design: TestDesign) -> int:
    return sizing.difference_size(design).n
