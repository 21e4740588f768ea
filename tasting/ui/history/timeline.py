"""Everything that happened, as entries: versions made, and sessions as they stand.

Versions and sessions that are not closed are few, so they are read as they are; closed sessions
come a page at a time.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from tasting.drink.formula import Formula, Version
from tasting.store.past import Past
from tasting.store.sessions import Summary

_VERSION = "Version"
CLOSED = "Closed session"
_SESSION_KINDS = {
    "planned": "Planned session",
    "open": "Open session",
    "closed": CLOSED,
    "abandoned": "Abandoned session",
}
KINDS = (_VERSION, *_SESSION_KINDS.values())


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry; that of a session has its `session_id`, and what it compared if it is not closed.

    finding: whether there is a finding to read
    """

    at: datetime
    kind: str
    title: str
    text: str
    invented: bool
    purpose: str = ""
    session_id: str | None = None
    drinks: frozenset[tuple[str, str]] = frozenset()
    finding: bool = False


def not_closed(formulas: Sequence[Formula], sessions: Sequence[Summary]) -> list[Entry]:
    """The entries of versions and of sessions that are not closed, newest first."""
    versions = [entry for formula in formulas for entry in _versions(formula)]
    entries = [*versions, *map(_session, sessions)]
    return sorted(entries, key=lambda entry: entry.at, reverse=True)


def _versions(formula: Formula) -> Iterator[Entry]:
    for version in formula.versions:
        yield Entry(
            at=version.created_at,
            kind=_VERSION,
            title=f"{formula.name}, {version.label}",
            text=_story(version),
            invented=bool(formula.invented),
        )


def _story(version: Version) -> str:
    told = [version.reason or "The first version.", version.note]
    return " ".join(filter(None, told))


def _session(known: Summary) -> Entry:
    return Entry(
        at=known.abandoned_at or known.opened_at or known.planned_at,
        kind=_SESSION_KINDS[known.state],
        title=known.name,
        text=_standing(known),
        invented=bool(known.invented),
        purpose=known.purpose,
        session_id=known.id,
        drinks=frozenset((sample.kind, sample.id) for sample in (known.plan.a, known.plan.b)),
    )


def _standing(known: Summary) -> str:
    plan = known.plan
    if known.state == "abandoned":
        return f"Given up: {known.abandoned_reason}."
    compared = f"{plan.procedure.name} of {plan.a.name} and {plan.b.name}"
    if known.state == "open":
        return f"{compared}: {known.answered} of {plan.tastings} answers are in."
    return f"{compared}, {plan.tastings} tastings planned."


def _closed(past: Past) -> Entry:
    """The entry of a closed session."""
    return Entry(
        at=past.closed_at,
        kind=CLOSED,
        title=past.name,
        text=f"{past.fault or past.headline or 'Closed without an answer'}.",
        invented=bool(past.invented),
        purpose=past.purpose,
        session_id=past.id,
        finding=not past.fault,
    )


def matching(
    entries: Sequence[Entry],
    words: Sequence[str],
    kinds: Sequence[str],
    drinks: Sequence[tuple[str, str]] = (),
) -> list[Entry]:
    """The entries of these kinds (of any kind, if none is named) that hold every one of these
    words, and that compare these drinks."""
    return [
        entry
        for entry in entries
        if (not kinds or entry.kind in kinds)
        and all(word in _searched(entry) for word in words)
        and entry.drinks >= set(drinks)
    ]


def _searched(entry: Entry) -> str:
    return f"{entry.title} {entry.text} {entry.purpose}".casefold()


Slot = Entry | str
"""An entry, or the id of the closed session whose entry stands there."""


def merged(
    entries: Sequence[Entry], closed_at: Sequence[tuple[datetime, str]], first: int, size: int
) -> list[Slot]:
    """A page of both, newest first: `closed_at` are the newest closed sessions up to its end."""
    every: list[tuple[datetime, Slot]] = [(entry.at, entry) for entry in entries]
    every += closed_at
    every.sort(key=lambda one: one[0], reverse=True)
    return [slot for _, slot in every[first : first + size]]


def told(slots: Sequence[Slot], known: Mapping[str, Past]) -> list[Entry]:
    """The entries of a page."""
    return [slot if isinstance(slot, Entry) else _closed(known[slot]) for slot in slots]
