"""The invented drinks: a formula as a tree of changes, and the bottle that it is held against."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from tasting.drink.formula import Formula, Part, Version
from tasting.drink.label import Reference

INVENTED = (
    "Made up for the demonstration: neither this drink nor this bottle exists, and no figure here "
    "was measured on a real product."
)
BOTTLE = "bottle-r"

# One serving: a glass of about 225 mL.
FIRST_POUR = {
    "rhubarb-juice": "60 mL",
    "bay-syrup": "24 mL",
    "neutral-spirit": "30 mL",
    "lemon-juice": "6 mL",
    "sparkling-water": "105 mL",
}


@dataclass(frozen=True, slots=True)
class RecipeChange:
    """A version as what it changes in its parent; an amount of "" leaves the ingredient out."""

    id: str
    label: str
    parent: str
    day: str
    reason: str
    amounts: Mapping[str, str]


CHANGES = (
    RecipeChange(
        "spritz-02",
        "v2 pinch of citric acid",
        "spritz-01",
        "2026-02-03",
        "The first pour is soft beside bottle R. 0.2 g of citric acid moves the acid alone.",
        {"citric-acid": "0.2 g"},
    ),
    RecipeChange(
        "spritz-03",
        "v3 less syrup",
        "spritz-01",
        "2026-02-10",
        "The other way to the same end: leave the acid and take 4 mL of syrup out.",
        {"bay-syrup": "20 mL", "sparkling-water": "109 mL"},
    ),
    RecipeChange(
        "spritz-04",
        "v4 sharp and dry",
        "spritz-02",
        "2026-02-23",
        "Both steps together: more acid and less syrup.",
        {"bay-syrup": "20 mL", "sparkling-water": "109 mL"},
    ),
    RecipeChange(
        "spritz-05",
        "v5 half the pinch",
        "spritz-02",
        "2026-03-02",
        "Is 0.1 g of citric acid enough to be noticed? It is the smallest step we can weigh well.",
        {"citric-acid": "0.1 g"},
    ),
    RecipeChange(
        "spritz-06",
        "v6 malic for citric",
        "spritz-05",
        "2026-03-16",
        "Malic acid, as in the rhubarb, weighed for nearly the same titratable acidity.",
        {"citric-acid": "", "malic-acid": "0.104 g"},
    ),
    RecipeChange(
        "spritz-07",
        "v7 fuller",
        "spritz-02",
        "2026-03-23",
        "Keep the acid and raise the syrup: does more sugar hide the pinch?",
        {"bay-syrup": "28 mL", "sparkling-water": "101 mL"},
    ),
    RecipeChange(
        "spritz-08",
        "v8 verjus for lemon",
        "spritz-03",
        "2026-04-13",
        "Verjus is grown nearer than lemons; 20 mL of it bring more acid than 6 mL of lemon juice.",
        {"lemon-juice": "", "verjus": "20 mL", "sparkling-water": "95 mL"},
    ),
    RecipeChange(
        "spritz-09",
        "v9 wine base",
        "spritz-04",
        "2026-05-04",
        "A dry white wine carries most of the alcohol and some of the acid.",
        {
            "bay-syrup": "22 mL",
            "dry-white-wine": "70 mL",
            "neutral-spirit": "12 mL",
            "lemon-juice": "",
            "citric-acid": "0.1 g",
            "sparkling-water": "61 mL",
        },
    ),
    RecipeChange(
        "spritz-10",
        "v10 towards bottle R",
        "spritz-04",
        "2026-05-18",
        "Acid and sugar as in bottle R, so that whatever is still noticed must be something else.",
        {"bay-syrup": "20.5 mL", "citric-acid": "0.37 g", "sparkling-water": "108.5 mL"},
    ),
    RecipeChange(
        "spritz-11",
        "v11 past bottle R",
        "spritz-10",
        "2026-06-01",
        "One step further than bottle R, to see where more acid stops being liked.",
        {"citric-acid": "0.55 g"},
    ),
    RecipeChange(
        "spritz-12",
        "v12 tartaric acid",
        "spritz-10",
        "2026-07-13",
        "Nearly half of the citric acid replaced by tartaric, for a bite more like bottle R's.",
        {"citric-acid": "0.2 g", "tartaric-acid": "0.2 g"},
    ),
)


def formula() -> Formula:
    """The rhubarb and bay spritz with all its versions."""
    versions = {"spritz-01": _first()}
    for change in CHANGES:
        versions[change.id] = _changed(versions[change.parent], change)
    return Formula(
        id="spritz",
        name="Rhubarb and bay spritz",
        versions=tuple(versions.values()),
        invented=INVENTED,
    )


def reference() -> Reference:
    """The bottle: what its label says, and the acidity that was titrated."""
    return Reference(
        id=BOTTLE,
        name="Reference bottle R",
        serving_ml=200,
        alcohol_percent_vol=5.5,
        energy_kcal_per_100ml=57,
        sugar_g_per_100ml=6.0,
        ta_g_per_l=6.2,
        ph=2.9,
        brix=8.8,
        allergens=("sulphites",),
        source_note="Strength, energy, sugar and allergens from the label. Acidity titrated with "
        "0.1 mol/L sodium hydroxide to pH 8.1, mean of three, after the gas was stirred out; pH by "
        "meter, Brix by refractometer. All invented.",
        invented=INVENTED,
    )


def _first() -> Version:
    return Version(
        id="spritz-01",
        label="v1 first pour",
        parts=_parts(FIRST_POUR),
        created_at=_morning("2026-02-02"),
        note="One serving of about 225 mL over ice, stirred once.",
    )


def _changed(parent: Version, change: RecipeChange) -> Version:
    before = {part.ingredient.key: str(part.amount) for part in parent.parts}
    after = {key: amount for key, amount in (before | dict(change.amounts)).items() if amount}
    return parent.child(
        id=change.id,
        label=change.label,
        reason=change.reason,
        created_at=_morning(change.day),
        parts=_parts(after),
    )


def _parts(amounts: Mapping[str, str]) -> tuple[Part, ...]:
    return tuple(
        Part.model_validate({"ingredient": key, "amount": amount})
        for key, amount in amounts.items()
    )


def _morning(day: str) -> datetime:
    return datetime.fromisoformat(f"{day}T09:00").replace(tzinfo=UTC)
