"""What is asked of an adjustment, and its moves as a table: pure functions, no page."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from tasting.drink import words
from tasting.drink.adjust import Adjustment, Move
from tasting.drink.composition import Composition
from tasting.drink.formula import Version
from tasting.drink.label import Reference
from tasting.drink.mixture import NAMES
from tasting.drink.weighable import COSTS
from tasting.errors import InputError
from tasting.wording import short

FREE, HELD, TO, BY, LIKE = KINDS = (
    "free",
    "held",
    "to a value",
    "by a difference",
    "like the reference",
)
GOALS = ("ta_g_per_l", "sugar_g_per_l", "alcohol_percent_vol", "energy_kcal_per_l", "volume_ml")
"""What may be a goal, or held; single moves aim at the first goal in this order."""

_ABOUT = 0.02
_HELD_SHARE = 0.01
"""How far a held figure may move either way, as a share of it; a judgement."""

_ALWAYS_OFFERED = ("citric-acid", "lemon-juice", "sugar", "water")
_EFFECTS = (
    "ta_g_per_l",
    "ph",
    "sugar_g_per_l",
    "sweetness_g_per_l",
    "alcohol_percent_vol",
    "energy_kcal_per_l",
    "co2_g_per_l",
    "density_kg_per_l",
)
MOVE, REACHED, BEST = "Move", "Goals reached", "Best combination"


@dataclass(frozen=True, slots=True)
class AdjustmentGoal:
    """What is wanted of one figure, and the value or the difference where the kind needs one."""

    kind: str
    number: float | None = None


def asked(
    wishes: Mapping[str, AdjustmentGoal], before: Composition, reference: Reference | None = None
) -> tuple[dict[str, float], dict[str, float]]:
    """The goals, and how far each held figure may move.

    Raises InputError when a number or a value of the reference is missing, or nothing is a goal.
    """
    goals, hold = {}, {}
    for figure, wish in wishes.items():
        if wish.kind == HELD:
            hold[figure] = _HELD_SHARE * before.known(figure)
        elif wish.kind != FREE:
            goals[figure] = _goal(figure, wish, before.known(figure), reference)
    if not goals:
        raise InputError("no target is set yet; set one for at least one figure")
    return goals, hold


def _goal(figure: str, wish: AdjustmentGoal, now: float, reference: Reference | None) -> float:
    name = NAMES[figure].name
    if wish.kind == LIKE:
        known = like(figure, reference)
        if known is None:
            raise InputError(f"the {name} of the reference is not known; give a value instead")
        return known
    if wish.number is None:
        raise InputError(f"the number for {name} is missing; fill it in or leave it free")
    goal = wish.number if wish.kind == TO else now + wish.number
    if goal < 0:
        raise InputError(f"{name} cannot be {short(goal, 3)}; take away less")
    return goal


def like(figure: str, reference: Reference | None) -> float | None:
    """The figure of a reference, None where it is not known."""
    known = getattr(reference, figure, None)
    return None if known is None else float(known)


def usual_kind(figure: str, now: float, known: float | None) -> str:
    """What to begin with: the acidity goes to the reference's, or, where it is about there or the
    reference says nothing, by a difference; everything else is free."""
    if figure != GOALS[0]:
        return FREE
    return BY if known is None or abs(known - now) <= _ABOUT * now else LIKE


def usually_allowed(version: Version, names: Mapping[str, str]) -> list[str]:
    """Names of the ingredients to begin with: what is in the drink, and what commonly moves acid
    and sugar. `names` are the names on offer, by key."""
    own = [part.ingredient.name for part in version.parts]
    more = [names[key] for key in _ALWAYS_OFFERED if key in names]
    return list(dict.fromkeys([*own, *more]))


def _numbered(found: Adjustment) -> dict[str, Move]:
    """The moves by the names that they have in the table: 1, 2, 3, ... and the best combination."""
    moves = {str(number): move for number, move in enumerate(found.singles, 1)}
    return moves | {BEST: found.combined}


def to_keep(found: Adjustment) -> dict[str, Move]:
    """The moves that change anything: the best combination first where it reaches the goals, and
    not at all where it is one of the others."""
    moves = {name: move for name, move in _numbered(found).items() if move.changes}
    if _same_as(found):
        moves.pop(BEST)
    elif BEST in moves and found.combined.reached:
        return {BEST: found.combined} | moves
    return moves


def _same_as(found: Adjustment) -> str | None:
    """The number of the single move that the best combination is, if it is one."""
    best = [(change.key, words.changed(change)) for change in found.combined.changes]
    for number, move in enumerate(found.singles, 1):
        if [(change.key, words.changed(change)) for change in move.changes] == best:
            return str(number)
    return None


def moves_table(found: Adjustment, servings: float) -> pd.DataFrame:
    """All moves: amounts, and what they do to every figure (the figure after, and the change)."""
    several = servings != 1
    rows = [
        {
            MOVE: name,
            "Per serving": words.move(move, "serving"),
            **({"Per batch": words.move(move)} if several else {}),
            REACHED: _reached(move),
            **{title(figure): words.effects(figure, move) for figure in _EFFECTS},
            "Volume of a serving, mL": words.effects("volume_ml", move, servings),
        }
        for name, move in _numbered(found).items()
    ]
    return pd.DataFrame(rows)


def _reached(move: Move) -> str:
    if not move.reached:
        return "no, see below"
    return "nearly, see below" if COSTS in move.rounding else "yes"


def title(figure: str) -> str:
    """Name and unit of a figure, as a heading."""
    name = words.short_name(figure)
    head = name if name == "pH" else name[:1].upper() + name[1:]
    unit = NAMES[figure].unit
    return f"{head}, {unit}" if unit else head


def remarks(found: Adjustment) -> Iterator[str]:
    """Sentences on the moves that do not reach the goals, do not hold what should be held, or take
    something out; and on what it costs that the amounts are weighable."""
    twin = _same_as(found)
    for name, move in _numbered(found).items():
        said = [move.why, words.broken(move), words.taken_out(move), move.rounding]
        if name == BEST and twin:
            said = [f"the same as move {twin}."]
        if any(said):
            yield f"{name if name == BEST else f'Move {name}'}: {' '.join(filter(None, said))}"


def useless(found: Adjustment, allowed: Sequence[str]) -> list[str]:
    """Names of what is allowed and has no move of its own: alone it only leads away."""
    used = {change.name for move in found.singles for change in move.changes}
    return [name for name in allowed if name not in used]
