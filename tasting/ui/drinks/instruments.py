"""From instruments: what density, strength, refraction and titration of a bottle say together."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import pandas as pd
import streamlit as st

from tasting.drink.bottle import (
    BOILING,
    DEGAS,
    Derived,
    Instrument,
    from_density_and_alcohol,
    from_density_and_refraction,
    from_titration,
    from_two_refractions,
    of_reference,
    reading,
)
from tasting.drink.label import PRINTED, Reference, bands
from tasting.drink.mixture import NAMES, Figure
from tasting.reading import read_number, read_plus_minus
from tasting.ui import page
from tasting.ui.drinks import reference_form as typed
from tasting.ui.tables import show_table
from tasting.wording import interval

Readings = Mapping[str, str]
"""What was typed, by the name of the field."""
_EXTRACT: Final = Figure("extract as sucrose", "g/L", 1)


@dataclass(frozen=True, slots=True)
class _Field:
    """A reading: its name, an example, the value of the reference that it is, if it is one, and
    whether it may be left out."""

    name: str
    example: str
    of: str = ""
    optional: bool = False


_DENSITY: Final = _Field("Density, kg/L", "1.0160 ± 0.0005", "density_kg_per_l")
_BRIX: Final = _Field("Refractometer, °Brix", "8.8 ± 0.1", "brix")
_TA: Final = _Field("TA, g/L (for the sugar)", "6.2 ± 0.15", "ta_g_per_l", optional=True)


@dataclass(frozen=True, slots=True)
class _Relation:
    """A way from readings to figures: what is read, what follows, and on what relation it rests."""

    fields: Mapping[str, _Field]
    follow: Callable[[Readings], tuple[Derived, ...]]
    source: str


def _sure(figure: str, text: str) -> Instrument:
    return reading(figure, *read_plus_minus(text))


def _ta(readings: Readings) -> Instrument | None:
    return _sure("ta_g_per_l", readings["ta"]) if readings["ta"].strip() else None


def _tabarie(readings: Readings) -> tuple[Derived, ...]:
    density = _sure("density_kg_per_l", readings["density"])
    strength = _sure("alcohol_percent_vol", readings["alcohol"])
    return from_density_and_alcohol(density, strength, _ta(readings))


def _refracted(readings: Readings) -> tuple[Derived, ...]:
    density = _sure("density_kg_per_l", readings["density"])
    return from_density_and_refraction(
        density, _sure("refractometer_brix", readings["brix"]), _ta(readings)
    )


def _boiled(readings: Readings) -> tuple[Derived, ...]:
    before, after = (_sure("refractometer_brix", readings[name]) for name in ("brix", "boiled"))
    return from_two_refractions(before, after, _ta(readings))


def _titrated(readings: Readings) -> tuple[Derived, ...]:
    base, sample, strength = (read_number(readings[name]) for name in ("base", "sample", "normal"))
    return (from_titration(base, sample, strength),)


_SUGAR: Final = "Sugar is the extract less the acid; other solids count as sugar, within 2 g/L."
_WAYS: Final = {
    "Density and alcohol": _Relation(
        {
            "density": _DENSITY,
            "alcohol": _Field("Alcohol, % vol", "5.5 ± 0.1", "alcohol_percent_vol"),
            "ta": _TA,
        },
        _tabarie,
        f"Tabarié's relation (OIV-MA-AS2-03B). {_SUGAR}",
    ),
    "Density and refractometer": _Relation(
        {"density": _DENSITY, "brix": _BRIX, "ta": _TA},
        _refracted,
        f"The mixture of sucrose, ethanol and water that has both; computed. {_SUGAR}",
    ),
    "Before and after boiling": _Relation(
        {"brix": _BRIX, "boiled": _Field("After boiling, °Brix", "6.7 ± 0.1"), "ta": _TA},
        _boiled,
        f"Refractions with and without the alcohol; computed. {_SUGAR}",
    ),
    "Titration": _Relation(
        {
            "base": _Field("Base used, mL", "9.7"),
            "sample": _Field("Sample, mL", "10"),
            "normal": _Field("Strength of the base, mol/L", "0.1"),
        },
        _titrated,
        "To pH 8.1, as anhydrous citric acid (ISO 750). Burette to 0.1 mL; pipette and base 1 %.",
    ),
}


def correcting(form: str) -> str:
    """The key of the switch that opens the form in which a reference is corrected."""
    return f"correct-{form}"


def show(reference: Reference, form: str) -> None:
    """The calculator; what follows goes into the form that corrects the reference."""
    with st.expander("From instruments"):
        chosen = st.segmented_control(
            "Measured", list(_WAYS), default=next(iter(_WAYS)), key="measured", required=True
        )
        way = _WAYS[chosen]
        readings = _read(way, reference, form)
        st.caption(f"{DEGAS} {BOILING if way.follow is _boiled else ''} {way.source}")
        missing = [
            way.fields[name].name
            for name, text in readings.items()
            if not text.strip() and not way.fields[name].optional
        ]
        if missing:
            st.write(f"Still missing: {', '.join(missing)}.")
            return
        with page.show_errors():
            _show_told(way.follow(readings), way, readings, reference, form)


def _read(way: _Relation, reference: Reference, form: str) -> Readings:
    """The readings, at first what is known of the reference."""
    columns = st.columns(len(way.fields))
    return {
        name: column.text_input(
            field.name,
            typed.text(reference, field.of) if field.of else _usual(name),
            max_chars=60,
            key=f"{name}-of-{form}",
            placeholder=field.example,
            autocomplete="off",
        )
        for column, (name, field) in zip(columns, way.fields.items(), strict=True)
    }


def _usual(name: str) -> str:
    return "0.1" if name == "normal" else ""


def _show_told(
    told: Sequence[Derived], way: _Relation, readings: Readings, reference: Reference, form: str
) -> None:
    """What follows, with its interval, and the button that fills it in."""
    rows = [_row(one) for one in told]
    table = pd.DataFrame(rows, columns=["Figure", "Measured", "95 % interval"])
    show_table(table, f"What the measurements say of {reference.name}")
    texts = {
        field: typed.measured_text(field, *known, reference)
        for field, known in of_reference(told).items()
    }
    texts |= {way.fields[name].of: text for name, text in readings.items() if way.fields[name].of}
    declared = [
        field
        for field in PRINTED
        if getattr(reference, field) is not None and field not in reference.uncertainty
    ]
    for one in told:
        if set(of_reference([one])) & set(declared):
            st.caption(page.escape_markdown(_beside_label(one, reference)))
    st.button(
        "Fill in the measured values",
        key=f"fill-{form}",
        on_click=_fill,
        args=(form, {field: text for field, text in texts.items() if field not in declared}),
    )


def _beside_label(one: Derived, reference: Reference) -> str:
    """That the label's value stays, and whether what was measured agrees with it."""
    ((field, _),) = of_reference([one]).items()
    meant, _ = bands(reference)[one.figure]
    agrees = one.low <= meant.high and meant.low <= one.high
    name, value = typed.title(field, reference.rules), typed.text(reference, field)
    said = "agrees with it" if agrees else "does not agree with it; check both"
    return f"{name}: the label's {value} stays. What was measured {said}."


def _row(one: Derived) -> tuple[str, str, str]:
    known = _EXTRACT if one.figure == "extract_g_per_l" else NAMES[one.figure]
    return known.name, known.write(one.value), interval(one.low, one.high, known.bare)


def _fill(form: str, texts: Mapping[str, str]) -> None:
    """Opens the form that corrects the reference, with these values in it."""
    st.session_state[correcting(form)] = True
    for field, text in texts.items():
        if text.strip():
            st.session_state[f"{field}-{form}"] = text
