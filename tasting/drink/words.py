"""What was computed, in words: amounts, intervals, matches with a label, and moves."""

from typing import Final, Literal

from tasting.drink.adjust import Adjustment, Change, Move
from tasting.drink.cost import Cost
from tasting.drink.declared import LabelInterval
from tasting.drink.label import Match
from tasting.drink.mixture import NAMES, NOT_COMPUTABLE
from tasting.drink.uncertainty import Spread
from tasting.wording import UNKNOWN, decimals, interval, number, short, three_digits

LABELLED: Final = {
    "alcohol_percent_vol": "Alcohol",
    "energy_kcal_per_100ml": "Energy",
    "sugar_g_per_100ml": "Sugar",
    "ta_g_per_l": "TA",
    "ph": "pH",
    "brix": "Refractometer",
    "density_kg_per_l": "Density",
    "co2_g_per_l": "CO₂",
}
MEASURED: Final = frozenset({"ta_g_per_l", "ph", "brix"})
"""What no label prints."""
TOO_UNCERTAIN: Final = "too uncertain to say"
Size = Literal["batch", "serving"]
TA_MEANS: Final = "TA: titratable acidity as anhydrous citric acid, to pH 8.1."


def short_name(figure: str) -> str:
    """The name of a figure where there is little room."""
    return "TA" if figure == "ta_g_per_l" else NAMES[figure].name


def likely(figure: str, spread: Spread) -> str:
    """An interval without its unit; a dash where nothing is known of how sure the figure is.

    >>> likely("ta_g_per_l", Spread(4.7, 7.0, "rhubarb juice", 0.87))
    '4.70–7.00'
    """
    if spread.main is None:
        return UNKNOWN
    return interval(max(spread.low, 0), spread.high, NAMES[figure].bare)


def value_name(match: Match) -> str:
    """What was printed or measured, with its unit."""
    return f"{LABELLED[match.figure]}, {match.unit}".rstrip(", ")


def meant(match: Match, means: LabelInterval) -> str:
    """An interval of a match without its unit; of a density with all that a hydrometer shows."""
    dense = match.figure == "density_kg_per_l"
    return interval(means.low, means.high, NAMES[match.figure].bare if dense else three_digits)


def verdict(match: Match) -> str:
    """Whether the composition could print as this label value, and if not, by how much."""
    if match.verdict == "inside":
        return "inside"
    if match.verdict == "not decidable":
        return TOO_UNCERTAIN
    side = "above" if match.by > 0 else "below"
    said = "the measured range" if match.figure in MEASURED else "the label's range"
    return f"at least {number(abs(match.by))} {match.unit}".rstrip() + f" {side} {said}"


def tolerated(match: Match) -> str:
    """Whether the computed value is within the tolerance, where there is a rule for one."""
    if match.tolerated is None:
        return "no rule"
    return "within" if match.tolerated else "beyond"


def changed(change: Change, size: Size = "batch") -> str:
    """So much more of an ingredient, as in "+4.6 mL lemon juice", or what to leave out of it."""
    amount = change.per_batch if size == "batch" else change.per_serving
    written = f"{short(abs(amount), 4)} {change.unit} {change.name}"
    return f"leave out {written}" if amount < 0 else f"+{written}"


def move(made: Move, size: Size = "batch") -> str:
    """All changes of a move."""
    return ", ".join(changed(change, size) for change in made.changes) or "nothing changes"


def taken_out(made: Move) -> str:
    """That a move takes something out that is in already; empty where it does not."""
    names = [change.name for change in made.changes if change.per_batch < 0]
    if not names:
        return ""
    return (
        f"This takes out {' and '.join(names)}, which is already in: make the drink from scratch, "
        "because a mixed one cannot be changed this way."
    )


def effects(figure: str, made: Move, per: float = 1.0) -> str:
    """What a move does to a figure: the figure after it, and the difference."""
    known, after = NAMES[figure], getattr(made.after, figure)
    if after is None:
        return NOT_COMPUTABLE
    return f"{known.bare(after / per)} ({known.change(made.effects[figure] / per)})"


def broken(made: Move) -> str:
    """Which figures that were to be held a move does not hold; empty for none."""
    names = [short_name(figure) for figure in made.breaks]
    return f"Not held: {', '.join(names)}." if names else ""


def cost_per_serving(cost: Cost) -> str:
    """What a serving and a litre cost."""
    serving, litre = decimals(cost.per_serving, 2), decimals(cost.per_litre, 2)
    return f"{serving} {cost.currency} per serving; {litre} {cost.currency} per litre."


def cost_of_batch(cost: Cost, servings: float) -> str:
    """The same, and what so many servings cost."""
    whole = decimals(cost.per_serving * servings, 2)
    return f"This batch costs {whole} {cost.currency}: {cost_per_serving(cost)}"


def reason(adjustment: Adjustment, made: Move) -> str:
    """The reason of a version that comes from a move, as in "TA +1.00 g/L: +4.63 mL lemon juice".

    Every goal is named with what the move does to it.
    """
    done = [
        f"{short_name(goal)} {NAMES[goal].change(made.effects[goal])} {NAMES[goal].unit}"
        for goal in adjustment.goals
    ]
    return f"{', '.join(word.strip() for word in done)}: {move(made)}"
