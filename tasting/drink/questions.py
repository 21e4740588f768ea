"""What is asked about a version before it is saved: it may be meant, or a slip of the finger."""

from collections.abc import Iterator, Mapping
from typing import Final

from tasting.drink.composition import part_grams
from tasting.drink.formula import Part, Version
from tasting.drink.weighable import is_on_scale, on_scale
from tasting.units import is_mass
from tasting.wording import short

# So many times its parent's amount is more often a slipped comma than meant; a judgement.
_MANY_TIMES: Final = 5


def questions(version: Version, parent: Version | None) -> tuple[str, ...]:
    """Sentences on what may not be meant."""
    return tuple(_against(version, parent))


def _against(version: Version, parent: Version | None) -> Iterator[str]:
    if parent is None:
        return
    if (version.parts, version.servings) == (parent.parts, parent.servings):
        yield f"This version is the same as {parent.label}. Is that intended?"
    before, now = _per_serving(parent), _per_serving(version)
    for key, (name, grams) in now.items():
        if key in before and grams > _MANY_TIMES * before[key][1]:
            times = grams / before[key][1]
            yield f"{name}: {short(times, 2)} times as much as in {parent.label}. Is that intended?"


def _per_serving(version: Version) -> Mapping[str, tuple[str, float]]:
    """Name and grams in a serving, by the key of the ingredient."""
    found: dict[str, tuple[str, float]] = {}
    for part in version.parts:
        key, name = part.ingredient.key, part.ingredient.name
        grams = part_grams(part) / version.servings
        found[key] = (name, found.get(key, ("", 0.0))[1] + grams)
    return found


def unweighable(version: Version, parent: Version | None, step_g: float) -> Iterator[str]:
    """Hints on new amounts by mass that a scale in steps of `step_g` cannot show."""
    known: tuple[Part, ...] = parent.parts if parent else ()
    for part in version.parts:
        grams = part_grams(part)
        if part in known or not is_mass(part.amount.unit) or is_on_scale(grams, step_g):
            continue
        yield (
            f"{part.amount} {part.ingredient.name}: a scale in steps of {short(step_g)} g shows "
            f"{short(on_scale(grams, step_g))} g; use a finer one."
        )
