"""What all sessions of a version and another drink come to together, in a line."""

from typing import Final

from tasting.drink.formula import Version
from tasting.insight.advice.question import Question
from tasting.insight.findings.asked_again import MOST_NAMED, count_of, counting
from tasting.insight.findings.pair import Claim, PairFinding, of_pair
from tasting.wording import percent

A_DIFFERENCE: Final = "a difference was shown"


def findings_so_far(asked: Question, version: Version) -> str:
    """What all sessions of the pair that a version was compared in last come to together."""
    newest = asked.newest(version.id)
    if newest is None:
        return "not tasted"
    other = next(one.id for one in (newest.a, newest.b) if one.id != version.id)
    found = of_pair(asked.compared(version.id, other))
    return _said_of(asked, found, asked.names[other]) if found else "not tasted"


def _said_of(asked: Question, pair: PairFinding, other: str) -> str:
    said = difference(asked, pair)
    differs = f"differs from {other}" if said == A_DIFFERENCE else said
    few = f"fewer than {percent(pair.tally.design.p_d)} notice"
    text = {
        Claim.DIFFERS: differs,
        Claim.SMALL: f"{differs}, but {few}",
        Claim.SIMILAR: f"similar to {other}: {few}",
        Claim.OPEN: _unshown(pair, other),
        Claim.CHECK: f"far below guessing against {other}: check the cups",
    }[pair.claim]
    return f"{text}; {_all_counts(pair)}"


def _all_counts(pair: PairFinding) -> str:
    """The counts of every session that is counted together, and whether they disagree."""
    counts = f"{pair.count} of {pair.n}"
    needed = f" ({pair.needed} needed)" if pair.needed else ""
    if len(pair.sessions) == 1:
        return f"{counts}{needed}"
    many, named = counting(len(pair.sessions)), len(pair.sessions) <= MOST_NAMED
    each = f": {', '.join(map(count_of, pair.sessions))}" if named else ""
    if pair.disagree:
        return f"{many} sessions disagree{each or f', together {counts}'}"
    return f"{many} sessions together {counts}{needed}{each}"


def _unshown(pair: PairFinding, other: str) -> str:
    """What was not shown: a difference, a direction or a preference."""
    tally = pair.tally
    if pair.disagree:
        return f"open against {other}"
    if not tally.method.measures_distance:
        return f"no preference shown against {other}"
    if tally.attribute:
        return f"{tally.attribute}: not shown against {other}"
    return f"not shown to differ from {other}"


def difference(asked: Question, pair: PairFinding) -> str:
    """What was shown: that it differs, or the direction."""
    tally = pair.tally
    kind = tally.method.question_kind
    if kind == "difference" or pair.finding.evidence.open_direction(tally):
        return A_DIFFERENCE
    chosen, other = favoured(asked, pair)
    if kind == "preference":
        return f"{chosen} was preferred to {other}"
    return f"{chosen} was found {tally.attribute} than {other}"


def favoured(asked: Question, pair: PairFinding) -> tuple[str, str]:
    """The sample that was expected or chosen more often, and the other one, as called here."""
    session, tally = pair.session, pair.tally
    a, b = asked.names[session.a.id], asked.names[session.b.id]
    return (b, a) if tally.favoured[0] == tally.b else (a, b)
