"""A bench log: a poured glass of a version, and what was added to it and tasted away, step by step.

Taking away leaves every level as it is and makes each later pinch weigh more. Undoing is a step of
its own: it counts as if the last step that still stood had not been made.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Final, Literal

from pydantic import BaseModel, ConfigDict, Field

from tasting.drink.composition import Composition, compose, part_grams
from tasting.drink.formula import Amount, Note, Part, Version
from tasting.drink.pantry import Ingredient, by_hand
from tasting.errors import InputError
from tasting.wording import short

# What is left in the glass has to be enough to compute with, as a share of what was poured.
_LAST_SHARE: Final = 1e-3
_Positive = Annotated[float, Field(gt=0, allow_inf_nan=False)]
_LONGEST_REASON: Final = 2000


class _Step(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Added(_Step):
    """So much of an ingredient went in, and what was tasted then."""

    kind: Literal["added"] = "added"
    part: Part
    note: Note = ""

    def __str__(self) -> str:
        return f"+{self.part.amount} {self.part.ingredient.name}"


class TastedAway(_Step):
    """So many mL were taken out."""

    kind: Literal["tasted away"] = "tasted away"
    volume_ml: _Positive
    note: Note = ""

    def __str__(self) -> str:
        return f"{short(self.volume_ml)} mL tasted away"


class Remark(_Step):
    """Something was noticed, nothing was changed."""

    kind: Literal["remark"] = "remark"
    note: Annotated[Note, Field(min_length=1)]


class Undone(_Step):
    """The last addition or tasting that still stood does not count."""

    kind: Literal["undone"] = "undone"
    note: Note = ""


BenchStep = Annotated[Added | TastedAway | Remark | Undone, Field(discriminator="kind")]


class BenchLog(BaseModel):
    """A version, how much of it was poured, and the steps in the order in which they were made."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    start: Version
    poured_ml: _Positive
    steps: tuple[BenchStep, ...] = ()

    def then(self, step: "Added | TastedAway | Remark | Undone") -> "BenchLog":
        """The log with one more step.

        Raises InputError for undoing where nothing stands, and for taking out more than there is.
        """
        longer = self.model_copy(update={"steps": (*self.steps, step)})
        glass_after(longer)
        return longer


@dataclass(frozen=True, slots=True)
class Glass:
    """What is in the glass: how much of the start's recipe is left, as a share of the recipe, and
    each addition in g, as far as it was not tasted away."""

    of_start: float
    additions: tuple[tuple[Ingredient, float], ...]
    version: Version
    composition: Composition


def standing(
    steps: Sequence[Added | TastedAway | Remark | Undone],
) -> tuple[Added | TastedAway, ...]:
    """The additions and tastings that were not undone.

    Raises InputError for one undoing too many.

    >>> standing([TastedAway(volume_ml=10), Remark(note="flat"), Undone()])
    ()
    """
    left: list[Added | TastedAway] = []
    for step in steps:
        if isinstance(step, Undone):
            if not left:
                raise InputError("there is no step left to undo")
            left.pop()
        elif not isinstance(step, Remark):
            left.append(step)
    return tuple(left)


def glasses(log: BenchLog) -> tuple[Glass, ...]:
    """The glass as poured, and after each step.

    Raises InputError for undoing where nothing stands, and for taking out more than there is.
    """
    return tuple(
        glass_after(log.model_copy(update={"steps": log.steps[:count]}))
        for count in range(len(log.steps) + 1)
    )


def glass_after(log: BenchLog) -> Glass:
    """The glass after all steps. Raises InputError as `glasses` does."""
    share = log.poured_ml / compose(log.start).volume_ml
    additions: list[tuple[Ingredient, float]] = []
    for step in standing(log.steps):
        if isinstance(step, Added):
            additions.append((step.part.ingredient, part_grams(step.part)))
            continue
        volume = compose(_mixed(log.start, share, additions)).volume_ml
        kept = 1 - step.volume_ml / volume
        if kept < _LAST_SHARE:
            raise InputError(
                f"{short(step.volume_ml)} mL cannot be taken out of {short(volume, 3)} mL; give "
                "less, or pour anew"
            )
        share, additions = kept * share, [(item, kept * grams) for item, grams in additions]
    version = _mixed(log.start, share, additions)
    return Glass(share, tuple(additions), version, compose(version))


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
    amount = Amount(quantity=part.amount.quantity * factor, unit=part.amount.unit)
    return Part(ingredient=part.ingredient, amount=amount)


def _of(item: Ingredient, grams: float) -> Part:
    unit, quantity = by_hand(item, grams)
    return Part(ingredient=item, amount=Amount(quantity=quantity, unit=unit))


def saved(log: BenchLog, *, id: str, label: str, created_at: datetime) -> Version:
    """The glass after all steps as a child of the version that it started from: the same recipe,
    and for all of it as much of each addition as is in the glass for what is left of it. The
    steps are its reason.

    Raises InputError where no addition stands.
    """
    glass = glass_after(log)
    if not glass.additions:
        raise InputError("nothing was added that still stands, so there is nothing to save")
    scaled = [(item, grams / glass.of_start) for item, grams in glass.additions]
    return log.start.child(
        id=id,
        label=label,
        reason=reason(log),
        created_at=created_at,
        parts=_mixed(log.start, 1.0, scaled).parts,
    )


def reason(log: BenchLog) -> str:
    """The steps that stand, and all notes, in words."""
    steps = ", ".join(map(str, standing(log.steps)))
    said = f"At the bench, into {short(log.poured_ml)} mL: {steps}"
    notes = " ".join(step.note.strip() for step in log.steps if step.note.strip())
    whole = f"{said}. {notes}".strip() if notes else said
    return whole if len(whole) <= _LONGEST_REASON else f"{whole[: _LONGEST_REASON - 1]}…"
