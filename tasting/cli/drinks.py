"""`tasting compose`: what is in the versions of a document."""

from pathlib import Path
from typing import Annotated

import typer

from tasting.cli.show import Json, show_json, show_table, tell
from tasting.drink.composition import Composition, compose
from tasting.drink.formula import Version
from tasting.errors import InputError
from tasting.store.documents import Document, read_document

PER_LITRE = (
    "Version",
    "TA\ng/L",
    "Sugar\ng/L",
    "Sugar\n: acid",
    "°Brix",
    "pH",
    "Alcohol\n% vol",
    "Alcohol\ng/L",
    "Energy\nkcal/L",
)
PER_SERVING = ("Version", "Volume\nmL", "TA\ng", "Sugar\ng", "Alcohol\ng", "Energy\nkcal")
EXPLAINED = (
    "TA: titratable acidity as anhydrous citric acid to pH 8.1 (ISO 750). Computed from the "
    "ingredients' figures, not measured: for labels and duty follow local law and have it measured."
)


def compose_file(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="A JSON document that holds formulas.")
    ],
    version: Annotated[str | None, typer.Option(help="Only the version with this id.")] = None,
    as_json: Json = False,
) -> None:
    """Composition of the formulas in a document, per litre and per serving."""
    made = [
        (name, [(kept, compose(kept)) for kept in versions])
        for name, versions in _chosen(read_document(file), version)
    ]
    if as_json:
        return show_json([_figures(name, *one) for name, all_ in made for one in all_])
    for name, all_ in made:
        show_table(f"{name}, per litre", PER_LITRE, [_per_litre(*one) for one in all_])
        show_table(f"{name}, per serving", PER_SERVING, [_per_serving(*one) for one in all_])
    tell(EXPLAINED)


def _chosen(document: Document, wanted: str | None) -> list[tuple[str, list[Version]]]:
    """The versions that are wanted, each list with the name of its formula."""
    ids = [kept.id for formula in document.formulas for kept in formula.versions]
    if not ids:
        raise InputError("this document holds no formula, so there is nothing to compose")
    if wanted not in (None, *ids):
        raise InputError(f"this document holds no version {wanted!r}; it holds: {', '.join(ids)}")
    chosen = (
        (formula.name, [kept for kept in formula.versions if wanted in (None, kept.id)])
        for formula in document.formulas
    )
    return [(name, versions) for name, versions in chosen if versions]


def _figures(name: str, kept: Version, made: Composition) -> dict[str, object]:
    identity = {"formula": name, "version": kept.id, "label": kept.label}
    return {**identity, "composition": made, "serving": made.serving()}


def _per_litre(kept: Version, made: Composition) -> list[str]:
    ratio = "–" if made.sugar_acid_ratio is None else f"{made.sugar_acid_ratio:.1f}"
    return [
        kept.label,
        f"{made.ta_g_per_l:.2f}",
        f"{made.sugar_g_per_l:.1f}",
        ratio,
        f"{made.brix:.1f}",
        f"{made.ph:.2f}",
        f"{made.alcohol_percent_vol:.2f}",
        f"{made.alcohol_g_per_l:.1f}",
        f"{made.energy_kcal_per_l:.0f}",
    ]


def _per_serving(kept: Version, made: Composition) -> list[str]:
    serving = made.serving()
    return [
        kept.label,
        f"{serving.volume_ml:.0f}",
        f"{serving.ta_g:.2f}",
        f"{serving.sugar_g:.1f}",
        f"{serving.alcohol_g:.1f}",
        f"{serving.energy_kcal:.0f}",
    ]
