"""All tables of published values, and what there is to say about them."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import groupby

from tasting.published.check import PublishedValue
from tasting.published.drinks import DRINKS
from tasting.published.statistics import STATISTICS
from tasting.wording import short

TABLES: tuple[Callable[[], Iterator[PublishedValue]], ...] = (*STATISTICS, *DRINKS)
"""Each computes the values of one table, or of two that belong together."""

OVERVIEW = ("table", "source", "status", "values", "agree", "largest deviation")
VALUES = ("table", "case", "status", "", "printed", "computed", "deviation")


def overview(checks: Iterable[PublishedValue]) -> list[tuple[str, ...]]:
    """A row for each table, source and status, under OVERVIEW."""

    def key(check: PublishedValue) -> tuple[str, str, str]:
        return check.table, check.source, check.status

    grouped = groupby(sorted(checks, key=key), key=key)
    return [(*name, *_counted(list(group))) for name, group in grouped]


def _counted(checks: Sequence[PublishedValue]) -> tuple[str, str, str]:
    agree = sum(not check.deviates for check in checks)
    return str(len(checks)), str(agree), short(max(abs(check.deviation) for check in checks))


def value_row(check: PublishedValue) -> tuple[str, ...]:
    """A row for one value, under VALUES."""
    numbers = (check.printed, check.computed, check.deviation)
    return check.table, check.case, check.status, _verdict(check), *map(short, numbers)


def _verdict(check: PublishedValue) -> str:
    if not check.agrees:
        return "MISS"
    return "known to differ" if check.deviates else "agrees"


def summary(checks: Sequence[PublishedValue]) -> str:
    """What was found, in one sentence.

    >>> summary([PublishedValue("a", "b", "c", "seen", 1, 1, 0.0)])
    '1 value computed again: 1 agrees, 0 differ as known, 0 miss.'
    """
    misses = sum(not check.agrees for check in checks)
    known = sum(check.agrees and check.deviates for check in checks)
    agree = len(checks) - misses - known
    return (
        f"{len(checks)} value{'s' * (len(checks) != 1)} computed again: "
        f"{agree} agree{'s' * (agree == 1)}, {known} differ as known, {misses} miss."
    )
