"""Three answers about a formula: is it there yet, was the last change noticed, what comes next.

Each rests on closed sessions, or on what the noticing model expects of drinks that nobody compared;
of an open session nothing is known here but how many answers are in.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from tasting.drink.formula import Version
from tasting.drink.label import Reference
from tasting.errors import InputError
from tasting.insight.advice.forecast import forecast
from tasting.insight.advice.next_session import GAP, NextSession, questions
from tasting.insight.advice.pair_words import (
    SHARE_MEANS,
    answered,
    in_short,
    whether_noticed,
    whether_there,
    would_notice,
)
from tasting.insight.advice.question import (
    Action,
    Going,
    GoToDrinks,
    GoToSession,
    PlanComparison,
    Question,
    Reply,
)
from tasting.insight.findings.pair import Claim, PairFinding
from tasting.insight.noticing.drivers import Drink, Driver
from tasting.insight.noticing.marks import noticed_by_triangle
from tasting.panel.design import USUAL_P_D, TestDesign
from tasting.panel.methods import METHODS, TRIANGLE
from tasting.panel.sizing import difference_size

_REASON_SIGNS: Final = 90
THERE, NOTICED, NEXT = "There yet?", "Was the last change noticed?", "Next"


def three_answers(asked: Question) -> tuple[Reply, Reply, Reply]:
    """Is it there yet, was the last change noticed, what comes next; that first where it is a
    session to go on with."""
    there, noticed, after = there_yet(asked), last_change(asked), what_next(asked)
    if isinstance(after.action, GoToSession):
        return after, there, noticed
    return there, noticed, after


def there_yet(asked: Question) -> Reply:
    """The latest version against its reference."""
    bottle, latest = asked.reference, asked.latest
    if bottle is None:
        where = "Without one, no session can say how close the formula is."
        return Reply(THERE, None, "No reference yet.", where, GoToDrinks("Add a reference"))
    found = asked.found(latest, bottle)
    if found is None:
        reply = _untasted_against(asked, bottle)
    else:
        further = _further(found, bottle, latest)
        reply = answered(THERE, asked, found, whether_there(asked, found), further)
    return _under_way(asked, reply, bottle, latest)


def _under_way(asked: Question, reply: Reply, a: Drink, b: Drink) -> Reply:
    """The same where a session of these two is planned or open: another one is not offered, and
    what is found so far stays, with what explains it."""
    same = [one for one in asked.going if one.distance and one.drinks == {a.id, b.id}]
    going = next((one for one in same if one.open), next(iter(same), None))
    if going is None:
        return reply
    elsewhere = _going(asked) is not going
    action = GoToSession("Go to the session", going.id) if elsewhere else None
    if not going.open:
        planned = f"A session is planned: {going.planned} tastings."
        return replace(reply, evidence=f"{planned} {reply.evidence}", action=action)
    so_far = f"Being tasted now: {going.answered} of {going.planned}."
    told = "The result shows when you close the session."
    if reply.claim is not None:
        before = f"So far: {reply.sentence} {reply.evidence}"
        evidence = f"{told} {before}"
        return replace(reply, sentence=so_far, evidence=evidence, action=action, going=True)
    return Reply(reply.question, None, so_far, told, action, going=True)


def _untasted_against(asked: Question, bottle: Reference) -> Reply:
    """What the noticing model expects, or that nothing is known."""
    name, against = asked.names[asked.latest.id], bottle.name
    action = _plan(f"Test {name} against {against} ({_tastings()} tastings)", bottle, asked.latest)
    try:
        expected = forecast(asked.thresholds, asked.latest, bottle)
    except InputError:
        before = _earlier_against(asked, bottle)
        untasted = f"{name} has not been tasted against {against}."
        return Reply(THERE, None, _UNTESTED, f"{untasted}{before}", action)
    share = would_notice(noticed_by_triangle(expected.d_prime))
    said = f"Forecast for {name} against {against}: {share}."
    cautions = " ".join(expected.cautions)
    explained = f"A forecast from earlier sessions, not a result. {SHARE_MEANS} {cautions}".strip()
    return Reply(THERE, None, _UNTESTED, said, action, explained)


_UNTESTED: Final = "Not tested yet."


def _earlier_against(asked: Question, bottle: Reference) -> str:
    """The newest other version that was tasted against the reference, and what was found."""
    for version in reversed(asked.formula.versions[:-1]):
        found = asked.found(version, bottle)
        if found:
            return (
                f" The last one tasted against it, {asked.names[version.id]}: "
                f"{in_short(asked, found)}."
            )
    return ""


def last_change(asked: Question) -> Reply:
    """The latest version and the one that it was made from."""
    latest, parent = asked.latest, asked.parent(asked.latest)
    if parent is None:
        first = f"{asked.names[latest.id]} is the first version."
        return Reply(NOTICED, None, "No change yet.", first, GoToDrinks("Make a new version"))
    found = asked.found(parent, latest)
    if found is None:
        said = f"{_step(asked, parent, latest)}{_before(asked, parent)}"
        first, second = asked.names[parent.id], asked.names[latest.id]
        plan = _plan(f"Test {first} against {second} ({_tastings()} tastings)", parent, latest)
        reply = Reply(NOTICED, None, _UNTESTED, said, plan)
    else:
        further = _further(found, parent, latest)
        reply = answered(NOTICED, asked, found, whether_noticed(asked, found), further)
    return _under_way(asked, reply, parent, latest)


def _further(pair: PairFinding, a: Drink, b: Drink) -> Action:
    """Taste again where nothing is shown; else read what is."""
    if pair.claim is Claim.OPEN:
        return _plan("Plan another session", a, b)
    return GoToSession("Read the finding", pair.session.id)


def _step(asked: Question, parent: Version, child: Version) -> str:
    """Such as v10 → v12: less syrup."""
    return f"{asked.names[parent.id]} → {asked.names[child.id]}: {shortened(child.reason)}."


def shortened(reason: str) -> str:
    """A reason in a line, without its full stop.

    >>> shortened("Less syrup.")
    'Less syrup'
    """
    told = reason.strip().rstrip(".")
    return told if len(told) <= _REASON_SIGNS else f"{told[:_REASON_SIGNS].rsplit(' ', 1)[0]} …"


def _before(asked: Question, version: Version) -> str:
    """What was found of the newest earlier change that was tasted, of those that led here."""
    parent = asked.parent(version)
    if parent is None:
        return ""
    found = asked.found(parent, version)
    if found is None:
        return _before(asked, parent)
    pair = f"{asked.names[parent.id]} → {asked.names[version.id]}"
    here = asked.names[asked.latest.id]
    return f" Last tasted change on the way to {here}: {pair}, {in_short(asked, found)}."


def what_next(asked: Question) -> Reply:
    """The session that is open, or one that is planned for the latest version, or the most
    informative one."""
    going = _going(asked)
    if going:
        return _go_on(going)
    best = asked.best
    if best is None:
        return _unweighed(asked)
    first, second = asked.names[best.a.id], asked.names[best.b.id]
    made, kept = "Make it and plan", f"Test {first} against {second}"
    count = f"{best.n} tastings"
    label = f"{made} {count}" if best.made else f"{kept} ({count})"
    purpose = f"To find {questions(asked.thresholds.drivers)[best.about]}."
    plan = PlanComparison(label, best.method, best.a, best.b, best.n, best.made, purpose)
    sentence = f"Compare {asked.names[best.a.id]} with {_second(asked, best)}."
    evidence = f"{METHODS[best.method].name}. {' '.join(best.reasons[:2])}"
    explained = "Of all comparisons, this one should narrow the uncertainty most. "
    return Reply(NEXT, None, sentence, evidence, plan, explained + " ".join(best.reasons[2:]))


def _unweighed(asked: Question) -> Reply:
    """What comes next where no comparison can be weighed against another."""
    latest, parent = asked.latest, asked.parent(asked.latest)
    others: list[Drink] = [one for one in (asked.reference, parent) if one is not None]
    if not others:
        needed = "Add a second version or a reference to compare with."
        return Reply(
            NEXT, None, "Nothing to compare yet.", needed, GoToDrinks("Make a new version")
        )
    why = "Acid or sugar is not known of these drinks, so no comparison can be said to tell most."
    for other in others:
        if asked.found(other, latest) is None:
            first, second = asked.names[latest.id], asked.names[other.id]
            action = _plan(f"Compare {first} with {second}", other, latest)
            return Reply(NEXT, None, f"Compare {first} with {second}.", why, action)
    more = f"{why} Complete the figures of your ingredients."
    return Reply(NEXT, None, "Complete the figures.", more, GoToDrinks("Go to the drinks"))


def _second(asked: Question, best: NextSession) -> str:
    """What is compared, where it is new as a change of what is there."""
    name = asked.names[best.b.id]
    if not best.made or isinstance(best.b, Reference):
        return name
    return best.made.replace(best.b.label, "the same" if best.a.id == best.b.id else name, 1)


def _going(asked: Question) -> Going | None:
    """An open session of this formula, else any open one, else one planned for the latest."""
    own = {version.id for version in asked.formula.versions}
    opened = [one for one in asked.going if one.open]
    planned = [one for one in asked.going if not one.open and asked.latest.id in one.drinks]
    here = [one for one in opened if one.drinks & own]
    return next(iter([*here, *opened, *planned]), None)


def _go_on(going: Going) -> Reply:
    action = GoToSession("Go to the session", going.id)
    if not going.open:
        said = f"A session is planned: {going.planned} tastings."
        return Reply(NEXT, None, said, f"“{going.name}” is not open yet.", action)
    said = f"A session is open: {going.answered} of {going.planned} in."
    begun = f" {going.waiting} assessors have not begun." if going.waiting > 1 else ""
    begun = " One assessor has not begun." if going.waiting == 1 else begun
    return Reply(NEXT, None, said, f"“{going.name}”.{begun}", action, going=True)


def worth_asking(drivers: Sequence[Driver], reference: Reference | None) -> list[str]:
    """Keys of the questions on the way to the reference, or without one to what is liked best."""
    aims = [GAP] if reference else [f"ideal {driver.key}" for driver in drivers]
    return [*aims, *(driver.key for driver in drivers)]


def _plan(label: str, a: Drink, b: Drink) -> PlanComparison:
    return PlanComparison(label, TRIANGLE.key, a, b, _tastings())


def _tastings() -> int:
    """A usual triangle test: power 80 % where half of assessors notice, α = 0.05."""
    return difference_size(TestDesign(TRIANGLE, p_d=USUAL_P_D["difference"])).n
