"""Which formula, which reference and which sessions the dashboard is about."""

from collections import Counter
from collections.abc import Sequence

from tasting.drink.formula import Formula
from tasting.drink.label import Reference
from tasting.store.session_index import Compared


def chosen(
    closed: Sequence[Compared], formula: Formula, reference: Reference | None
) -> list[Compared]:
    """The sessions of a formula's versions, among themselves or against this reference.

    Those against another reference are left out: what its character adds is another gap.
    """
    drinks = {("version", version.id) for version in formula.versions}
    known = drinks | ({("reference", reference.id)} if reference else set())
    return [one for one in closed if _pair(one) <= known and _pair(one) & drinks]


def _pair(one: Compared) -> set[tuple[str, str]]:
    return {(sample.kind, sample.id) for sample in (one.a, one.b)}


def first_formula(known: Sequence[Formula], closed: Sequence[Compared]) -> int:
    """The formula of the session closed last, else the first one."""
    for one in reversed(closed):
        for index, formula in enumerate(known):
            if {("version", version.id) for version in formula.versions} & _pair(one):
                return index
    return 0


def first_reference(
    bottles: Sequence[Reference], formula: Formula, closed: Sequence[Compared]
) -> int | None:
    """The reference that the formula was compared with most often, else the first one."""
    versions = {("version", version.id) for version in formula.versions}
    times = Counter(
        id_ for one in closed for kind, id_ in _pair(one) - versions if _pair(one) & versions
    )
    places = range(len(bottles))
    return max(places, key=lambda place: (times[bottles[place].id], -place), default=None)
