"""The batch sheet of both samples of a session, made before anybody knows which cup gets which.

It rests on the plan alone: as much of each sample as the serving orders can need, however they
fall. So it may lie open in the kitchen; it tells no code and no order.
"""

from dataclasses import dataclass

from tasting.drink.batch import Kit, batch
from tasting.drink.formula import Version
from tasting.drink.keeping import PRACTICE, keeping
from tasting.errors import InputError
from tasting.panel.design import Letter
from tasting.panel.plan import Plan
from tasting.panel.serving import most_cups
from tasting.report.batch_sheet import BatchSheet, batch_sheet
from tasting.report.pour_sheet import MARGIN, Drink
from tasting.report.printing import page
from tasting.wording import percent, short


@dataclass(frozen=True, slots=True)
class SampleBatch:
    """One sample: the most cups that it can fill, how much that is, and what to measure for it;
    `sheet` is None for a bottle, and where it is `too_little`, which says why."""

    letter: Letter
    name: str
    cups: int
    volume_ml: float
    sheet: BatchSheet | None
    too_little: str = ""


def session_batches(
    plan: Plan, drinks: tuple[Drink, Drink], kit: Kit | None = None
) -> tuple[SampleBatch, SampleBatch]:
    """Both samples of a plan, scaled to what the tastings can need and rounded to the kit."""
    a, b = drinks
    return _sample(plan, "A", plan.a.name, a, kit), _sample(plan, "B", plan.b.name, b, kit)


def _sample(plan: Plan, letter: Letter, name: str, drink: Drink, kit: Kit | None) -> SampleBatch:
    cups = most_cups(plan.procedure, plan.tastings, letter)
    volume_ml = cups * plan.serving_ml * (1 + MARGIN)
    if not isinstance(drink, Version):
        return SampleBatch(letter, name, cups, volume_ml, None)
    try:
        made = batch(drink, litres=volume_ml / 1000, kit=kit)
    except InputError as error:
        return SampleBatch(letter, name, cups, volume_ml, None, str(error))
    return SampleBatch(letter, name, cups, volume_ml, batch_sheet(name, made, keeps=keeping(drink)))


def session_batches_html(
    name: str, invented: str, plan: Plan, samples: tuple[SampleBatch, SampleBatch]
) -> str:
    """The sheet as an HTML page of its own, to print in black and white on A4 or Letter."""
    return page(
        "session_batches.html",
        name=name,
        invented=invented,
        plan=plan,
        samples=samples,
        margin=percent(MARGIN),
        practice=PRACTICE,
        short=short,
    )
