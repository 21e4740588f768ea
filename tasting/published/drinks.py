"""Published values of what drinks are made of: densities, strength, acids, pH, CO2, labels."""

from collections.abc import Iterator
from datetime import UTC, datetime

from tasting.drink import acidity, alcohol, carbonation, declared, sugar
from tasting.drink.composition import Composition, compose
from tasting.drink.formula import Part, Version
from tasting.published.check import PublishedValue, Row, check, rows

# The juice tables give ranges: a value inside agrees; Brix may stray half a degree for the harvest.
_HARVEST_BRIX = 0.5
_PRIMARY_STANDARD_PH = 0.03
_FOOD_TABLE = 0.25
_AIR_KG_PER_M3 = 1.2
_USP_CELSIUS = 15.56


def _glass(*parts: tuple[str, str]) -> Composition:
    lines = tuple(Part(ingredient=key, amount=amount) for key, amount in parts)
    made = datetime(2026, 1, 1, tzinfo=UTC)
    return compose(Version(id="glass", label="glass", parts=lines, created_at=made))


def _in_range(table: str, row: Row, case: str, computed: float, slack: float) -> PublishedValue:
    """The middle of a printed range; what the range and its slack span is allowed."""
    low, high = float(row["low"]), float(row["high"])
    allowed = (high - low) / 2 + slack
    return check(table, row, case, str((low + high) / 2), computed, allowed=allowed)


def _alcohol_densities() -> Iterator[PublishedValue]:
    """Density of ethanol and water by mass and by volume, and a pharmacopoeia's rows at 60 °F."""
    for table, name in (
        ("drink_alcohol_by_volume", "percent_vol"),
        ("drink_alcohol_by_mass", "mass_percent"),
    ):
        for row in rows(table):
            percent = float(row[name])
            share = alcohol.mass_fraction(percent) if name == "percent_vol" else percent / 100
            yield check(
                table,
                row,
                f"{row[name]} {'% vol' if name == 'percent_vol' else '% by mass'}, kg/m³",
                row["density_kg_per_m3"],
                float(alcohol.density_kg_per_m3(share)),
                allowed=float(row["tolerance"]),
            )


def _pharmacopoeia() -> Iterator[PublishedValue]:
    """Strength and gravity, both at 15.56 °C; gravity is weighed in air."""
    table, t = "drink_alcohol_usp", _USP_CELSIUS
    for row in rows(table):
        p = float(row["mass_percent"]) / 100
        density, pure = alcohol.density_kg_per_m3(p, t), alcohol.density_kg_per_m3(1, t)
        in_air = (density - _AIR_KG_PER_M3) / (alcohol.density_kg_per_m3(0, t) - _AIR_KG_PER_M3)
        case = f"{row['mass_percent']} % by mass"
        strength = 100 * p * density / pure
        yield check(table, row, f"{case}: % vol", row["percent_vol"], strength, allowed=0.01)
        printed = row["specific_gravity_in_air"]
        yield check(table, row, f"{case}: gravity in air", printed, in_air, allowed=1e-4)


def _solution_densities() -> Iterator[PublishedValue]:
    """Density of sucrose and of citric acid in water."""
    for row in rows("drink_sucrose_density"):
        yield check(
            "drink_sucrose_density",
            row,
            f"{row['brix']} °Brix, kg/m³",
            row["density_kg_per_m3"],
            float(sugar.density_kg_per_m3(float(row["brix"]) / 100)),
            allowed=float(row["tolerance"]),
        )
    for row in rows("drink_citric_density"):
        percent = float(row["citric_percent"])
        drink = _glass(("citric-acid", f"{percent} g"), ("water", f"{100 - percent} g"))
        yield check(
            "drink_citric_density",
            row,
            f"{row['citric_percent']} % citric acid, kg/m³",
            row["density_kg_per_m3"],
            1000 * drink.density_kg_per_l,
            allowed=float(row["tolerance"]),
        )


def _buffers() -> Iterator[PublishedValue]:
    """pH of the primary standards."""
    names = (*acidity.ACIDS, "carbonic")
    for row in rows("drink_buffers"):
        moles = [float(row["acid_mol_per_l"]) if name == row["acid"] else 0.0 for name in names]
        ph = float(acidity.solve_ph(moles, float(row["cations_mol_per_l"])))
        allowed = _PRIMARY_STANDARD_PH
        yield check("drink_buffers", row, f"pH, {row['buffer']}", row["ph"], ph, allowed=allowed)


def _titrations() -> Iterator[PublishedValue]:
    """Acid from a volume of base."""
    for row in rows("drink_titration"):
        base_ml, sample_ml = float(row["base_ml"]), float(row["sample_ml"])
        normality, acid = float(row["base_normality"]), row["acid"]
        found = acidity.titrated_g_per_l(base_ml, sample_ml, normality, acid)
        case = f"{row['base_ml']} mL of {row['base_normality']} N, {row['acid']}, g/100 mL"
        allowed = float(row["tolerance"])
        printed = row["g_per_100ml"]
        yield check("drink_titration", row, case, printed, found / 10, allowed=allowed)


def _juices() -> Iterator[PublishedValue]:
    """pH and °Brix of juices, from their acids, minerals and sugars with nothing fitted."""
    for row in rows("drink_juice_ph"):
        ph = _glass((row["key"], "100 mL")).known("ph")
        yield _in_range("drink_juice_ph", row, f"pH of {row['key']}", ph, float(row["slack"]))
    for row in rows("drink_juice_brix"):
        brix = _glass((row["key"], "100 mL")).known("refractometer_brix")
        yield _in_range("drink_juice_brix", row, f"°Brix of {row['key']}", brix, _HARVEST_BRIX)


def _pantry() -> Iterator[PublishedValue]:
    """Titratable acidity and energy of what is in the pantry. Food tables count carbohydrate by
    difference and have factors of their own for fruit, so their energy may stray by a quarter."""
    for row in rows("drink_titratable"):
        acid = _glass((row["key"], "1 L")).known("ta_g_per_l")
        yield _in_range("drink_titratable", row, f"TA of {row['key']}, g/L", acid, 0.0)
    for row in rows("drink_energy"):
        made, printed = _glass((row["key"], "1 L")), float(row["kcal"])
        kcal = made.known("energy_kcal_per_l") / made.density_kg_per_l / 10
        case = f"{row['key']}, kcal/100 g"
        yield check("drink_energy", row, case, row["kcal"], kcal, allowed=_FOOD_TABLE * printed)


def _carbon_dioxide() -> Iterator[PublishedValue]:
    """CO2 that water dissolves at one atmosphere in all."""
    for row in rows("drink_carbonation"):
        grams = carbonation.dissolved_g_per_l(0, float(row["temperature_c"])) / 10
        case = f"{row['temperature_c']} °C, g/100 g"
        allowed, printed = float(row["tolerance"]), row["co2_g_per_100g"]
        yield check("drink_carbonation", row, case, printed, grams, allowed=allowed)


def _labels() -> Iterator[PublishedValue]:
    """What a printed figure can mean in the US: both ends of its interval."""
    for row in rows("drink_us_label_meaning"):
        interval = declared.rounding(row["figure"], declared.Print(float(row["printed"]), "US"))
        case = f"US, {row['figure']} {row['printed']}"
        for end, computed in (("low", interval.low), ("high", interval.high)):
            yield check("drink_us_label_meaning", row, f"{case}: {end}", row[end], computed)


DRINKS = (
    _alcohol_densities,
    _pharmacopoeia,
    _solution_densities,
    _buffers,
    _titrations,
    _juices,
    _pantry,
    _carbon_dioxide,
    _labels,
)
