"""Which formula, which reference and which sessions the dashboard is about."""

from collections.abc import Mapping, Sequence

from tasting.drink.formula import Formula
from tasting.drink.label import Reference
from tasting.store.session_index import Wanted


def chosen(formula: Formula, reference: Reference | None) -> Wanted:
    """The sessions of a formula's versions, among themselves or against this reference.

    Those against another reference are left out: what its character adds is another gap.
    """
    return Wanted(versions_of(formula), reference.id if reference else "", among=True)


def versions_of(formula: Formula) -> tuple[str, ...]:
    """The ids of its versions."""
    return tuple(version.id for version in formula.versions)


def first_formula(known: Sequence[Formula], last: str | None) -> int:
    """The formula of the version that was tasted last, else the first one."""
    return next((at for at, one in enumerate(known) if last in versions_of(one)), 0)


def first_reference(bottles: Sequence[Reference], times: Mapping[str, int]) -> int | None:
    """The reference that the formula was compared with most often, else the first one."""
    places = range(len(bottles))
    return max(places, key=lambda place: (times.get(bottles[place].id, 0), -place), default=None)
