"""`tasting formulate`: from a label to the recipes that could be behind it."""

from math import isfinite
from pathlib import Path
from typing import Annotated, Final

import typer

from tasting.cli.adjusting import ScaleStep, step_g
from tasting.cli.connection import Database
from tasting.cli.drinks import EXPLAINED, invented_in, reference_in, tell_invented
from tasting.cli.show import Json, show_json, show_table, tell, to_json
from tasting.drink import words
from tasting.drink.cautions import DEFER, cautions
from tasting.drink.demands import ASKED, Find, read_demand, read_limits
from tasting.drink.formulate import AmountRange, Formulation, Narrowing, formulate
from tasting.drink.label import Reference, matches
from tasting.drink.mixture import NAMES
from tasting.drink.pantry import ingredient
from tasting.drink.whole_steps import as_version
from tasting.store.documents import Document, read_document
from tasting.wording import percent, short, three_digits

_USUAL: Final = "Ingredients count as their usual figures say; measure your lot for more."
_PROVEN: Final = (
    "Proven for the usual figures of these ingredients; your lot may differ, so measure it."
)
_NOT_PROVEN: Final = "This is not proven: there may be a recipe that was not found."

With = Annotated[
    list[str],
    typer.Option(
        "--with",
        help='May go in; repeatable: "rhubarb juice 40-80 mL", "citric acid <= 0.5 g", '
        '"60 mL rhubarb juice", or a name alone for any amount. Nothing else goes in.',
    ),
]
Also = Annotated[
    list[str] | None,
    typer.Option(
        help=f'Ask for more than the reference says, or otherwise; repeatable: "co2 5.5-6.5", '
        f'"sweetness <= 80". Per litre, as compose prints them: {", ".join(ASKED)}.'
    ),
]
Served = Annotated[
    str | None,
    typer.Option(help="The reference is matched after the ice: stirred, shaken, on ice."),
]


def formulate_file(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A JSON document with references.")],
    reference: Annotated[str, typer.Option(help="The id of the reference to match.")],
    with_: With,
    also: Also = None,
    served: Served = None,
    scale_g: ScaleStep = None,
    database: Database = None,
    as_json: Json = False,
) -> None:
    """From the label: amounts that match all a reference states, or what excludes what."""
    document = read_document(file)
    wanted = reference_in(document, reference)
    find = _find_in(document)
    limits = [read_limits(text, find) for text in with_]
    answer = formulate(
        wanted,
        limits,
        demands=[read_demand(text) for text in also or ()],
        step_g=step_g(scale_g, database),
        served=served or "",
    )
    if as_json:
        return show_json(_for_machines(answer) | {"invented": invented_in(document)})
    tell_invented(document)
    _show(answer, wanted)


def _find_in(document: Document) -> Find:
    """The ingredients of the document's own versions by key and name, the last one of a name; then
    the pantry's."""
    items = [
        part.ingredient
        for formula in document.formulas
        for version in formula.versions
        for part in version.parts
    ]
    own = {name.casefold(): item for item in items for name in (item.key, item.name)}
    return lambda name: own.get(name.casefold()) or ingredient(name)


def _for_machines(answer: Formulation) -> dict[str, object]:
    """JSON has no infinity: an open end is null."""
    asked = [
        {"figure": one.figure, "low": one.low, "high": one.high if isfinite(one.high) else None}
        for one in answer.demands
    ]
    return {**to_json(answer), "demands": asked}


def _show(answer: Formulation, reference: Reference) -> None:
    tell(f"Asked for: {'; '.join(map(str, answer.demands))}.")
    if not answer.found:
        return _show_exclusions(answer)
    rows = [_row(one) for one in answer.ranges]
    show_table(
        f"Recipes that could be {reference.name}, per serving", _COLUMNS, rows, text_columns=1
    )
    _show_recipe(answer, reference)
    for one in answer.measure_next[:1]:
        tell(f"Measure next: {_next(one)}")
    tell(_USUAL, EXPLAINED)


_COLUMNS: Final = ("Ingredient", "Least", "Middle", "Most", "Unit")


def _row(one: AmountRange) -> list[str]:
    return [one.name, *map(three_digits, (one.least, one.middle, one.most)), one.unit]


def _show_exclusions(answer: Formulation) -> None:
    """What excludes what, and what misses least."""
    for one in answer.exclusions:
        tell(str(one))
    tell(_PROVEN if answer.impossible else _NOT_PROVEN)
    amounts = ", ".join(
        f"{three_digits(part.amount.quantity)} {part.amount.unit} {part.ingredient.name}"
        for part in answer.parts
    )
    missed = "; ".join(f"{miss.called} {miss}" for miss in answer.misses)
    tell(f"Misses least: {amounts}: {missed}.")


def _show_recipe(answer: Formulation, reference: Reference) -> None:
    recipe = answer.weighed
    assert recipe is not None
    version = as_version(recipe.parts, recipe.servings)
    amounts = ", ".join(f"{part.amount} {part.ingredient.name}" for part in recipe.parts)
    servings = "a serving" if recipe.servings == 1 else f"{recipe.servings} servings"
    tell(f"In the middle, for {servings}: {amounts}.", recipe.says)
    rows = [
        [
            words.value_name(match),
            words.meant(match, match.rounding),
            short(match.computed, 3),
            words.meant(match, match.likely),
            words.verdict(match),
        ]
        for match in matches(recipe.composition, reference)
    ]
    show_table("This recipe", _MATCHES, rows, text_columns=len(_MATCHES))
    texts = [*recipe.composition.warnings, *(one.text for one in cautions(version, sealed=False))]
    tell(*texts, *([DEFER] if texts else []))


_MATCHES: Final = ("Value", "Reference can mean", "Computed", "Likely", "Verdict")


def _next(one: Narrowing) -> str:
    known = NAMES[one.figure]
    return (
        f"{known.name} of the bottle, to ±{known.write(one.half)}: it would narrow the amounts by "
        f"{percent(one.narrows)} on average."
    )
