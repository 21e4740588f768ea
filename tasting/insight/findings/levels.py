"""In which of acidity, sugar and alcohol do two drinks differ?"""

from tasting.drink.change import changes
from tasting.drink.composition import compose
from tasting.drink.formula import Version
from tasting.drink.label import Reference

_NAMES = {"ta_g_per_l": "acidity", "sugar_g_per_l": "sugar", "alcohol_percent_vol": "alcohol"}
_LEAST = 0.02
"""A level that differs by less than this share of the larger one is not asked about."""


def differing(a: Version | Reference, b: Version | Reference) -> tuple[str, ...] | None:
    """The names of the levels that differ, the one that differs by the largest share first; None
    where none is known to differ and it is not known of all whether they do."""
    shares = _between(a, b) if isinstance(a, Version) and isinstance(b, Version) else _beside(a, b)
    known = {name: share for name, share in shares.items() if share is not None}
    found = sorted((name for name in known if known[name] >= _LEAST), key=lambda n: -known[n])
    return tuple(found) if found or len(known) == len(shares) else None


def _between(a: Version, b: Version) -> dict[str, float | None]:
    """Of two recipes: what neither knows may still be the same in both. The share is then of the
    most that the level may be."""
    known = changes(a, b)
    return {
        name: _share(known[figure].value, max(_most(drink, figure) for drink in (a, b)))
        for figure, name in _NAMES.items()
    }


def _most(version: Version, figure: str) -> float:
    made = compose(version)
    return made.at_most(figure) if figure in made.unknown else made.known(figure)


def _share(change: float | None, level: float) -> float | None:
    if change is None:
        return None
    return abs(change) / level if level > 0 else 0.0


def _beside(a: Version | Reference, b: Version | Reference) -> dict[str, float | None]:
    one, other = _levels(a), _levels(b)
    return {name: _apart(one[name], other[name]) for name in one}


def _apart(one: float | None, other: float | None) -> float | None:
    if one is None or other is None:
        return None
    return _share(one - other, max(one, other))


def _levels(drink: Version | Reference) -> dict[str, float | None]:
    """g/L of titratable acid and of sugar, % vol of alcohol; of a reference by its label."""
    known = drink if isinstance(drink, Reference) else compose(drink)
    return {name: getattr(known, figure) for figure, name in _NAMES.items()}
