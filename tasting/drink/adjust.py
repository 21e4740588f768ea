"""Which pinch? How much of which ingredient moves a drink to a goal, and what else it changes.

Each allowed ingredient alone first: its amount is the nearest root of the true figure. Then the
best combination within what is held and allowed (see `programme`).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Final, Self

import numpy as np
from pydantic import BaseModel, BeforeValidator, ConfigDict, model_validator

from tasting.drink.arrays import Floats
from tasting.drink.composition import Composition, compose, part_grams
from tasting.drink.formula import Amount, Part, Version, from_pantry
from tasting.drink.label import Reference
from tasting.drink.linear_program import Band, Solution, best_combination
from tasting.drink.mixture import FIGURES, NAMES
from tasting.drink.pantry import Ingredient, by_hand
from tasting.drink.response import Response
from tasting.errors import InputError
from tasting.units import OUNCE, grams

# How near to a goal, relative to it, counts as reached; how far beyond a band as broken.
_THERE: Final = 1e-4
# Less than a microgram is no amount.
_LEAST_G: Final = 1e-6
# Of a solid so much may go into the batch, as a share of it; beyond, it would not dissolve.
_MOST_SOLID: Final = 0.2
# A move that takes away less of the distance to the goal than this is no move.
_NO_EFFECT: Final = 1e-4
# Something always stays in the glass, or there would be no concentration to speak of.
_ALMOST_ALL: Final = 1 - 1e-9


class Allowed(BaseModel):
    """An ingredient that may be added, or taken out as far as it is in. At most so much of it is
    added to the batch; None means as much as the batch weighs, of a solid a fifth of that."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    ingredient: Annotated[Ingredient, BeforeValidator(from_pantry)]
    most: Amount | None = None

    @model_validator(mode="after")
    def _ounces_settled(self) -> Self:
        if self.most is not None and self.most.unit == OUNCE:
            object.__setattr__(self, "most", self.most.of(self.ingredient.form))
        return self


@dataclass(frozen=True, slots=True)
class Change:
    """So much more (negative: less) of an ingredient, in mL of a liquid or g of a solid."""

    key: str
    name: str
    unit: str
    per_batch: float
    per_serving: float
    grams_per_batch: float


@dataclass(frozen=True, slots=True)
class Move:
    """Changes that belong together, what the drink then is, and what they do to each figure.

    `effects` is after less before. Where the goals are not `reached`, the move is the nearest one
    and `why` says in a sentence what stands in the way. `breaks` says which figures that should be
    held are not. `rounding` says what it costs that the amounts are weighable (see `weighable`).
    """

    changes: tuple[Change, ...]
    parts: tuple[Part, ...]
    after: Composition
    effects: Mapping[str, float]
    reached: bool
    why: str
    breaks: tuple[str, ...]
    rounding: str = ""

    def child(
        self, version: Version, *, id: str, label: str, reason: str, created_at: datetime
    ) -> Version:
        """The move as a child of the version that it was computed for."""
        return version.child(
            id=id, label=label, reason=reason, created_at=created_at, parts=self.parts
        )


@dataclass(frozen=True, slots=True)
class Adjustment:
    """Every single-ingredient move that has an effect, those that reach the goals first and the
    smaller before the larger, and the best combined one."""

    before: Composition
    goals: Mapping[str, float]
    singles: tuple[Move, ...]
    combined: Move


@dataclass(frozen=True, slots=True)
class _Task:
    version: Version
    before: Composition
    goals: Mapping[str, float]
    bands: Mapping[str, Band]
    allowed: tuple[Ingredient, ...]
    response: Response


def goals_of(reference: Reference) -> dict[str, float]:
    """Goals that make a version like the reference: acidity, sugar and alcohol, where known."""
    known = {
        "ta_g_per_l": reference.ta_g_per_l,
        "sugar_g_per_l": reference.sugar_g_per_l,
        "alcohol_percent_vol": reference.alcohol_percent_vol,
    }
    return {figure: value for figure, value in known.items() if value is not None}


def adjust(
    version: Version,
    goals: Mapping[str, float],
    allowed: Sequence[Allowed],
    *,
    hold: Mapping[str, float] | None = None,
) -> Adjustment:
    """Moves that bring a version to its goals.

    goals: figure ("ta_g_per_l", "volume_ml" of the batch, any of mixture.FIGURES) to the value
    wanted; single moves aim at the first. hold: figure to how far it may move either way.
    Raises InputError for no goal, nothing allowed, an unknown figure, or one both wanted and held.
    """
    held = dict(hold or {})
    _check(goals, allowed, held)
    before = compose(version)
    _check_computable(version, before, [*goals, *held], allowed)
    bands = {
        name: Band(before.known(name) - room, before.known(name) + room)
        for name, room in held.items()
    }
    items = tuple(item.ingredient for item in allowed)
    task = _Task(version, before, goals, bands, items, _response(version, allowed))
    singles = [move for index in range(len(items)) if (move := _single(task, index))]
    singles.sort(key=lambda move: (not move.reached, _size_g(move)))
    return Adjustment(before, dict(goals), tuple(singles), _combined(task))


def _size_g(move: Move) -> float:
    return sum(abs(change.grams_per_batch) for change in move.changes)


def _check(
    goals: Mapping[str, float], allowed: Sequence[Allowed], hold: Mapping[str, float]
) -> None:
    if not goals or not allowed:
        raise InputError("an adjustment needs at least one goal and one ingredient that may change")
    for figure, value in [*goals.items(), *hold.items()]:
        if figure not in FIGURES:
            raise InputError(f"unknown figure {figure!r}; use one of: {', '.join(FIGURES)}")
        if not (np.isfinite(value) and value >= 0):
            raise InputError(f"{NAMES[figure].name} cannot be {value:g}; give 0 or more")
    for figure in set(goals) & set(hold):
        raise InputError(f"{NAMES[figure].name} is both a goal and held; choose one")
    items = [item.ingredient for item in allowed]
    for item in items:
        if items.count(item) > 1:
            raise InputError(f"{item.key} is allowed twice; list it once")


def _check_computable(
    version: Version, before: Composition, figures: Sequence[str], allowed: Sequence[Allowed]
) -> None:
    """What is wanted or held can be computed, now and whatever is added."""
    for figure in figures:
        before.known(figure)
        for may in allowed:
            part = Part(ingredient=may.ingredient, amount=Amount(quantity=1.0, unit="g"))
            compose(version.model_copy(update={"parts": (part,)})).known(figure)


def _response(version: Version, allowed: Sequence[Allowed]) -> Response:
    items, batch = [may.ingredient for may in allowed], sum(map(part_grams, version.parts))
    present = np.array([_present_g(version.parts, item) for item in items])
    most = np.array([_most_g(may, batch) for may in allowed])
    return Response.of(version, items, -_ALMOST_ALL * present, most)


def _present_g(parts: Sequence[Part], item: Ingredient) -> float:
    return sum((part_grams(part) for part in parts if part.ingredient == item), 0.0)


def _most_g(may: Allowed, batch_g: float) -> float:
    if may.most is None:
        return batch_g if may.ingredient.form == "liquid" else _MOST_SOLID * batch_g
    return grams(may.most.quantity, may.most.unit, may.ingredient.density_kg_per_l)


def _single(task: _Task, index: int) -> Move | None:
    """The move with one ingredient alone, the nearest where none arrives; None if it only leads
    away from the goal, or the drink is there already."""
    figure, goal = next(iter(task.goals.items()))
    direction = np.eye(len(task.allowed))[index]
    amount = float(task.response.reaching(index, figure, np.array([goal]))[0])
    if np.isfinite(amount):
        return _move(task, amount * direction, "") if amount else None
    tried = task.response.tried(index)
    left_over = np.abs(task.response.alone(index, tried, figure) - goal)
    amount = float(tried[int(left_over.argmin())])
    if left_over.min() > (1 - _NO_EFFECT) * float(left_over[tried == 0.0][0]):
        return None
    name, done = task.allowed[index].name, "added" if amount > 0 else "taken out"
    return _move(task, amount * direction, f"no more {name} may be {done}")


def _combined(task: _Task) -> Move:
    answer = best_combination(task.response, task.goals, task.bands)
    return _move(task, answer.amounts_g, " and ".join(_binding(task, answer)))


def _binding(task: _Task, answer: Solution) -> list[str]:
    names = [item.name for item in task.allowed]
    return [
        *(f"no more {names[index]} may be added" for index in answer.at_most),
        *(f"there is no more {names[index]} to take out" for index in answer.at_least),
        *(f"{NAMES[figure].name} is held" for figure in answer.held),
    ]


def _move(task: _Task, amounts_g: Floats, binding: str) -> Move:
    parts = _parts(task, amounts_g)
    after = compose(task.version.model_copy(update={"parts": parts}))
    missed = [
        f"{NAMES[figure].name} {NAMES[figure].write(getattr(after, figure))} instead of "
        f"{NAMES[figure].write(goal)}"
        for figure, goal in task.goals.items()
        if abs(getattr(after, figure) - goal) > _THERE * max(goal, _THERE)
    ]
    because = binding or "something else has to change as well"
    return Move(
        changes=_changes(task, amounts_g),
        parts=parts,
        after=after,
        effects={f: change_of(task.before, after, f) for f in FIGURES},
        reached=not missed,
        why=f"The nearest is {', '.join(missed)}: {because}." if missed else "",
        breaks=_broken(task, after),
    )


def change_of(before: Composition, after: Composition, figure: str) -> float:
    """After less before; NaN where one of them cannot be computed."""
    if figure in before.unknown or figure in after.unknown:
        return float("nan")
    return after.known(figure) - before.known(figure)


def _broken(task: _Task, after: Composition) -> tuple[str, ...]:
    room = {name: _THERE * max(abs(band.high), _THERE) for name, band in task.bands.items()}
    return tuple(
        name
        for name, band in task.bands.items()
        if not band.low - room[name] <= getattr(after, name) <= band.high + room[name]
    )


def _changes(task: _Task, amounts_g: Floats) -> tuple[Change, ...]:
    return tuple(
        _change(item, amount, task.version.servings)
        for item, amount in zip(task.allowed, amounts_g.tolist(), strict=True)
        if abs(amount) > _LEAST_G
    )


def _change(item: Ingredient, amount_g: float, servings: float) -> Change:
    unit, quantity = by_hand(item, amount_g)
    return Change(item.key, item.name, unit, quantity, quantity / servings, amount_g)


def _parts(task: _Task, amounts_g: Floats) -> tuple[Part, ...]:
    """The parts after the move: what is in already grows or shrinks in its own unit, the rest is
    added at the end. An ingredient is in already only with the very same figures."""
    parts = list(task.version.parts)
    for item, amount in zip(task.allowed, amounts_g.tolist(), strict=True):
        present = _present_g(parts, item)
        if abs(amount) <= _LEAST_G:
            continue
        if present and present + amount <= _LEAST_G:
            # Scaled down, what is left could be less than any amount that may be written.
            parts = [p for p in parts if p.ingredient != item] or parts
        elif present:
            parts = [_scaled(p, 1 + amount / present) if p.ingredient == item else p for p in parts]
        else:
            unit, quantity = by_hand(item, amount)
            parts.append(Part(ingredient=item, amount=Amount(quantity=quantity, unit=unit)))
    kept = [part for part in parts if part_grams(part) > _LEAST_G]
    return tuple(kept or parts)


def _scaled(part: Part, factor: float) -> Part:
    amount = Amount(quantity=part.amount.quantity * factor, unit=part.amount.unit)
    return Part(ingredient=part.ingredient, amount=amount)
