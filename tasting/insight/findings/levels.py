"""In which of acidity, sugar and alcohol do two drinks differ by more than is usually noticed?"""

from math import inf

from tasting.drink.change import changes
from tasting.drink.composition import compose
from tasting.drink.formula import Version
from tasting.drink.label import Reference

_STEPS = {"acidity": 0.22, "sugar": 0.17, "alcohol": 0.2}
"""How large a share of a level is usually noticed: citric acid and sucrose in water by Schutz and
Pilgrim 1957 (J. Exp. Psychol. 54:41; from memory), alcohol by common practice, no source."""
_FIGURES = {"acidity": "ta_g_per_l", "sugar": "sugar_g_per_l", "alcohol": "alcohol_percent_vol"}


def differing(a: Version | Reference, b: Version | Reference) -> tuple[str, ...]:
    """The names of the levels that differ by more than a noticeable step, in a fixed order.

    A level of which the difference is not known is left out. Shares of g/L and of % vol cannot be
    ordered, so none of them is said to differ most.
    """
    shares = _shares(a, b)
    return tuple(name for name, step in _STEPS.items() if shares[name] > step)


def _shares(a: Version | Reference, b: Version | Reference) -> dict[str, float]:
    """The difference in each level as a share of the lower one."""
    if isinstance(a, Version) and isinstance(b, Version):
        return _between(a, b)
    one, other = _levels(a), _levels(b)
    return {name: _apart(one[name], other[name]) for name in one}


def _between(a: Version, b: Version) -> dict[str, float]:
    """Of two recipes what neither knows may still be the same in both; then the share is of the
    most that the level may be."""
    known = changes(a, b)
    return {
        name: _share(known[figure].value, min(_most(drink, figure) for drink in (a, b)))
        for name, figure in _FIGURES.items()
    }


def _most(version: Version, figure: str) -> float:
    made = compose(version)
    return made.at_most(figure) if figure in made.unknown else made.known(figure)


def _share(change: float | None, least: float) -> float:
    if not change:
        return 0.0
    return abs(change) / least if least > 0 else inf


def _apart(one: float | None, other: float | None) -> float:
    if one is None or other is None:
        return 0.0
    return _share(one - other, min(one, other))


def _levels(drink: Version | Reference) -> dict[str, float | None]:
    """g/L of titratable acid and of sugar, % vol of alcohol; of a reference by its label."""
    known = drink if isinstance(drink, Reference) else compose(drink)
    return {name: getattr(known, figure) for name, figure in _FIGURES.items()}
