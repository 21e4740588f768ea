"""What other sessions that asked the same of the same two drinks say beside this one.

A session's own finding holds its α. Whoever asks until something shows finds it by chance, though,
so a session names the others, and what all answers together show (`pair`).
"""

from collections.abc import Sequence

from tasting.insight.findings.closed_session import ClosedSession
from tasting.insight.findings.finding import conclude
from tasting.insight.findings.pair import Claim, PairFinding, of_pair
from tasting.wording import p_value

_ORDINALS = ("", "First", "Second", "Third", "Fourth", "Fifth", "Sixth", "Seventh", "Eighth")
_NUMBERS = ("", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
MOST_NAMED = 4
"""More sessions than this are counted, not named."""
_KINDS = {"difference": "test", "direction": "test of the direction", "preference": "preference"}


def counting(number: int) -> str:
    """A small number in words.

    >>> counting(3), counting(12)
    ('three', '12')
    """
    return _NUMBERS[number] if number < len(_NUMBERS) else str(number)


def others_in_words(session_id: str, sessions: Sequence[ClosedSession]) -> str:
    """What the others say, in a sentence or two; empty where nothing was asked twice.

    sessions: the closed ones of these two drinks that have an answer that counts, oldest first
    """
    asked = next((one for one in sessions if one.id == session_id), None)
    if asked is None:
        return ""
    same = [one for one in sessions if _question(one) == _question(asked)]
    if len(same) < 2:
        return ""
    place = same.index(asked)
    parts = [
        f"{when} {_listed(group)}"
        for when, group in (("earlier", same[:place]), ("later", same[place + 1 :]))
        if group
    ]
    what = _KINDS[asked.tally.method.question_kind]
    said = f"{_place(place + 1, what)} of these two: {'; '.join(parts)}."
    return f"{said} {_together(same)}".strip()


def _question(one: ClosedSession) -> tuple[str, str]:
    return one.tally.method.question_kind, one.tally.attribute


def _place(place: int, what: str) -> str:
    """Such as "Third test"."""
    if place < len(_ORDINALS):
        return f"{_ORDINALS[place]} {what}"
    return f"{what.capitalize()} number {place}"


def _listed(group: Sequence[ClosedSession]) -> str:
    """Counts with what each showed; said once where all showed the same."""
    found = [(count_of(one), _is_shown(one)) for one in group]
    if len(group) > MOST_NAMED:
        return f"{sum(shown for _, shown in found)} of {len(group)} shown"
    if len({shown for _, shown in found}) == 1:
        counts = [count for count, _ in found]
        return f"{_and(counts)}, {_shown(found[0][1])}"
    return _and([f"{count} ({_shown(shown)})" for count, shown in found])


def _is_shown(one: ClosedSession) -> bool:
    return one.weighed[0] if one.weighed else conclude(one.tally).shown


def _shown(shown: bool) -> str:
    return "shown" if shown else "not shown"


def _and(said: Sequence[str]) -> str:
    *first, last = said
    return f"{', '.join(first)} and {last}" if first else last


def count_of(one: ClosedSession) -> str:
    """The counts of one session: "10 of 36"."""
    tally = one.tally
    if tally.design.sides == 1:
        return f"{tally.count} of {tally.n}"
    return f"{tally.extreme} of {tally.n} for {tally.favoured[0]}"


def _together(same: Sequence[ClosedSession]) -> str:
    """What all answers together show, where their counts may be added."""
    pair = of_pair(same)
    if pair is None or len(pair.sessions) < 2:
        return ""
    counts = f"{pair.count} of {pair.n}"
    needed = (
        f", {pair.needed} needed for {counting(len(pair.sessions))} looks" if pair.needed else ""
    )
    if pair.disagree:
        return f"Together {counts}{needed}; {_disagreeing(pair)}."
    return f"Together {counts}{needed}: {_CLAIMED[pair.claim]}."


def _disagreeing(pair: PairFinding) -> str:
    said = f"the sessions disagree (p {p_value(pair.agreement)})"
    if pair.claim in (Claim.DIFFERS, Claim.SMALL):
        return f"a difference is shown, but {said} on how large"
    return f"{said}, so the question is open"


_CLAIMED = {
    Claim.DIFFERS: "a difference is shown",
    Claim.SMALL: "a difference is shown, which few notice",
    Claim.SIMILAR: "similarity is shown",
    Claim.OPEN: "no difference is shown",
    Claim.CHECK: "the newest scored far below guessing",
}
