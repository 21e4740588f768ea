"""`tasting compose`: what is in the versions of a document, how sure that is, and whether it could
be the reference."""

from pathlib import Path
from typing import Annotated

import typer

from tasting.cli.show import Json, show_json, show_table, tell
from tasting.drink import words
from tasting.drink.cautions import DEFER, cautions
from tasting.drink.composition import Composition
from tasting.drink.formula import Version
from tasting.drink.ice import as_served, served_style
from tasting.drink.label import Reference, matches
from tasting.drink.mixture import NAMES
from tasting.errors import InputError
from tasting.store.documents import Document, read_document
from tasting.wording import decimals, short

_PER_LITRE = {
    "TA\ng/L": ("ta_g_per_l", 2),
    "Sugar\ng/L": ("sugar_g_per_l", 1),
    "Sugar\n: acid": ("sugar_acid_ratio", 1),
    "°Brix": ("brix", 1),
    "pH": ("ph", 2),
    "CO₂\ng/L": ("co2_g_per_l", 1),
    "Alcohol\n% vol": ("alcohol_percent_vol", 2),
    "Alcohol\ng/L": ("alcohol_g_per_l", 1),
    "Energy\nkcal/L": ("energy_kcal_per_l", 0),
}
_PER_SERVING = {
    "Volume\nmL": ("volume_ml", 0),
    "TA\ng": ("ta_g", 2),
    "Sugar\ng": ("sugar_g", 1),
    "Alcohol\ng": ("alcohol_g", 1),
    "Energy\nkcal": ("energy_kcal", 0),
}
_LIKELY = {
    "TA\ng/L": "ta_g_per_l",
    "Sugar\ng/L": "sugar_g_per_l",
    "Sweetness\ng/L": "sweetness_g_per_l",
    "pH": "ph",
    "CO₂\ng/L": "co2_g_per_l",
    "Alcohol\n% vol": "alcohol_percent_vol",
    "Energy\nkcal/L": "energy_kcal_per_l",
}
_BROUGHT = ("ta_g_per_l", "sugar_g_per_l", "alcohol_g_per_l", "energy_kcal_per_l", "co2_g_per_l")
_MATCHES = ("Version", "Value", "Label", "Label can mean", "Likely", "Verdict", "Tolerance")
EXPLAINED = (
    "TA: titratable acidity as anhydrous citric acid to pH 8.1 (ISO 750). Computed from the "
    "ingredients' figures, not measured: for labels and duty follow local law and have it measured."
)


def compose_file(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A JSON document with formulas.")],
    version: Annotated[str | None, typer.Option(help="Only the version with this id.")] = None,
    against: Annotated[
        str | None, typer.Option(help="Compare with the reference of this id in the document.")
    ] = None,
    contributions: Annotated[
        bool, typer.Option("--contributions", help="Show what each ingredient brings.")
    ] = False,
    sealed: Annotated[
        bool, typer.Option("--sealed", help="Cautions for a drink in a sealed bottle.")
    ] = False,
    served: Annotated[
        str | None,
        typer.Option(help="As it is tasted after the ice: stirred, shaken, on ice."),
    ] = None,
    as_json: Json = False,
) -> None:
    """Composition of the formulas in a document, with intervals and cautions."""
    document = read_document(file)
    reference = None if against is None else reference_in(document, against)
    style = served_style(served) if served else None
    made = [
        (name, [as_served(kept, style) for kept in versions])
        for name, versions in _chosen(document, version)
    ]
    if as_json:
        note = {"invented": invented_in(document)}
        every = [(name, *one) for name, all_ in made for one in all_]
        return show_json([_figures(*one, reference, sealed) | note for one in every])
    tell_invented(document)
    for name, all_ in made:
        _show(name, all_)
        if contributions:
            _show_contributions(all_)
        if reference:
            _show_matches(all_, reference)
        _tell_cautions(all_, sealed)
    tell(*([str(style)] if style else []), EXPLAINED)


Made = list[tuple[Version, Composition]]
Columns = dict[str, tuple[str, int]]


def _show(name: str, made: Made) -> None:
    litre = [[kept.label, *_written(drink, _PER_LITRE)] for kept, drink in made]
    show_table(f"{name}, per litre", ("Version", *_PER_LITRE), litre)
    likely = [[kept.label, *_likely(drink)] for kept, drink in made]
    show_table(f"{name}, per litre, likely", ("Version", *_LIKELY), likely)
    serving = [[kept.label, *_written(drink.serving(), _PER_SERVING)] for kept, drink in made]
    show_table(f"{name}, per serving", ("Version", *_PER_SERVING), serving)


def _likely(drink: Composition) -> list[str]:
    return [words.likely(figure, drink.intervals[figure]) for figure in _LIKELY.values()]


def _show_contributions(made: Made) -> None:
    units = [f"{words.short_name(figure)}\n{NAMES[figure].unit}" for figure in _BROUGHT]
    for kept, drink in made:
        rows = [
            [part.name, *(NAMES[f].bare(getattr(part, f)) for f in _BROUGHT)]
            for part in drink.contributions
        ]
        show_table(f"What contributes what to {kept.label}", ("Ingredient", *units), rows)


def _show_matches(made: Made, reference: Reference) -> None:
    rows = [row for one in made for row in _matched(*one, reference)]
    show_table(f"Against {reference.name}", _MATCHES, rows, text_columns=len(_MATCHES))


def _matched(kept: Version, drink: Composition, reference: Reference) -> list[list[str]]:
    return [
        [
            kept.label,
            words.value_name(match),
            short(match.declared),
            words.meant(match, match.rounding),
            words.meant(match, match.likely),
            words.verdict(match),
            words.tolerated(match),
        ]
        for match in matches(drink, reference)
    ]


def _tell_cautions(made: Made, sealed: bool) -> None:
    """Warnings and cautions, each once, with the versions that it is for."""
    result: dict[str, list[str]] = {}
    for kept, drink in made:
        texts = [*drink.warnings, *(caution.text for caution in cautions(kept, sealed=sealed))]
        for text in texts:
            result.setdefault(text, []).append(kept.label)
    for text, labels in result.items():
        tell(f"{', '.join(labels)}: {text}")
    if result:
        tell(DEFER)


def _chosen(document: Document, wanted: str | None) -> list[tuple[str, list[Version]]]:
    """The versions that are wanted, each list with the name of its formula."""
    ids = [kept.id for formula in document.formulas for kept in formula.versions]
    if not ids:
        raise InputError("this document contains no formula, so there is nothing to compose")
    if wanted not in (None, *ids):
        raise InputError(
            f"this document contains no version {wanted!r}; it contains: {', '.join(ids)}"
        )
    chosen = (
        (formula.name, [kept for kept in formula.versions if wanted in (None, kept.id)])
        for formula in document.formulas
    )
    return [(name, versions) for name, versions in chosen if versions]


def _figures(
    name: str, kept: Version, made: Composition, reference: Reference | None, sealed: bool
) -> dict[str, object]:
    result = {
        "formula": name,
        "version": kept.id,
        "label": kept.label,
        "composition": made,
        "serving": made.serving(),
        "cautions": cautions(kept, sealed=sealed),
    }
    return result if reference is None else {**result, "matches": matches(made, reference)}


def invented_in(document: Document) -> str:
    """What is said of the drinks of a document that are made up; empty where none is."""
    notes = [one.invented for one in document.formulas]
    notes += [one.invented for one in document.references]
    return next(filter(None, [document.invented, *notes]), "")


def tell_invented(document: Document) -> None:
    """Says once that the drinks of a document are made up, if any is."""
    note = invented_in(document)
    tell(*([f"Invented data: {note}"] if note else []))


def version_in(document: Document, wanted: str) -> Version:
    """The version of that id. Raises InputError that lists the ids."""
    ((_, (version,)),) = _chosen(document, wanted)
    return version


def reference_in(document: Document, wanted: str) -> Reference:
    """The reference of that id. Raises InputError that lists the ids."""
    for reference in document.references:
        if reference.id == wanted:
            return reference
    ids = ", ".join(reference.id for reference in document.references) or "none"
    raise InputError(f"this document contains no reference {wanted!r}; it contains: {ids}")


def _written(of: object, columns: Columns) -> list[str]:
    return [decimals(getattr(of, figure), places) for figure, places in columns.values()]
