"""A bench log: a poured glass of a version, and what was added to it and tasted away, step by step.

Taking away leaves every level as it is and makes each later pinch weigh more. Undoing is a step of
its own: it counts as if the last step that still stood had not been made, which mends the log and
not the glass. Additions are reckoned at 20 °C and degassed, as every composition is.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Annotated, Final, Literal

import numpy as np
from pydantic import BaseModel, ConfigDict, Field

from tasting.drink import content
from tasting.drink.alcohol import ETHANOL_G_PER_ML
from tasting.drink.arrays import Floats
from tasting.drink.composition import compose, part_grams
from tasting.drink.formula import Amount, Id, Note, Part, Version
from tasting.drink.mixture import volume_ml
from tasting.drink.pantry import Ingredient, Name, by_hand
from tasting.drink.weighable import on_scale
from tasting.errors import InputError
from tasting.units import is_mass
from tasting.wording import millilitres

LEAST_POURED_ML, MOST_POURED_ML = 5.0, 10_000.0
# Less than this nobody can taste, and no pinch can be told in it.
_LEAST_LEFT_ML: Final = 1.0
_LEAST_ADDED_G: Final = 1e-5
# A saved amount that the bench changed has so many digits: rounding is below 0.05 % of it.
_DIGITS: Final = 4
_LONGEST_REASON: Final = 2000


class _Step(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Added(_Step):
    """So much of an ingredient went in; its figures stay as they were then."""

    kind: Literal["added"] = "added"
    part: Part

    def __str__(self) -> str:
        return f"+{self.part.amount} {self.part.ingredient.name}"


class TastedAway(_Step):
    """So many mL were taken out."""

    kind: Literal["tasted away"] = "tasted away"
    volume_ml: Annotated[float, Field(gt=0, allow_inf_nan=False)]

    def __str__(self) -> str:
        return f"{millilitres(self.volume_ml)} tasted away"


class Tasted(_Step):
    """What was noticed of the glass as it is; it changes nothing."""

    kind: Literal["tasted"] = "tasted"
    note: Annotated[Note, Field(min_length=1)]


class Undone(_Step):
    """The last addition or tasting that still stood does not count."""

    kind: Literal["undone"] = "undone"


class SavedAs(_Step):
    """The glass after so many steps became a version."""

    kind: Literal["saved"] = "saved"
    version_id: Id
    label: Name
    after: Annotated[int, Field(ge=0)]


BenchStep = Added | TastedAway | Tasted | Undone | SavedAs


class BenchLog(BaseModel):
    """A version, how much of it was poured, and the steps in the order in which they were made."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    start: Version
    poured_ml: Annotated[float, Field(ge=LEAST_POURED_ML, le=MOST_POURED_ML)]
    steps: tuple[Annotated[BenchStep, Field(discriminator="kind")], ...] = ()

    def then(self, step: BenchStep) -> "BenchLog":
        """The log with one more step.

        Raises InputError for undoing where nothing stands, for taking out more than there is, and
        for less than anybody can weigh.
        """
        longer = self.model_copy(update={"steps": (*self.steps, step)})
        glasses(longer)
        return longer

    def up_to(self, count: int) -> "BenchLog":
        """The log as it was after its first `count` steps."""
        return self.model_copy(update={"steps": self.steps[:count]})


@dataclass(frozen=True, slots=True)
class Glass:
    """What is in the glass: the share of the start's recipe that is left, and of each addition the
    g that are, as far as they were not tasted away.

    volume_ml: of all of it
    """

    start: Version
    of_start: float
    additions: tuple[tuple[Ingredient, float], ...]
    volume_ml: float

    @property
    def version(self) -> Version:
        """It as a version to compute with, under the id and the name of its start."""
        return _mixed(self.start, self.of_start, self.additions)


def glasses(log: BenchLog) -> tuple[Glass, ...]:
    """The glass as poured, and after each step.

    Raises InputError for undoing where nothing stands, for taking out more than there is, and for
    less than anybody can weigh.
    """
    recipe = _brought((part.ingredient, part_grams(part)) for part in log.start.parts)
    share = log.poured_ml / float(volume_ml(recipe))
    standing = [Glass(log.start, share, (), log.poured_ml)]
    seen = [standing[0]]
    for step in log.steps:
        if isinstance(step, Undone):
            if len(standing) == 1:
                raise InputError("no step is left to undo; the glass is as it was poured")
            standing.pop()
        elif isinstance(step, Added):
            standing.append(_with(standing[-1], step.part, recipe))
        elif isinstance(step, TastedAway):
            standing.append(_without(standing[-1], step.volume_ml))
        seen.append(standing[-1])
    return tuple(seen)


def _brought(masses: Iterable[tuple[Ingredient, float]]) -> Floats:
    """What so many g of each bring, in the columns of `content`."""
    rows = [grams * content.content(item) for item, grams in masses]
    totals: Floats = np.sum(rows, axis=0)
    return totals


def _with(before: Glass, part: Part, recipe: Floats) -> Glass:
    """The glass with a part more. Raises InputError for less than anybody can weigh."""
    grams, item = part_grams(part), part.ingredient
    if grams < _LEAST_ADDED_G:
        raise InputError(f"{part.amount} is less than a scale can show; check the number")
    at = next((at for at, (known, _) in enumerate(before.additions) if known == item), None)
    additions = list(before.additions)
    if at is None:
        additions.append((item, grams))
    else:
        additions[at] = (item, additions[at][1] + grams)
    totals = before.of_start * recipe + _brought(additions)
    return Glass(before.start, before.of_start, tuple(additions), float(volume_ml(totals)))


def _without(before: Glass, tasted_ml: float) -> Glass:
    """The glass with so many mL less. Raises InputError where too little is left."""
    left = before.volume_ml - tasted_ml
    if left < _LEAST_LEFT_ML:
        raise InputError(
            f"{millilitres(tasted_ml)} cannot be taken out of {millilitres(before.volume_ml)}; "
            "give less, or pour another glass"
        )
    kept = left / before.volume_ml
    additions = tuple((item, kept * grams) for item, grams in before.additions)
    return Glass(before.start, kept * before.of_start, additions, left)


def _mixed(start: Version, share: float, additions: Sequence[tuple[Ingredient, float]]) -> Version:
    """So large a share of a version with what was added: in the line of the same ingredient where
    there is one, else in one of its own."""
    parts = [_times(part, share) for part in start.parts]
    for item, grams in additions:
        line = next((at for at, part in enumerate(parts) if part.ingredient == item), None)
        if line is None:
            parts.append(_of(item, grams))
        else:
            parts[line] = _times(parts[line], 1 + grams / part_grams(parts[line]))
    return start.model_copy(update={"parts": tuple(parts)})


def _times(part: Part, factor: float) -> Part:
    if factor == 1:
        return part
    amount = Amount(quantity=part.amount.quantity * factor, unit=part.amount.unit)
    return Part(ingredient=part.ingredient, amount=amount)


def _of(item: Ingredient, grams: float) -> Part:
    unit, quantity = by_hand(item, grams)
    return Part(ingredient=item, amount=Amount(quantity=quantity, unit=unit))


def standing(steps: Sequence[BenchStep]) -> tuple[int, ...]:
    """The places, from 0, of the additions and tastings that were not undone.

    Raises InputError for one undoing too many.

    >>> standing([TastedAway(volume_ml=10), Tasted(note="flat"), Undone(), TastedAway(volume_ml=5)])
    (3,)
    """
    left: list[int] = []
    for place, step in enumerate(steps):
        if isinstance(step, Undone):
            if not left:
                raise InputError("no step is left to undo; the glass is as it was poured")
            left.pop()
        elif isinstance(step, Added | TastedAway):
            left.append(place)
    return tuple(left)


def tasted_ethanol_g(log: BenchLog) -> float:
    """Ethanol in g of all that was tasted away, if it was swallowed; where the strength cannot be
    computed, the most that it may be. Raises InputError as `glasses` does."""
    before, stand = glasses(log), standing(log.steps)
    return sum(
        step.volume_ml / 100 * _percent_vol(before[place].version) * ETHANOL_G_PER_ML
        for place, step in enumerate(log.steps)
        if place in stand and isinstance(step, TastedAway)
    )


def _percent_vol(version: Version) -> float:
    made = compose(version)
    known = made.alcohol_percent_vol
    return made.at_most("alcohol_percent_vol") if known is None else known


def saved(
    log: BenchLog,
    *,
    id: str,
    label: str,
    reason: str,
    created_at: datetime,
    same_volume: bool = False,
    scale_step_g: float | None = None,
) -> Version:
    """The glass after all steps as a child of the version that it started from, for as many
    servings: the start's own amounts, and for all of them as much of each addition as is in the
    glass for what is left of them. What the bench changed is rounded to four digits.

    same_volume: whether all amounts are scaled, so that a serving is as large as the start's
    scale_step_g: what the bench changed by mass is rounded to this step of a scale, where it shows
        anything of it
    Raises InputError where no addition stands, and for no label or reason.
    """
    glass = glasses(log)[-1]
    if not glass.additions:
        raise InputError("nothing was added that still stands; add something, then save it")
    if not reason.strip():
        raise InputError("the reason is missing; say in a few words what was changed and why")
    if not label.strip():
        raise InputError("the version has no name; give it a short one, such as v4")
    whole = _mixed(
        log.start, 1.0, [(item, grams / glass.of_start) for item, grams in glass.additions]
    )
    # All of the start's recipe has the volume of what was poured over the share that was.
    full_ml = log.poured_ml / glasses(log)[0].of_start
    factor = full_ml * glass.of_start / glass.volume_ml if same_volume else 1.0
    exact = [_times(part, factor) for part in whole.parts]
    parts = [
        _rounded(part, scale_step_g) if part not in log.start.parts else part for part in exact
    ]
    return log.start.child(
        id=id,
        label=label.strip(),
        reason=reason.strip(),
        created_at=created_at,
        parts=tuple(parts),
    )


def _rounded(part: Part, scale_step_g: float | None) -> Part:
    """A part with as many digits as anybody can measure, or as a scale shows."""
    unit, quantity = part.amount.unit, part.amount.quantity
    shown = on_scale(part_grams(part), scale_step_g) if scale_step_g and is_mass(unit) else 0.0
    if shown:
        unit, quantity = "g", shown
    amount = Amount(quantity=float(f"{quantity:.{_DIGITS}g}"), unit=unit)
    return Part(ingredient=part.ingredient, amount=amount)


def reason(log: BenchLog, why: str = "") -> str:
    """Why, in the maker's words, the steps that stand, and all notes."""
    done = "; ".join(_counted(str(log.steps[place]) for place in standing(log.steps)))
    notes = "; ".join(step.note.strip() for step in log.steps if isinstance(step, Tasted))
    said = [
        why.strip().rstrip("."),
        f"At the bench, {millilitres(log.poured_ml)} poured: {done}",
        f"Notes: {notes}" if notes else "",
    ]
    whole = ". ".join(filter(None, said))
    return whole if len(whole) <= _LONGEST_REASON else f"{whole[: _LONGEST_REASON - 1]}…"


def _counted(steps: Iterator[str]) -> Iterator[str]:
    """The same step several times in a row is said once."""
    for said, alike in groupby(steps):
        times = len(list(alike))
        yield said if times == 1 else f"{times} × {said}"
