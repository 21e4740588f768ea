"""Care for the people who taste: what is in both samples together, how much of it, and the caution.

Alcohol and allergens are told for both samples together, so that they give nothing away; an intake
is therefore an upper bound: as if every cup held the stronger sample.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Annotated

from pydantic import Field, field_validator

from tasting.drink.alcohol import ETHANOL_G_PER_ML
from tasting.drink.composition import compose
from tasting.drink.formula import Version
from tasting.drink.label import Reference
from tasting.errors import InputError
from tasting.panel.plan import Plan
from tasting.records import Record

ALCOHOL = (
    "Adults of legal age only; not in pregnancy, not before driving or working with machines, not "
    "with medicines that forbid it. You may spit, and stop at any time. Local law and licensed "
    "practice come first."
)
STOP = "You may stop at any time."


@dataclass(frozen=True, slots=True)
class StandardDrink:
    """What a country calls one drink, in grams of ethanol, and who says so."""

    name: str
    grams: float
    source: str


STANDARD_DRINKS: Mapping[str, StandardDrink] = MappingProxyType(
    {
        "United States": StandardDrink(
            "US standard drinks",
            14.0,
            "0.6 US fluid ounces of pure alcohol: US National Institute on Alcohol Abuse and "
            "Alcoholism, 'What is a standard drink?'",
        ),
        "United Kingdom": StandardDrink(
            "UK units",
            8.0,
            "10 mL of pure alcohol, 7.9 g, quoted as 8 g: UK Chief Medical Officers' low risk "
            "drinking guidelines, 2016",
        ),
        "Elsewhere": StandardDrink(
            "standard drinks of 10 g",
            10.0,
            "World Health Organization, AUDIT manual, 2nd edition, 2001; countries differ, so see "
            "your own",
        ),
    }
)


class HostLimits(Record):
    """The host's country, and the ethanol that no assessor shall get more of in one session.

    The limit of 20 g is ours, two drinks of 10 g; it is no statement about what is safe.
    """

    country: str = "Elsewhere"
    ethanol_g: Annotated[float, Field(ge=0, le=100)] = 20.0

    @field_validator("country")
    @classmethod
    def _known(cls, value: str) -> str:
        if value not in STANDARD_DRINKS:
            raise InputError(f"unknown country {value!r}; use one of: {', '.join(STANDARD_DRINKS)}")
        return value


@dataclass(frozen=True, slots=True)
class Intake:
    """What one assessor gets in a session, at most.

    standard_drinks: as the host's country counts them
    """

    cups: int
    volume_ml: float
    ethanol_g: float
    standard_drinks: float


def allergens(drinks: Sequence[Version | Reference]) -> tuple[str, ...]:
    """The allergens of all these drinks together."""
    declared = set[str]()
    for drink in drinks:
        known = drink if isinstance(drink, Reference) else compose(drink)
        declared |= set(known.allergens)
    return tuple(sorted(declared))


def alcohol_percent_vol(drinks: Sequence[Version | Reference]) -> float:
    """The highest alcoholic strength of these drinks, rounded up to 0.5 % vol; where it cannot be
    computed, the most that it may be."""
    return -(-max(map(_strength, drinks)) // 0.5) * 0.5


def _strength(drink: Version | Reference) -> float:
    if isinstance(drink, Reference):
        return drink.alcohol_percent_vol or 0.0
    made = compose(drink)
    if made.alcohol_percent_vol is None:
        return made.at_most("alcohol_percent_vol")
    return made.alcohol_percent_vol


def going_flat(drinks: Sequence[Version | Reference]) -> bool:
    """Whether one of these drinks holds CO2, or may for all that is known; labels do not tell."""
    versions = (drink for drink in drinks if isinstance(drink, Version))
    return any(compose(version).at_most("co2_g_per_l") > 0 for version in versions)


def notices(allergens: Sequence[str], alcohol_percent_vol: float) -> tuple[str, ...]:
    """What an assessor has to read before tasting."""
    listed = ", ".join(allergens) or "none declared; ask the host if you have an allergy"
    lines = [f"Allergens in these samples: {listed}."]
    if alcohol_percent_vol > 0:
        lines.append(f"Alcohol: up to {alcohol_percent_vol:g} % vol. {ALCOHOL}")
    else:
        lines.append(STOP)
    return tuple(lines)


def ethanol_g(volume_ml: float, alcohol_percent_vol: float) -> float:
    """Ethanol in g in a volume of this strength.

    >>> round(ethanol_g(355, 5), 1)
    14.0
    """
    return volume_ml * alcohol_percent_vol / 100 * ETHANOL_G_PER_ML


def intake(plan: Plan, country: str) -> Intake:
    """What each assessor of a plan gets, if every cup holds the stronger sample and is swallowed.

    Raises InputError for a country that is not known here.
    """
    cups = plan.procedure.poured * plan.replicates
    volume_ml = cups * plan.serving_ml
    grams = ethanol_g(volume_ml, plan.alcohol_percent_vol)
    drink = STANDARD_DRINKS[HostLimits(country=country).country]
    return Intake(cups, volume_ml, grams, grams / drink.grams)


def amount(plan: Plan, country: str) -> str:
    """What each assessor of a plan gets, in words; without alcohol, cups and volume alone."""
    got = intake(plan, country)
    said = f"{got.cups} {'cup' if got.cups == 1 else 'cups'}, {got.volume_ml:.0f} mL in all"
    if not got.ethanol_g:
        return said
    how = "even if all is swallowed; spitting is planned" if plan.spit else "if all is swallowed"
    drinks = f"{got.standard_drinks:.1f}" if got.standard_drinks >= 0.05 else "less than 0.1"
    name = STANDARD_DRINKS[country].name
    return f"{said}: at most {got.ethanol_g:.1f} g of ethanol, {drinks} {name}, {how}"


def above_limit(plan: Plan, limits: HostLimits) -> str:
    """One sentence that says by how much a plan is above the limit, or nothing.

    A plan that asks the assessors to spit is not above it.
    """
    grams = intake(plan, limits.country).ethanol_g
    if plan.spit or grams <= limits.ethanol_g:
        return ""
    return (
        f"each assessor would get up to {grams:.1f} g of ethanol, above the limit of "
        f"{limits.ethanol_g:g} g"
    )


def check_limit(plan: Plan, limits: HostLimits, confirmed: bool) -> None:
    """Raises InputError for a plan above the host's limit that was not confirmed."""
    said = above_limit(plan, limits)
    if said and not confirmed:
        raise InputError(
            f"{said}: plan fewer sets, pour less, plan spitting, or confirm that you want it"
        )
