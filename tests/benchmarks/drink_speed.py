"""How fast drinks are composed: `python -m tests.benchmarks.drink_speed`.

Composes 10,000 random versions of 8 ingredients, pH and titratable acidity included, and compares
with the same equations written out in bare numpy on the finished table of grams: no versions, no
units, no ingredients. Then the time of one `compose` with its intervals. Times are of the process,
the best of several runs, taken in turns so that a busy machine is fair to both.
"""

import time
from collections.abc import Callable
from datetime import UTC, datetime

import numpy as np
from numpy.polynomial import polynomial

from tasting.drink import acidity, alcohol, content, sugar
from tasting.drink.arrays import Floats
from tasting.drink.composition import compose, part_grams
from tasting.drink.formula import Amount, Part, Version
from tasting.drink.mixture import mix
from tasting.drink.pantry import Ingredient, pantry

VERSIONS, PARTS, ROUNDS = 10_000, 8, 7
GOAL_RATIO, GOAL_MS = 3.0, 5.0


def random_versions(rng: np.random.Generator) -> list[Version]:
    """Versions of 8 different liquids of the pantry, 1 to 200 mL each."""
    liquids = [item for item in pantry().values() if item.form == "liquid"]
    return [_random_version(liquids, rng) for _ in range(VERSIONS)]


def _random_version(liquids: list[Ingredient], rng: np.random.Generator) -> Version:
    chosen = rng.choice(len(liquids), PARTS, replace=False)
    parts = tuple(
        Part(ingredient=liquids[place], amount=Amount(quantity=float(ml), unit="mL"))
        for place, ml in zip(chosen, rng.uniform(1, 200, PARTS), strict=True)
    )
    return Version(id="v", label="v", parts=parts, created_at=datetime(2026, 1, 1, tzinfo=UTC))


def table_of_grams(versions: list[Version]) -> tuple[Floats, Floats]:
    """What bare numpy starts from: grams by version and ingredient, and what a gram brings."""
    shelf = list(pantry().values())
    place = {item.key: column for column, item in enumerate(shelf)}
    table = np.zeros((len(versions), len(shelf)))
    for row, version in enumerate(versions):
        for part in version.parts:
            table[row, place[part.ingredient.key]] += part_grams(part)
    return table, np.array([content.content(item) for item in shelf])


def bare(grams: Floats, brought: Floats) -> dict[str, Floats]:
    """The equations of the mixture in bare numpy, with nothing around them."""
    totals = grams @ brought
    sugars, acids = totals[:, content.SUGARS], totals[:, content.ACIDS]
    ethanol, water = totals[:, content.ETHANOL], totals[:, content.WATER]
    volume = bare_volume(ethanol, water, sugars) + totals[:, content.RESIDUE]
    volume += (
        content.ACID_ML_PER_G * acids.sum(1) + content.OTHER_ML_PER_G * totals[:, content.OTHER]
    )
    litres, mass = volume / 1000, totals[:, content.MASSES].sum(1)
    moles = acids / acidity.MOLAR_MASS / litres[:, None]
    carbonic = totals[:, content.CO2] / litres / acidity.CO2_G_PER_MOL
    cations = totals[:, content.CATIONS] / litres
    sugar_percent = 100 * (sugars.sum(1) + totals[:, content.OTHER]) / mass
    acid_percent, strength = 100 * acids.sum(1) / mass, ethanol / litres / 7.892391
    return {
        "volume_ml": volume,
        "mass_g": mass,
        "density_kg_per_l": mass / volume,
        "ta_g_per_l": np.maximum(bare_base(moles, 8.1) - cations, 0) * acidity.CITRIC_G_PER_EQ,
        "sugar_g_per_l": sugars.sum(1) / litres,
        "sweetness_g_per_l": sugars @ sugar.SWEETNESS / litres,
        "brix": 100 * sugars.sum(1) / mass + acid_percent,
        "refractometer_brix": sugar_percent + 0.875 * acid_percent + 0.36 * strength,
        "ph": bare_ph(np.column_stack([moles, carbonic]), cations),
        "co2_g_per_l": totals[:, content.CO2] / litres,
        "alcohol_percent_vol": strength,
        "alcohol_g_per_l": ethanol / litres,
        "energy_kcal_per_l": totals[:, content.KCAL] / litres,
        "energy_kj_per_l": totals[:, content.KJ] / litres,
    }


def bare_volume(ethanol: Floats, water: Floats, sugars: Floats) -> Floats:
    """Ethanol and water by OIML R 22 at 20 °C, sugars by ICUMSA."""
    liquid, sweet = ethanol + water, sugars.sum(1)
    w = np.clip(sweet / (sweet + water), 1e-3, sugar.STRONGEST)
    syrup = polynomial.polyval(w, sugar._DENSITY)
    dissolved = sweet * (1000 / syrup - (1 - w) * 1000 / 998.2023) / w
    spirit = polynomial.polyval(ethanol / liquid, alcohol._A)
    beyond: Floats = sugars @ sugar._VOLUME_BEYOND_SUCROSE
    return 1000 * liquid / spirit + dissolved + beyond


def bare_charges(moles: Floats, ph: Floats, log_gamma: Floats) -> tuple[Floats, Floats, Floats]:
    """Charge, squares and variance of the acids."""
    products = np.cumprod(10.0 ** -acidity._PKA[: moles.shape[1]], axis=1).T
    forms = np.vstack([np.ones(moles.shape[1]), products])
    lift, gamma = 10.0**ph, 10.0**-log_gamma
    first = lift * gamma
    second = first * lift * gamma**3
    powers = np.stack([np.ones(len(ph)), first, second, second * lift * gamma**5], axis=1)
    charges = np.arange(4.0)[:, None]
    share, once = moles / (powers @ forms), powers @ (forms * charges)
    charge = share * once
    squares = (share * (powers @ (forms * charges**2))).sum(1)
    return charge.sum(1), squares, squares - (charge**2 / moles.clip(1e-300)).sum(1)


def bare_gamma(strength: Floats) -> Floats:
    """Davies."""
    strength = np.minimum(strength, 0.5)
    root = np.sqrt(strength)
    log_gamma: Floats = -0.5085 * (root / (1 + root) - 0.3 * strength)
    return log_gamma


def bare_base(moles: Floats, ph: float) -> Floats:
    """Base at the end point."""
    level, log_gamma = np.full(len(moles), ph), np.zeros(len(moles))
    while True:
        charge, squares, _ = bare_charges(moles, level, log_gamma)
        hydrogen, hydroxide = 10.0 ** (-level - log_gamma), 10.0 ** (level - 13.995 - log_gamma)
        base, before = charge + hydroxide - hydrogen, log_gamma
        log_gamma = bare_gamma((squares + hydrogen + hydroxide + np.abs(base)) / 2)
        if np.abs(log_gamma - before).max() < 1e-10:
            return base


def bare_ph(moles: Floats, cations: Floats) -> Floats:
    """pH by damped Newton steps."""
    ph, log_gamma = np.full(len(moles), 3.0), np.zeros(len(moles))
    longest, before = np.ones(len(moles)), np.zeros(len(moles))
    while True:
        charge, squares, spread = bare_charges(moles, ph, log_gamma)
        hydrogen, hydroxide = 10.0 ** (-ph - log_gamma), 10.0 ** (ph - 13.995 - log_gamma)
        excess = charge + hydroxide - hydrogen - cations
        longest = np.where(excess * before < 0, longest / 2, longest)
        step = -excess / (np.log(10) * (spread + hydrogen + hydroxide))
        step = np.clip(step, -longest, longest)
        log_gamma = bare_gamma((squares + hydrogen + hydroxide + np.abs(cations)) / 2)
        ph, before = ph + step, excess
        if np.abs(step).max() < 1e-9:
            return ph


def best_of(rounds: int, *runs: Callable[[], object]) -> list[float]:
    """Least process seconds of each run, all run in turns."""
    times = [[_seconds(run) for run in runs] for _ in range(rounds)]
    return [min(column) for column in zip(*times, strict=True)]


def _seconds(run: Callable[[], object]) -> float:
    begin = time.process_time()
    run()
    return time.process_time() - begin


def largest_difference(grams: Floats, brought: Floats) -> float:
    """Largest relative difference between the two ways, so that they are known to be the same."""
    ours, plain = mix(grams @ brought), bare(grams, brought)
    return max(
        float(np.max(np.abs(getattr(ours, name) - value) / np.maximum(np.abs(value), 1e-3)))
        for name, value in plain.items()
    )


def main() -> None:
    """Print the three numbers."""
    versions = random_versions(np.random.default_rng(20260301))
    grams, brought = table_of_grams(versions)
    difference = largest_difference(grams, brought)
    many, plain = best_of(ROUNDS, lambda: mix(grams @ brought), lambda: bare(grams, brought))
    single = best_of(200, lambda: compose(versions[0]))[0]
    print(f"largest relative difference of the two ways   {difference:.1e}")
    print(f"compositions per second                       {VERSIONS / many:,.0f}")
    print(f"mix / bare numpy                              {many / plain:.2f}  (goal {GOAL_RATIO})")
    print(f"one compose, intervals included               {1000 * single:.2f} ms  (goal {GOAL_MS})")


if __name__ == "__main__":
    main()
