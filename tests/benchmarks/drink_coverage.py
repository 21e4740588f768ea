"""How often the likely interval of a random recipe holds a drink whose ingredients truly differ.

Each recipe takes one to eight of the pantry's ingredients. Every figure of each that has a range is
drawn anew from a normal distribution around the usual value with two standard deviations to either
end (its own on either side), kept above zero; then the drink is mixed from what was drawn. What the
models leave open (pH, density) is not drawn, so that these cover more than they must. A pour stays
as many mL, a weighed amount as many g.
"""

import sys
from collections.abc import Iterator
from datetime import UTC, datetime

import numpy as np

from tasting.drink import content
from tasting.drink.arrays import Floats
from tasting.drink.composition import Composition, compose, part_grams
from tasting.drink.formula import Amount, Part, Version
from tasting.drink.mixture import FIGURES, mix
from tasting.drink.pantry import FIGURES as INGREDIENT_FIGURES
from tasting.drink.pantry import Ingredient, pantry
from tasting.drink.uncertainty import open_ranges
from tasting.units import ML_PER

RECIPES = 10_000
DRAWS = 40
PROMISE = 0.95
# A pour or a mass is what it is, and has no interval but for its volume.
COVERED = [figure for figure in FIGURES if figure not in ("mass_g",)]


def random_recipes(rng: np.random.Generator, count: int) -> Iterator[Version]:
    """Recipes such as a bar might write down: liquids in mL, solids in g."""
    shelf = list(pantry().values())
    for number in range(count):
        items = rng.choice(len(shelf), size=rng.integers(1, 9), replace=False)
        parts = tuple(_part(shelf[index], rng) for index in items)
        moment = datetime(2026, 1, 1, tzinfo=UTC)
        yield Version(id=f"r{number}", label=f"r{number}", parts=parts, created_at=moment)


def _part(item: Ingredient, rng: np.random.Generator) -> Part:
    solid = item.form == "solid"
    quantity = float(rng.uniform(0.2, 10) if solid else rng.uniform(2, 150))
    return Part(ingredient=item, amount=Amount(quantity=quantity, unit="g" if solid else "mL"))


def drawn(version: Version, rng: np.random.Generator, draws: int) -> Floats:
    """The figures of the drink, a row a draw: what its ingredients may truly be."""
    totals = sum((_lot(part, rng, draws) for part in version.parts), np.zeros(content.WIDTH))
    mixture = mix(totals)
    return np.column_stack([getattr(mixture, figure) for figure in COVERED])


def _lot(part: Part, rng: np.random.Generator, draws: int) -> Floats:
    item = part.ingredient
    usual = np.array(content.figures_of(item), dtype=float)
    rows = np.tile(usual, (draws, 1))
    for figure, (low, high) in open_ranges(item).items():
        at = INGREDIENT_FIGURES.index(figure)
        value = np.nan_to_num(usual[at])
        step = rng.standard_normal(draws)
        room = np.where(step < 0, value - low, high - value) / 2
        signed = figure == "other_cations_meq_per_100g"
        rows[:, at] = value + step * room if signed else np.maximum(value + step * room, 0.0)
    own = content.contents(
        rows, np.full(draws, item.form == "solid"), np.full(draws, item.holds_ph)
    )
    _move_energy(own, item, usual, rows)
    usual_row = content.content(item)
    own = np.where(np.isnan(own.sum(axis=1, keepdims=True)), usual_row, own)
    density = rows[:, INGREDIENT_FIGURES.index("density_kg_per_l")] / item.density_kg_per_l
    poured = density[:, None] if part.amount.unit in ML_PER else 1.0
    return part_grams(part) * poured * own


def _move_energy(own: Floats, item: Ingredient, usual: Floats, rows: Floats) -> None:
    """A table's energy is of the usual lot; a sweeter or stronger one has more by the factors of
    Regulation (EU) No 1169/2011, Annex XIV."""
    if item.energy_kcal_per_100g is None or "energy_kcal_per_100g" in item.ranges:
        return
    at = INGREDIENT_FIGURES.index("energy_kcal_per_100g")
    free = np.vstack([usual, rows])
    free[:, at] = np.nan
    kinds = (np.full(len(free), item.form == "solid"), np.full(len(free), item.holds_ph))
    table = content.contents(free, *kinds)
    for column in (content.KCAL, content.KJ):
        own[:, column] += table[1:, column] - table[0, column]


def held(made: Composition, table: Floats) -> Floats:
    """For each figure, the share of draws that its interval holds; a hair's breadth is let pass."""
    ends = np.array([(made.intervals[name].low, made.intervals[name].high) for name in COVERED])
    room = 1e-6 * np.maximum(np.abs(ends), 1e-3)
    inside = (table >= ends[:, 0] - room[:, 0]) & (table <= ends[:, 1] + room[:, 1])
    return np.asarray(inside.mean(axis=0))


def coverage(seed: int, recipes: int, draws: int) -> dict[str, float]:
    """Over all recipes and draws, by figure."""
    rng = np.random.default_rng(seed)
    shares = [
        held(compose(version), drawn(version, rng, draws))
        for version in random_recipes(rng, recipes)
    ]
    return dict(zip(COVERED, np.mean(shares, axis=0).tolist(), strict=True))


def main() -> int:
    """Print the coverage of every figure; 1 where one is below what is promised."""
    found = coverage(20260301, RECIPES, DRAWS)
    for figure, share in found.items():
        print(f"{figure:22} {share:.4f}")
    return int(min(found.values()) < PROMISE)


if __name__ == "__main__":
    sys.exit(main())
