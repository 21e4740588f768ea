"""The batch sheet: what to weigh and to measure for a larger amount, to read or to print."""

from collections.abc import Sequence
from dataclasses import dataclass

from tasting.drink.batch import Batch, Line, Stock
from tasting.drink.cautions import Caution
from tasting.drink.keeping import PRACTICE
from tasting.drink.mixture import NAMES
from tasting.report.printing import page
from tasting.wording import number, short, signed, three_digits

_FIGURES = ("ta_g_per_l", "ph", "sugar_g_per_l", "alcohol_percent_vol", "energy_kcal_per_l")


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line: what, how much exactly, how much as measured, how far off that is in %, and how to
    make the stock solution where one is needed."""

    name: str
    exact: str
    measured: str
    error: str
    stock: str


@dataclass(frozen=True, slots=True)
class SheetFigure:
    """One figure of the drink, as the recipe says and as measured out."""

    name: str
    exact: str
    made: str


@dataclass(frozen=True, slots=True)
class BatchSheet:
    """All that a sheet says. `drink` names formula and version; `keeps` how long its parts keep."""

    drink: str
    invented: str
    servings: str
    litres: str
    lines: tuple[SheetLine, ...]
    figures: tuple[SheetFigure, ...]
    allergens: tuple[str, ...]
    keeps: tuple[str, ...]


def batch_sheet(
    drink: str, made: Batch, *, invented: str = "", keeps: Sequence[Caution] = ()
) -> BatchSheet:
    """The sheet of a batch; `keeps` are the reminders of `drink.keeping`."""
    return BatchSheet(
        drink=drink,
        invented=invented,
        servings=short(made.servings, 4),
        litres=short(made.composition.volume_ml / 1000, 3),
        lines=tuple(_line(line, made.too_much_water_g <= 0) for line in made.lines),
        figures=tuple(_figure(made, figure) for figure in _FIGURES),
        allergens=made.composition.allergens,
        keeps=tuple(one.text for one in keeps),
    )


def _line(line: Line, room: bool) -> SheetLine:
    amount, stock = line.measured.amount, line.stock
    solution = f" of a {stock.percent:g} % solution" if stock else ""
    return SheetLine(
        name=line.name,
        exact=f"{_exactly(line)} {line.exact.unit}",
        measured=f"{amount.quantity:g} {amount.unit}{solution}",
        error=f"{signed(line.error_percent, 1)} %",
        stock=_recipe(line.name, stock, room) if stock else "",
    )


def _exactly(line: Line) -> str:
    """With as many digits as show what the rounding is off by."""
    return number(line.exact.quantity, 3 if abs(line.error_percent) < _SHOWN_PERCENT else 4)


_SHOWN_PERCENT = 0.05
_LEFT_OUT = "which is already left out of the water above."
_NO_ROOM = "more than the recipe can leave out: the drink gets weaker."


def _recipe(name: str, stock: Stock, room: bool) -> str:
    """How to make a stock, how much of it to take, and whether the water that comes with it is left
    out of the recipe's own already."""
    water_g = stock.volume_ml * stock.ingredient.density_kg_per_l * (1 - stock.percent / 100)
    return (
        f"{stock.percent:g} % solution of {name}: {stock.solute_g:g} g in {stock.water_g:g} g of "
        f"water. Take {stock.volume_ml:g} mL of it; it brings {three_digits(water_g)} g of water, "
        + (_LEFT_OUT if room else _NO_ROOM)
    )


def _figure(made: Batch, figure: str) -> SheetFigure:
    known = NAMES[figure]
    exact, got = (getattr(drink, figure) for drink in (made.exact, made.composition))
    name = known.name[:1].upper() + known.name[1:] if known.name != "pH" else "pH"
    return SheetFigure(name, known.write(exact), known.write(got))


def batch_sheet_html(sheet: BatchSheet) -> str:
    """The sheet as an HTML page of its own, to print in black and white on A4 or Letter."""
    return page("batch_sheet.html", sheet=sheet, practice=PRACTICE)
