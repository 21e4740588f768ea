"""What the sessions that compared two drinks say of them, on the cards and in the list of versions.

Each sentence rests on closed sessions; what is not shown is never called alike.
"""

from typing import Final

from tasting.drink.formula import Version
from tasting.insight.advice.question import Action, Question, Reply
from tasting.insight.findings.asked_again import MOST_NAMED, count_of, counting
from tasting.insight.findings.pair import Claim, PairFinding, of_pair
from tasting.insight.noticing.marks import noticed_by_triangle
from tasting.stats.results import Estimate
from tasting.wording import percent, percents

_DIFFERENCE: Final = "a difference was shown"
SHARE_MEANS: Final = (
    "Share who notice: of assessors in a triangle test, those who notice the difference rather "
    "than guess; 95 % interval in brackets."
)


def would_notice(share: Estimate) -> str:
    """The share who would notice, with its interval."""
    return f"about {percent(share.value)} would notice ({percents(share.low, share.high)})"


def whether_there(asked: Question, pair: PairFinding) -> str:
    """Whether a version is where its reference is."""
    return _by_claim(asked, pair, ("Not yet", "Nearly: it differs, but", "Close:"), "Not settled.")


def whether_noticed(asked: Question, pair: PairFinding) -> str:
    """Whether a change was noticed."""
    return _by_claim(asked, pair, ("Yes", "Yes, but", "Hardly:"), "Not shown.")


def _by_claim(
    asked: Question, pair: PairFinding, begins: tuple[str, str, str], unshown: str
) -> str:
    """begins: where it differs, where it differs a little, and where it is similar"""
    few = f"fewer than {percent(pair.tally.design.p_d)} notice."
    differs, small, similar = begins
    return {
        Claim.DIFFERS: f"{differs}: {_difference(asked, pair)}.",
        Claim.SMALL: f"{small} {few}",
        Claim.SIMILAR: f"{similar} {few}",
        Claim.OPEN: unshown,
        Claim.CHECK: "Not settled: check the cups.",
    }[pair.claim]


def answered(
    question: str, asked: Question, pair: PairFinding, sentence: str, action: Action
) -> Reply:
    """One of the three answers, from what was found of the two."""
    evidence = f"{_counts(asked, pair)}.{_share(pair)}{_limits(pair)}"
    explained = SHARE_MEANS if pair.distance else ""
    if explained and len(pair.sessions) > 1:
        explained += " Answers are taken as independent, though people may have come again."
    settled = pair.claim not in (Claim.OPEN, Claim.CHECK)
    return Reply(question, pair.claim, sentence, evidence, action, explained, settled)


def _difference(asked: Question, pair: PairFinding) -> str:
    """What was shown: that it differs, or the direction."""
    tally = pair.tally
    kind = tally.method.question_kind
    if kind == "difference" or pair.finding.evidence.open_direction(tally):
        return _DIFFERENCE
    chosen, other = _favoured(asked, pair)
    if kind == "preference":
        return f"{chosen} was preferred to {other}"
    return f"{chosen} was found {tally.attribute} than {other}"


def _favoured(asked: Question, pair: PairFinding) -> tuple[str, str]:
    """The sample that was expected or chosen more often, and the other one, as called here."""
    session, tally = pair.session, pair.tally
    a, b = asked.names[session.a.id], asked.names[session.b.id]
    return (b, a) if tally.favoured[0] == tally.b else (a, b)


def in_short(asked: Question, pair: PairFinding) -> str:
    """A finding in a few words."""
    counts = f"{pair.count} of {pair.n}"
    if pair.claim in (Claim.DIFFERS, Claim.SMALL):
        return f"{_difference(asked, pair)} ({counts})"
    if pair.claim is Claim.SIMILAR:
        return f"fewer than {percent(pair.tally.design.p_d)} notice ({counts})"
    return f"nothing was shown ({counts})"


def _counts(asked: Question, pair: PairFinding) -> str:
    """The counts and the number that shows a difference."""
    tally = pair.tally
    counts = f"{pair.count} of {pair.n}"
    needed = f"; {pair.needed} needed" if pair.needed else ""
    if not tally.design.has_chance:
        return pair.finding.sentences[0].rstrip(".")
    if tally.method.has_right_answer:
        return f"{counts} correct in {_tests(pair)}{needed}"
    chosen, _ = _favoured(asked, pair)
    verb = f"called {tally.attribute}" if tally.attribute else "preferred"
    return f"{chosen} was {verb} in {counts} tastings{needed}"


def _tests(pair: PairFinding) -> str:
    names = dict.fromkeys(one.tally.method.name.lower() for one in pair.sessions)
    if len(pair.sessions) == 1:
        return f"a {next(iter(names))}"
    kind = f"{next(iter(names))}s" if len(names) == 1 else "sessions"
    return f"{len(pair.sessions)} {kind}"


def _share(pair: PairFinding) -> str:
    if pair.distance is None:
        return ""
    share = would_notice(noticed_by_triangle(pair.distance))
    return f" {share[0].upper()}{share[1:]}."


def _limits(pair: PairFinding) -> str:
    """What the claim does not say."""
    disagree = " The sessions disagree." if pair.disagree else ""
    design = pair.tally.design
    if pair.claim in (Claim.SIMILAR, Claim.SMALL):
        return f" Similarity holds for this share only, at β = {design.beta:g}.{disagree}"
    if pair.claim is Claim.OPEN:
        return f"{disagree} Not shown does not mean alike."
    if pair.claim is Claim.CHECK:
        return " That is far fewer than guessing gives: check the serving key and the cups."
    return disagree


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


def findings_so_far(asked: Question, version: Version) -> str:
    """What all sessions of the pair that a version was compared in last come to together."""
    newest = asked.newest(version.id)
    if newest is None:
        return "not tasted"
    other = next(one.id for one in (newest.a, newest.b) if one.id != version.id)
    found = of_pair(asked.compared(version.id, other))
    return _said_of(asked, found, asked.names[other]) if found else "not tasted"


def _said_of(asked: Question, pair: PairFinding, other: str) -> str:
    said = _difference(asked, pair)
    differs = f"differs from {other}" if said == _DIFFERENCE else said
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
