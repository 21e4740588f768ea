"""Everything that happened, as one list of entries: versions made, and sessions as they stand."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from tasting.drink.formula import Formula, Version
from tasting.store.sessions import Summary

_VERSION = "Version"
_SESSION_KINDS = {
    "planned": "Planned session",
    "open": "Open session",
    "closed": "Closed session",
    "abandoned": "Abandoned session",
}
KINDS = (_VERSION, *_SESSION_KINDS.values())


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry; a closed session has its `session_id`, to read its finding."""

    at: datetime
    kind: str
    title: str
    text: str
    invented: bool
    purpose: str = ""
    session_id: str | None = None


def timeline(
    formulas: Sequence[Formula], sessions: Sequence[Summary], headlines: Mapping[str, str]
) -> list[Entry]:
    """All entries, newest first.

    headlines: of the findings, by session id; a closed session without one had no answer
    """
    versions = [entry for formula in formulas for entry in _versions(formula)]
    entries = [*versions, *(_session(known, headlines.get(known.id)) for known in sessions)]
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


def _session(known: Summary, headline: str | None) -> Entry:
    return Entry(
        at=known.closed_at or known.abandoned_at or known.opened_at or known.planned_at,
        kind=_SESSION_KINDS[known.state],
        title=known.name,
        text=_standing(known, headline),
        invented=bool(known.invented),
        purpose=known.purpose,
        session_id=known.id if known.state == "closed" else None,
    )


def _standing(known: Summary, headline: str | None) -> str:
    plan = known.plan
    if known.state == "closed":
        return f"{headline or 'Closed without an answer'}."
    if known.state == "abandoned":
        return f"Given up: {known.abandoned_reason}."
    compared = f"{plan.procedure.name} of {plan.a.name} and {plan.b.name}"
    if known.state == "open":
        return f"{compared}: {known.answered} of {plan.tastings} answers are in."
    return f"{compared}, {plan.tastings} tastings planned."


def matching(entries: Sequence[Entry], text: str, kinds: Sequence[str]) -> list[Entry]:
    """The entries of these kinds (of any kind, if none is named) that hold every word of a text."""
    words = text.casefold().split()
    return [
        entry
        for entry in entries
        if (not kinds or entry.kind in kinds) and all(word in _searched(entry) for word in words)
    ]


def _searched(entry: Entry) -> str:
    return f"{entry.title} {entry.text} {entry.purpose}".casefold()
