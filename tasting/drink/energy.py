"""Energy of a drink from what is in it (Regulation (EU) No 1169/2011, Annex XIV).

Kilojoules and kilocalories are computed each from their own factors, as the Annex does; they are
not converted into one another.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tasting.errors import InputError
from tasting.wording import short

# kcal and kJ in one gram.
PER_G: Final = {
    "carbohydrate": (4.0, 17.0),
    "polyol": (2.4, 10.0),
    "protein": (4.0, 17.0),
    "fat": (9.0, 37.0),
    "alcohol": (7.0, 29.0),
    "organic acid": (3.0, 13.0),
    "fibre": (2.0, 8.0),
    "erythritol": (0.0, 0.0),
}


@dataclass(frozen=True, slots=True)
class Energy:
    """Energy in both units."""

    kcal: float
    kj: float


def energy(**grams: float) -> Energy:
    """Energy of grams of carbohydrate, polyol, protein, fat, alcohol, organic_acid, fibre and
    erythritol. Carbohydrate "by difference" holds the organic acids already: do not give both.

    Raises InputError for another name or a negative mass.
    Source: Regulation (EU) No 1169/2011, Annex XIV.

    >>> energy(alcohol=9.47)
    Energy(kcal=66.29, kj=274.63)
    """
    named = {name.replace("_", " "): mass for name, mass in grams.items()}
    for name, mass in named.items():
        if name not in PER_G:
            raise InputError(
                f"no energy factor for {name!r}; use one of: {', '.join(sorted(PER_G))}"
            )
        if not mass >= 0:
            raise InputError(f"the mass of {name} must be 0 g or more, not {short(mass)}")
    return Energy(
        kcal=round(sum(PER_G[name][0] * mass for name, mass in named.items()), 9),
        kj=round(sum(PER_G[name][1] * mass for name, mass in named.items()), 9),
    )
