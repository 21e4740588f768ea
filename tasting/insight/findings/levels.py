"""In which of acidity, sugar and alcohol do two drinks differ by more than is usually noticed?"""

from tasting.drink.change import changes
from tasting.drink.composition import compose
from tasting.drink.formula import Version
from tasting.drink.label import Reference

_NAMES = {"ta_g_per_l": "acidity", "sugar_g_per_l": "sugar", "alcohol_percent_vol": "alcohol"}
_STEPS = {"acidity": 0.22, "sugar": 0.17, "alcohol": 0.2}
"""How large a share of the lower level is usually noticed: citric acid and sucrose in water by
Schutz and Pilgrim 1957 (J. Exp. Psychol. 54:41; from memory), alcohol by common practice, no
source."""


def differing(a: Version | Reference, b: Version | Reference) -> tuple[str, ...]:
    """The names of the levels that differ by more than a noticeable step, in a fixed order.

    A level of which it is not known by how much it differs is left out. Shares of g/L and of % vol
    cannot be ordered, so none of them is said to differ most.
    """
    apart = _between(a, b) if isinstance(a, Version) and isinstance(b, Version) else _beside(a, b)
    return tuple(name for name, step in _STEPS.items() if _noticeable(*apart[name], step))


def _noticeable(change: float | None, higher: float, step: float) -> bool:
    """Whether the higher level is more than so large a share above the lower one."""
    return change is not None and abs(change) > step * max(higher - abs(change), 0.0)


def _between(a: Version, b: Version) -> dict[str, tuple[float | None, float]]:
    """Of two recipes: what neither knows may still be the same in both. The change then stands
    beside the most that the level may be."""
    known = changes(a, b)
    return {
        name: (known[figure].value, max(_most(drink, figure) for drink in (a, b)))
        for figure, name in _NAMES.items()
    }


def _most(version: Version, figure: str) -> float:
    made = compose(version)
    return made.at_most(figure) if figure in made.unknown else made.known(figure)


def _beside(
    a: Version | Reference, b: Version | Reference
) -> dict[str, tuple[float | None, float]]:
    one, other = _levels(a), _levels(b)
    return {name: _apart(one[name], other[name]) for name in one}


def _apart(one: float | None, other: float | None) -> tuple[float | None, float]:
    if one is None or other is None:
        return None, 0.0
    return one - other, max(one, other)


def _levels(drink: Version | Reference) -> dict[str, float | None]:
    """g/L of titratable acid and of sugar, % vol of alcohol; of a reference by its label."""
    known = drink if isinstance(drink, Reference) else compose(drink)
    return {name: getattr(known, figure) for figure, name in _NAMES.items()}
