"""How long what goes into a batch usually keeps: reminders, not promises.

All of it is common practice without a source. No reminder says that a drink is safe until then, and
what is not known of an ingredient counts as what keeps worst.
"""

from collections.abc import Iterator
from typing import Final

from tasting.drink.carbonation import STILL_G_PER_L
from tasting.drink.cautions import Caution, grows
from tasting.drink.dosed import listed
from tasting.drink.formula import Version
from tasting.drink.pantry import Ingredient

PRACTICE: Final = "Common practice, no source."
# Sugar from which on a syrup is called rich, and a liquid a syrup at all, g in 100 g; strengths of
# wine and of spirit, % vol: all common practice, no source.
_RICH, _SYRUP = 60.0, 40.0
_WINE, _SPIRIT = 8.0, 20.0
_SPOILS_FIRST: Final = frozenset({"milk", "eggs"})
# From so much sugar, other acid or acetic acid on a liquid keeps by itself, as honey and vinegar
# do, g in 100 g; a solid with so much water is fruit or leaves, and no powder.
_HONEY, _STRONG_ACID, _VINEGAR, _WATERY = 75.0, 20.0, 4.0, 20.0

_LASTS: Final = {
    "fresh": "the same day, cold; to the date on the pack at most",
    "juice": "2–3 days, cold and closed",
    "syrup": "2–4 weeks, cold",
    "rich": "1–2 months, cold",
    "wine": "1–4 weeks after opening, cold",
    "fizz": "the same day once open: it goes flat",
}
_CALLED: Final = {
    "fresh": "Milk, egg and the like",
    "fizz": "Anything carbonated",
    "juice": "Fresh juice and anything watery",
    "syrup": "Syrup of equal parts",
    "rich": "Rich syrup",
    "wine": "Opened wine, vermouth and liqueur wine",
}


def keeping(version: Version) -> tuple[Caution, ...]:
    """How long the ingredients of a version usually keep, what keeps worst first, and that a batch
    keeps no longer than that; nothing where only water, spirits and powders go in."""
    kinds: dict[str, dict[str, None]] = {}
    for part in version.parts:
        kind = _kind(part.ingredient)
        if kind:
            kinds.setdefault(kind, {})[part.ingredient.name] = None
    found = [Caution("keeping", text) for text in _told(kinds)]
    if found:
        worst = next(kind for kind in _LASTS if kind in kinds)
        found.append(
            Caution(
                "keeping",
                f"The batch keeps no longer than its shortest-lived ingredient: {_LASTS[worst]}. "
                "Write the day on the bottle; throw it away at any change of smell, haze or "
                "pressure.",
            )
        )
    return tuple(found)


def _told(kinds: dict[str, dict[str, None]]) -> Iterator[str]:
    for kind, lasts in _LASTS.items():
        if kind in kinds:
            yield f"{_CALLED[kind]} ({listed(tuple(kinds[kind]))}): {lasts}."


def _kind(item: Ingredient) -> str:
    """Which of the kinds an ingredient is; empty for what keeps by itself."""
    strength, sugar = item.alcohol_percent_vol or 0.0, item.sugars_g_per_100g
    if not grows(item) or strength >= _SPIRIT or _keeps_itself(item):
        return "fizz" if (item.co2_g_per_l or 0.0) > STILL_G_PER_L else ""
    if _SPOILS_FIRST & set(item.allergens):
        return "fresh"
    if (item.co2_g_per_l or 0.0) > STILL_G_PER_L:
        return "fizz"
    if strength >= _WINE:
        return "wine"
    return "rich" if sugar >= _RICH else "syrup" if sugar >= _SYRUP else "juice"


def _keeps_itself(item: Ingredient) -> bool:
    """Powders, honey, strong acids, glycerol and vinegar."""
    if item.form == "solid":
        return (item.water_g_per_100g or 0.0) < _WATERY
    return (
        item.sugars_g_per_100g + (item.glycerol_g_per_100g or 0.0) >= _HONEY
        or item.acids_g_per_100g >= _STRONG_ACID
        or (item.acetic_g_per_100g or 0.0) >= _VINEGAR
    )
