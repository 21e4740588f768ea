"""`tasting batch`: what to weigh and to measure for so many litres or servings."""

from pathlib import Path
from typing import Annotated

import typer

from tasting.cli.drinks import invented_in, tell_invented, version_in
from tasting.cli.numbers import number
from tasting.cli.show import Json, show_json, show_table, tell, to_json
from tasting.drink.batch import Kit, batch
from tasting.drink.cautions import DEFER
from tasting.drink.keeping import PRACTICE, keeping
from tasting.records import checked
from tasting.report.batch_sheet import BatchSheet, batch_sheet, batch_sheet_html
from tasting.store.documents import read_document

Step = Annotated[
    float, typer.Option(parser=number, metavar="N", help="The smallest step that it shows.")
]


def batch_file(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A JSON document with formulas.")],
    version: Annotated[str, typer.Option(help="The id of the version to make.")],
    litres: Annotated[
        float | None, typer.Option(parser=number, metavar="N", help="Litres to make.")
    ] = None,
    servings: Annotated[
        float | None, typer.Option(parser=number, metavar="N", help="Servings to make.")
    ] = None,
    scale_g: Step = 0.1,
    least_g: Annotated[
        float | None,
        typer.Option(
            parser=number, metavar="N", help="The smallest amount weighed; default: ten steps."
        ),
    ] = None,
    cylinder_ml: Step = 1.0,
    syringe_ml: Step = 0.1,
    html: Annotated[bool, typer.Option("--html", help="Output an HTML page to print.")] = False,
    as_json: Json = False,
) -> None:
    """From the bench to a batch, rounded to what the scale and the cylinder can show."""
    document = read_document(file)
    made_from = version_in(document, version)
    kit = {
        "scale_step_g": scale_g,
        "least_weighed_g": least_g,
        "cylinder_step_ml": cylinder_ml,
        "syringe_step_ml": syringe_ml,
    }
    made = batch(made_from, litres=litres, servings=servings, kit=checked(Kit, kit))
    if as_json:
        return show_json(to_json(made) | {"invented": invented_in(document)})
    sheet = batch_sheet(
        made_from.label, made, keeps=keeping(made_from), invented=invented_in(document)
    )
    if html:
        return typer.echo(batch_sheet_html(sheet))
    tell_invented(document)
    _show(sheet)


def _show(sheet: BatchSheet) -> None:
    """The sheet, and how long it keeps."""
    rows = [(line.name, line.measured, line.exact, line.error) for line in sheet.lines]
    heading = f"{sheet.drink}: {sheet.servings} servings, {sheet.litres} L"
    show_table(heading, ("Ingredient", "Measure", "Exact", "Rounding error"), rows, text_columns=2)
    tell(*(line.stock for line in sheet.lines if line.stock))
    figures = [(figure.name, figure.exact, figure.made) for figure in sheet.figures]
    show_table("What it should be", ("Figure", "Recipe", "As measured"), figures)
    tell(*sheet.keeps, *([f"{PRACTICE} {DEFER}"] if sheet.keeps else []))
