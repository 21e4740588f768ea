"""`tasting measured`: what density, strength, refraction and titration of a bottle say together."""

from typing import Annotated, Any, Final

import typer

from tasting.cli.numbers import number
from tasting.cli.show import Json, show_json, show_table, tell
from tasting.drink.bottle import (
    BOILING,
    DEGAS,
    Derived,
    Instrument,
    from_density_and_alcohol,
    from_density_and_refraction,
    from_titration,
    from_two_refractions,
    reading,
)
from tasting.drink.mixture import NAMES, Figure
from tasting.errors import InputError
from tasting.reading import read_plus_minus

_EXTRACT: Final = Figure("extract as sucrose", "g/L", 1)
_WAYS: Final = (
    "--density with --alcohol, --density with --refractometer, --refractometer with "
    "--after-boiling, or --base-ml with --sample-ml"
)
_STATED: Final = "Intervals of 95 %: of your measurements and of the relation between them."


def _option(what: str) -> Any:
    return typer.Option(help=f'{what}; with its uncertainty: "1.0295 ± 0.0003".')


Of = Annotated[float | None, typer.Option(parser=number, metavar="ML", help="Of a titration, mL.")]


def measured(
    density: Annotated[str | None, _option("kg/L, at 20 °C and degassed")] = None,
    alcohol: Annotated[str | None, _option("% vol")] = None,
    refractometer: Annotated[str | None, _option("°Brix")] = None,
    after_boiling: Annotated[
        str | None, _option("°Brix without the alcohol, at the volume before")
    ] = None,
    ta: Annotated[str | None, _option("TA, g/L as citric acid")] = None,
    base_ml: Of = None,
    sample_ml: Of = None,
    normality: Annotated[
        float, typer.Option(parser=number, metavar="MOL/L", help="Of the base.")
    ] = 0.1,
    acid: Annotated[str, typer.Option(help="The acid to count it as.")] = "citric",
    as_json: Json = False,
) -> None:
    """What measurements of a bottle say: extract, sugar, alcohol and TA, with uncertainty."""
    read = {
        figure: None if text is None else _reading(figure, text)
        for figure, text in {
            "density_kg_per_l": density,
            "alcohol_percent_vol": alcohol,
            "refractometer_brix": refractometer,
            "after_boiling": after_boiling,
            "ta_g_per_l": ta,
        }.items()
    }
    titrated = _titrated(base_ml, sample_ml, normality, acid)
    told = [*titrated, *_together(read, titrated)]
    if not told:
        raise InputError(f"nothing follows from that alone; give {_WAYS}")
    if as_json:
        return show_json(
            [{"figure": d.figure, "low": d.low, "high": d.high, "value": d.value} for d in told]
        )
    _show(told, boiled=after_boiling is not None)


def _reading(figure: str, text: str) -> Instrument:
    """A value with what is usual for it, or with what stands behind ±."""
    known = "refractometer_brix" if figure == "after_boiling" else figure
    return reading(known, *read_plus_minus(text))


def _titrated(
    base_ml: float | None, sample_ml: float | None, normality: float, acid: str
) -> tuple[Derived, ...]:
    if base_ml is None and sample_ml is None:
        return ()
    if base_ml is None or sample_ml is None:
        raise InputError("a titration needs both --base-ml and --sample-ml")
    return (from_titration(base_ml, sample_ml, normality, acid),)


def _together(
    read: dict[str, Instrument | None], titrated: tuple[Derived, ...]
) -> tuple[Derived, ...]:
    """The first way that the measurements allow, the most certain before the others."""
    density, strength = read["density_kg_per_l"], read["alcohol_percent_vol"]
    brix, boiled = read["refractometer_brix"], read["after_boiling"]
    acid = Instrument(titrated[0].value, titrated[0].half) if titrated else read["ta_g_per_l"]
    if density and strength:
        return from_density_and_alcohol(density, strength, acid)
    if density and brix:
        return from_density_and_refraction(density, brix, acid)
    if brix and boiled:
        return from_two_refractions(brix, boiled, acid)
    return ()


def _show(told: list[Derived], *, boiled: bool) -> None:
    rows = [[*_written(one), _for_formulate(one)] for one in told]
    header = ("Figure", "Value", "From", "To", "To ask for it")
    show_table("What the bottle says", header, rows, text_columns=5)
    tell(_STATED, DEGAS, *([BOILING] if boiled else []))


def _written(one: Derived) -> list[str]:
    known = _EXTRACT if one.figure == "extract_g_per_l" else NAMES[one.figure]
    return [known.name, known.write(one.value), known.bare(one.low), known.bare(one.high)]


_ASKED: Final = {"sugar_g_per_l": "sugar", "alcohol_percent_vol": "alcohol", "ta_g_per_l": "ta"}


def _for_formulate(one: Derived) -> str:
    """How `tasting formulate` is asked for it."""
    if one.figure not in _ASKED:
        return ""
    known = NAMES[one.figure]
    return f'--also "{_ASKED[one.figure]} {known.bare(one.low)}-{known.bare(one.high)}"'
