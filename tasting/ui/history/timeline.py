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
from tasting.ui import pages
from tasting.ui.linked_table import LinkedRow
from tasting.ui.pages import AppPage
from tasting.wording import day, many

_VERSION = "Version"
CLOSED = "Closed"
_SESSION_KINDS = {
    "planned": "Planned",
    "open": "Open",
    "closed": CLOSED,
    "abandoned": "Given up",
}
KINDS = (_VERSION, *_SESSION_KINDS.values())


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry, and the page that it opens: a session, or the drink of a version.

    id: of that session or drink
    invented: says so where the data are made up
    drinks: what a session that is not closed compares
    """

    at: datetime
    kind: str
    title: str
    text: str
    page: AppPage
    id: str
    invented: str
    purpose: str = ""
    drinks: frozenset[tuple[str, str]] = frozenset()


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
            page=pages.DRINK,
            id=formula.id,
            invented=formula.invented,
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
        page=pages.TASTING,
        id=known.id,
        invented=known.invented,
        purpose=known.purpose,
        drinks=frozenset((sample.kind, sample.id) for sample in (known.plan.a, known.plan.b)),
    )


def _standing(known: Summary) -> str:
    plan = known.plan
    if known.state == "abandoned":
        return f"Given up: {known.abandoned_reason}."
    compared = f"{plan.procedure.name} of {plan.a.name} and {plan.b.name}"
    if known.state == "open":
        return (
            f"{compared}: {known.answered} of {many(plan.tastings, 'answer is', 'answers are')} in."
        )
    return f"{compared}, {plan.tastings} tastings planned."


def _closed(past: Past) -> Entry:
    """The entry of a closed session."""
    return Entry(
        at=past.closed_at,
        kind=CLOSED,
        title=past.name,
        text=f"{past.fault or past.headline or 'Closed without an answer'}.",
        page=pages.TASTING,
        id=past.id,
        invented=past.invented,
        purpose=past.purpose,
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


def rows(entries: Sequence[Entry], only: str = "") -> list[LinkedRow]:
    """The entries as a table; where only some are invented, each of those says so.

    only: the name of the formula, if there is one alone, whose versions then need no other name
    """
    mixed = not all(entry.invented for entry in entries)
    return [
        LinkedRow(
            before=(day(entry.at), _kind(entry, mixed)),
            name=_in_short(entry.title, only),
            page=entry.page,
            id=entry.id,
            told=_in_short(entry.text, only),
        )
        for entry in entries
    ]


def _in_short(text: str, only: str) -> str:
    return text.replace(f"{only}, ", "") if only else text


def _kind(entry: Entry, mixed: bool) -> str:
    return f"{entry.kind} (invented)" if mixed and entry.invented else entry.kind
