"""Moves in amounts that a scale can show, and what the rounding costs."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from tasting.drink.adjust import Adjustment, Change, Move, change_of
from tasting.drink.composition import compose, part_grams
from tasting.drink.formula import Amount, Part, Version
from tasting.drink.mixture import FIGURES, NAMES
from tasting.drink.pantry import by_hand
from tasting.errors import InputError
from tasting.units import METRIC, grams
from tasting.wording import percent, short

USUAL_STEP_G: Final = 0.1
"""The step of a common kitchen scale, g; common practice, no source."""
COSTS: Final = "Rounding costs:"
"""How the sentence begins that says by how much rounding misses a goal."""
_FINEST_G, _COARSEST_G = 1e-4, 100.0
# A multiple of the step to within this share of it is one.
_ON_STEP: Final = 1e-6
# An amount that half a step of the scale moves by more than this is called rough.
_ROUGH: Final = 0.05


def checked_step(step_g: float) -> float:
    """The step of a scale in g. Raises InputError for one that no scale has."""
    if not _FINEST_G <= step_g <= _COARSEST_G:
        raise InputError(
            f"a scale in steps of {short(step_g)} g is not usual; give "
            f"{short(_FINEST_G)}–{short(_COARSEST_G)} g"
        )
    return step_g


def on_scale(quantity: float, step: float) -> float:
    """The nearest multiple of the step, in the same unit.

    >>> on_scale(0.5122, 0.1), on_scale(0.04, 0.1)
    (0.5, 0.0)
    """
    return float(f"{round(quantity / step) * step:.10g}")


def is_on_scale(quantity: float, step: float) -> bool:
    """Whether a quantity is a multiple of the step.

    >>> is_on_scale(0.3, 0.1), is_on_scale(0.5122, 0.1)
    (True, False)
    """
    steps = quantity / step
    return abs(steps - round(steps)) <= _ON_STEP * max(1.0, steps)


def rounded(version: Version, adjustment: Adjustment, step_g: float) -> Adjustment:
    """The same moves in amounts that a scale of this step (g) shows; liquids, of which a mL weighs
    about 1 g, in as many mL. Raises InputError for a step that no scale has."""
    step = checked_step(step_g)
    singles = tuple(_rounded(version, adjustment, move, step) for move in adjustment.singles)
    return replace(
        adjustment,
        singles=singles,
        combined=_rounded(version, adjustment, adjustment.combined, step),
    )


def _rounded(version: Version, adjustment: Adjustment, move: Move, step: float) -> Move:
    if not move.changes:
        return move
    moved = {change.key for change in move.changes}
    parts = tuple(part for old in move.parts if (part := _weighed(old, moved, step, version.parts)))
    if not parts:
        return replace(move, rounding=f"Nothing would be left at steps of {short(step)} g.")
    after = compose(version.model_copy(update={"parts": parts}))
    changes = tuple(_changes(version, move, parts))
    said = [*_missed(adjustment, move, after), *_rough(changes, step), *_lost(move, changes, step)]
    return replace(
        move,
        parts=parts,
        after=after,
        changes=changes,
        effects={name: change_of(adjustment.before, after, name) for name in FIGURES},
        rounding=" ".join(said)
        or f"Rounding to {short(step)} g changes none of the figures as shown.",
    )


def _weighed(part: Part, moved: set[str], step: float, before: Sequence[Part]) -> Part | None:
    """A part whose amount is new, to the step and in g or mL; None where the scale shows 0."""
    if part.ingredient.key not in moved or part in before:
        return part
    unit, quantity = by_hand(part.ingredient, part_grams(part))
    shown = on_scale(quantity, step)
    if not shown:
        return None
    amount = Amount(quantity=shown, unit=unit)
    if part.amount.unit in METRIC:
        each = grams(1.0, part.amount.unit, 1.0) / grams(1.0, unit, 1.0)
        same_kind = (part.amount.unit in ("g", "mg", "kg")) == (unit == "g")
        if same_kind:
            amount = Amount(quantity=float(f"{shown / each:.10g}"), unit=part.amount.unit)
    return Part(ingredient=part.ingredient, amount=amount)


def _changes(version: Version, move: Move, parts: Sequence[Part]) -> Iterator[Change]:
    """What is more or less of each changed ingredient than before."""
    items = {part.ingredient.key: part.ingredient for part in (*version.parts, *move.parts)}
    for old in move.changes:
        more = sum(
            sign * part_grams(part)
            for sign, these in ((1, parts), (-1, version.parts))
            for part in these
            if part.ingredient.key == old.key
        )
        unit, quantity = by_hand(items[old.key], more)
        quantity = float(f"{quantity:.10g}")
        if abs(more) > _ON_STEP:
            yield Change(old.key, old.name, unit, quantity, quantity / version.servings, more)


def _missed(adjustment: Adjustment, move: Move, after: object) -> Iterator[str]:
    """By how much the goals are missed for the rounding alone."""
    missed = [
        f"{NAMES[goal].name} {rough} instead of {exact}"
        for goal in adjustment.goals
        if (rough := NAMES[goal].write(getattr(after, goal)))
        != (exact := NAMES[goal].write(getattr(move.after, goal)))
    ]
    if missed:
        yield f"{COSTS} {', '.join(missed)}."


def _rough(changes: Sequence[Change], step: float) -> Iterator[str]:
    """Which amounts are so small that half a step of the scale matters."""
    for change in changes:
        share = step / 2 / abs(change.per_batch)
        if share > _ROUGH:
            yield (
                f"{short(abs(change.per_batch), 4)} {change.unit} {change.name} is good to "
                f"{percent(share)} on this scale."
            )


def _lost(move: Move, changes: Sequence[Change], step: float) -> Iterator[str]:
    """Which amounts are too small for the scale to show."""
    kept = {change.key for change in changes}
    for old in move.changes:
        if old.key not in kept:
            yield (
                f"{short(abs(old.per_batch), 2)} {old.unit} {old.name} is too little for a scale "
                f"in steps of {short(step)} g; make a larger batch, or weigh it from a solution."
            )
