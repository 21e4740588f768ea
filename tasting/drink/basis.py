"""How a figure of an ingredient is known, and how far the truth may lie from it.

*Measured*: what a small kitchen repeats. *Label*: what an inspector lets pass, by the EU's guidance
on tolerances for nutrition labels (December 2012; sugar and zero limits seen second-hand, the rest
from memory) and Annex XII of Regulation (EU) No 1169/2011 for alcohol. *Typical*: lots, varieties
and makers differ. *Guess*: said without having looked. The last two are common practice, no source.
All are ranges that hold the truth about 19 times in 20.
"""

from dataclasses import dataclass
from typing import Final, Literal

Basis = Literal["measured", "label", "typical", "guess"]


@dataclass(frozen=True, slots=True)
class _Room:
    """The half width: so large a share of the value, and no less than this."""

    share: float
    least: float = 0.0

    def half(self, value: float) -> float:
        return max(self.share * abs(value), self.least)


# What holds for any figure that is not listed below.
_USUAL: Final[dict[Basis, _Room]] = {
    "measured": _Room(0.05),
    "label": _Room(0.20),
    "typical": _Room(0.25),
    "guess": _Room(0.50),
}
_OWN: Final[dict[tuple[str, Basis], _Room]] = {
    ("density_kg_per_l", "measured"): _Room(0.0, 0.002),
    ("density_kg_per_l", "label"): _Room(0.0, 0.005),
    ("density_kg_per_l", "typical"): _Room(0.01, 0.002),
    ("density_kg_per_l", "guess"): _Room(0.05, 0.01),
    ("ph", "measured"): _Room(0.0, 0.05),
    ("ph", "label"): _Room(0.0, 0.2),
    ("ph", "typical"): _Room(0.0, 0.3),
    ("ph", "guess"): _Room(0.0, 0.6),
    ("alcohol_percent_vol", "measured"): _Room(0.0, 0.3),
    ("alcohol_percent_vol", "label"): _Room(0.0, 0.5),
    ("alcohol_percent_vol", "typical"): _Room(0.05, 0.5),
    ("alcohol_percent_vol", "guess"): _Room(0.25, 1.0),
    ("ta_citric_g_per_100g", "measured"): _Room(0.02, 0.005),
    ("water_g_per_100g", "measured"): _Room(0.0, 0.5),
    ("water_g_per_100g", "label"): _Room(0.02, 0.5),
    ("water_g_per_100g", "typical"): _Room(0.05, 0.5),
    ("water_g_per_100g", "guess"): _Room(0.10, 1.0),
    ("co2_g_per_l", "measured"): _Room(0.10, 0.1),
    ("co2_g_per_l", "typical"): _Room(0.30, 0.2),
    ("co2_g_per_l", "guess"): _Room(0.50, 0.5),
}
_LIKE_SUGARS: Final = ("protein_g_per_100g", "fibre_g_per_100g", "polyols_g_per_100g")
_SUGARS: Final = tuple(
    f"{sugar}_g_per_100g" for sugar in ("sucrose", "glucose", "fructose", "lactose", "maltose")
)
_LARGEST: Final = {"alcohol_percent_vol": 100.0, "ph": 14.0, "co2_g_per_l": 20.0}


def likely_range(figure: str, value: float, basis: Basis) -> tuple[float, float] | None:
    """From low to high, where a figure known in this way truly lies; None for one that is known to
    be none (0), unless it was measured so or guessed.

    >>> likely_range("ph", 3.2, "typical")
    (2.9, 3.5)
    """
    if value == 0 and basis in ("label", "typical"):
        return None
    half = _half(figure, value, basis)
    most = 100.0 if figure.endswith("g_per_100g") and "mg" not in figure else None
    high = min(value + half, _LARGEST.get(figure, most or value + half))
    low = value - half if figure == "other_cations_meq_per_100g" else max(value - half, 0.0)
    span = (round(low, 9), round(high, 9))
    return span if span[0] < span[1] else None


def _half(figure: str, value: float, basis: Basis) -> float:
    if basis == "label" and figure in (*_SUGARS, *_LIKE_SUGARS):
        return _label_half(value, small=2.0)
    if basis == "label" and figure == "fat_g_per_100g":
        return _label_half(value, small=1.5)
    return _OWN.get((figure, basis), _USUAL[basis]).half(value)


def _label_half(grams: float, small: float) -> float:
    """EU guidance, December 2012: below 10 g so many g, to 40 g 20 %, then 8 g."""
    if grams < 10:
        return small
    return 0.2 * grams if grams <= 40 else 8.0
