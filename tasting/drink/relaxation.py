"""What no recipe can be: linear inequalities that every recipe with the demanded figures keeps.

Unknowns are the amounts in g and the volume in mL. A level is a sum of amounts over the volume, so
a demand on it is linear in both. Three things are not, and are each held between two lines:

- the volume: what mixing changes depends on the share of ethanol in ethanol and water, of sugars in
  sugars and water, and of salt in brine; each is a curve over its share, held between two lines;
- acidity and pH: at a fixed pH the base that holds the acids is linear but for the ionic strength,
  whose ends give the ends of each acid's charge (the pH is at most 3.1 where it takes no less than
  the present base to hold 3.1);
- a refractometer's reading of alcohol, which lies between its readings at both ends.

The lines are drawn closer in a few rounds, from the ranges that the rounds before left. So where
the inequalities have no solution, there is no recipe; where they have one, there may be.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import inf
from typing import Final

import numpy as np
from scipy.optimize import linprog

from tasting.drink import acidity, content, sugar
from tasting.drink.alcohol import ETHANOL_G_PER_ML
from tasting.drink.arrays import Floats
from tasting.drink.demands import Demand
from tasting.errors import TastingError

_ROUNDS: Final = 3
_CURVE_POINTS: Final = 257
# What a smooth curve may rise between two of the points, per square of the span (its curvature is
# below 3 here), and rounding.
_BETWEEN, _DUST = 1e-5, 1e-10
_INFEASIBLE: Final = 2

Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Room:
    """Between which ends the unknowns lie: g of each ingredient, and the volume in mL."""

    shelf: Floats
    low_g: Floats
    high_g: Floats
    volume_ml: Span

    @property
    def bounds(self) -> list[Span]:
        """The ends of each unknown, the volume last."""
        return [*zip(self.low_g.tolist(), self.high_g.tolist(), strict=True), self.volume_ml]


@dataclass(frozen=True, slots=True)
class _Known:
    """What the rounds before left of the shares of ethanol, sugar and salt, of the strength, and
    of the ionic strength at each pH that matters."""

    ethanol: Span
    sugars: Span
    salt: Span
    percent_vol: Span
    ionic: dict[float, Span]


@dataclass(frozen=True, slots=True)
class Relaxed:
    """Inequalities matrix @ unknowns <= 0, the ends of the unknowns, and the ranges by which they
    were drawn."""

    matrix: Floats
    room: Room
    known: _Known

    def also(self, one: Demand) -> "Relaxed":
        """The same with one more demand, drawn by the ranges that are known already."""
        ionic = {ph: _ionic(self, ph, None) for ph in _levels([one]) - self.known.ionic.keys()}
        known = replace(self.known, ionic=self.known.ionic | ionic)
        rows = _demanded(one, self.room.shelf, _sums(self.room.shelf), known)
        return replace(self, matrix=_unit_rows([*self.matrix, *rows]), known=known)

    def extreme(self, direction: Floats) -> Floats | None:
        """The unknowns where their sum with these weights is least; None where there are none."""
        found = linprog(
            direction,
            A_ub=self.matrix,
            b_ub=np.zeros(len(self.matrix)),
            bounds=self.room.bounds,
            method="highs",
        )
        if found.x is None and found.status != _INFEASIBLE:
            raise TastingError(f"the inequalities could not be solved ({found.message})")
        return None if found.x is None else np.asarray(found.x, dtype=float)

    def ends(self, weights: Floats) -> Span:
        """The least and the greatest sum with these weights; there is a solution."""
        low, high = (self.extreme(sign * weights) for sign in (1.0, -1.0))
        if low is None or high is None:
            raise TastingError("the inequalities have no solution any more")
        return float(weights @ low), float(weights @ high)


def relaxed(room: Room, demands: Sequence[Demand]) -> Relaxed | None:
    """The inequalities that every recipe keeps, drawn as close as a few rounds can; None where it
    is proven that there is no recipe."""
    known = _at_first(room)
    for _ in range(_ROUNDS):
        drawn = Relaxed(_matrix(room, demands, known), room, known)
        if drawn.extreme(np.zeros(len(room.bounds))) is None:
            return None
        known = _narrowed(drawn, known, demands)
    drawn = Relaxed(_matrix(room, demands, known), room, known)
    return None if drawn.extreme(np.zeros(len(room.bounds))) is None else drawn


def closer(drawn: Relaxed, demands: Sequence[Demand]) -> Relaxed | None:
    """The same in the room that is left for each amount."""
    count = len(drawn.room.low_g)
    ends = np.array([drawn.ends(np.eye(count + 1)[index]) for index in range(count)])
    low = np.maximum(ends[:, 0], drawn.room.low_g)
    high = np.clip(ends[:, 1], low, drawn.room.high_g)
    return relaxed(replace(drawn.room, low_g=low, high_g=high), demands)


def _sums(shelf: Floats) -> dict[str, Floats]:
    """What a gram of each ingredient brings of what the inequalities look at."""
    moles = shelf[:, content.ACIDS] / acidity.MOLAR_MASS
    carbonic = shelf[:, content.CO2] / acidity.CO2_G_PER_MOL + shelf[:, content.CARBON]
    return {
        "ethanol": shelf[:, content.ETHANOL],
        "water": shelf[:, content.WATER],
        "sugars": shelf[:, content.SUGARS].sum(axis=1),
        "salt": shelf[:, content.SALT],
        "moles": np.column_stack([moles, carbonic]).T,
        "cations": shelf[:, content.CATIONS],
        "mass": shelf[:, content.MASSES].sum(axis=1),
    }


def _of_each(part: Floats, rest: Floats) -> Span:
    """Between which shares a mixture lies: those of its ingredients."""
    whole = part + rest
    shares = (part / np.where(whole > 0, whole, 1.0))[whole > 0]
    return (float(shares.min()), float(shares.max())) if shares.size else (0.0, 0.0)


def _at_first(room: Room) -> _Known:
    sums = _sums(room.shelf)
    ethanol, sugars, salt = (
        _of_each(sums[name], sums["water"]) for name in ("ethanol", "sugars", "salt")
    )
    return _Known(ethanol, sugars, salt, (0.0, 100.0), {})


def _narrowed(drawn: Relaxed, known: _Known, demands: Sequence[Demand]) -> _Known:
    sums, (least_ml, most_ml) = _sums(drawn.room.shelf), drawn.room.volume_ml
    ends = {
        name: drawn.ends(np.append(sums[name], 0.0))
        for name in ("ethanol", "water", "sugars", "salt")
    }
    low, high = (100 * end / ETHANOL_G_PER_ML for end in ends["ethanol"])
    shares = {
        name: _share(ends[name], ends["water"], getattr(known, name))
        for name in ("ethanol", "sugars", "salt")
    }
    ionic = {ph: _ionic(drawn, ph, known.ionic.get(ph)) for ph in _levels(demands)}
    return _Known(percent_vol=(low / most_ml, high / least_ml), ionic=ionic, **shares)


def _share(part: Span, rest: Span, before: Span) -> Span:
    low = part[0] / max(part[0] + rest[1], _DUST)
    high = part[1] / max(part[1] + rest[0], _DUST)
    return max(low, before[0]), max(min(high, before[1]), max(low, before[0]))


def _levels(demands: Sequence[Demand]) -> set[float]:
    """The pH values at which something is held."""
    ends = {end for one in demands if one.figure == "ph" for end in (one.low, one.high)}
    sour = {acidity.END_POINT_PH} if any(one.figure == "ta_g_per_l" for one in demands) else set()
    return {end for end in ends if abs(end) < inf} | sour


def _moles(sums: dict[str, Floats], ph: float) -> Floats:
    """Of each acid (rows) in each ingredient; what is titrated is degassed."""
    moles = sums["moles"].copy()
    moles[-1] *= ph != acidity.END_POINT_PH
    return moles


def _charges(ph: float, ionic: Span | None) -> tuple[Floats, Floats, Floats, Floats]:
    low, high = ionic or (0.0, 1.0)
    gammas = acidity.log_activity(np.linspace(low, high, _CURVE_POINTS))
    return acidity.charges_between(
        ph, float(gammas.min()) - _BETWEEN, float(min(gammas.max() + _BETWEEN, 0.0))
    )


def _ionic(drawn: Relaxed, ph: float, before: Span | None) -> Span:
    """I = half the sum of squared charges, of H+ and OH-, and of the base that holds them."""
    charge, square, _, both = _charges(ph, before)
    moles = 1000 * _moles(_sums(drawn.room.shelf), ph)
    low = drawn.ends(np.append((square[0] + charge[0]) @ moles, 0.0))[0]
    high = drawn.ends(np.append((square[1] + charge[1]) @ moles, 0.0))[1]
    least_ml, most_ml = drawn.room.volume_ml
    return max(low / most_ml / 2, 0.0), high / least_ml / 2 + float(both[1])


def _matrix(room: Room, demands: Sequence[Demand], known: _Known) -> Floats:
    sums = _sums(room.shelf)
    rows = [*_volume_rows(room.shelf, known)]
    for one in demands:
        rows += _demanded(one, room.shelf, sums, known)
    return _unit_rows(rows)


def _unit_rows(rows: Sequence[Floats]) -> Floats:
    matrix = np.array(rows)
    size = np.abs(matrix).max(axis=1, keepdims=True)
    return np.asarray(matrix / np.where(size > 0, size, 1.0))


def _demanded(one: Demand, shelf: Floats, sums: dict[str, Floats], known: _Known) -> list[Floats]:
    if one.figure == "volume_ml":
        return []
    if one.figure in ("ta_g_per_l", "ph"):
        return _sour_rows(one, sums, known)
    if one.figure in ("brix", "refractometer_brix"):
        return _read_rows(one, shelf, sums["mass"], known)
    level = _LEVELS[one.figure](shelf)
    return _between(one, np.append(level, 0.0), np.append(np.zeros_like(level), 1.0))


def _between(
    one: Demand, top: Floats, bottom: Floats, less: float = 0, more: float = 0
) -> list[Floats]:
    """low <= top / bottom <= high, where the figure is between `less` and `more` above that."""
    rows = []
    if one.low > -inf:
        rows.append((one.low - more) * bottom - top)
    if one.high < inf:
        rows.append(top - (one.high - less) * bottom)
    return rows


_LEVELS: Final[dict[str, Callable[[Floats], Floats]]] = {
    "density_kg_per_l": lambda shelf: shelf[:, content.MASSES].sum(axis=1),
    "sugar_g_per_l": lambda shelf: 1000 * shelf[:, content.SUGARS].sum(axis=1),
    "sweetness_g_per_l": lambda shelf: (
        1000 * (shelf[:, content.SUGARS] @ sugar.SWEETNESS + shelf[:, content.SWEET])
    ),
    "co2_g_per_l": lambda shelf: 1000 * shelf[:, content.CO2],
    "alcohol_percent_vol": lambda shelf: 100 / ETHANOL_G_PER_ML * shelf[:, content.ETHANOL],
    "alcohol_g_per_l": lambda shelf: 1000 * shelf[:, content.ETHANOL],
    "energy_kcal_per_l": lambda shelf: 1000 * shelf[:, content.KCAL],
}


def _read_rows(one: Demand, shelf: Floats, mass: Floats, known: _Known) -> list[Floats]:
    """g per 100 g, and of a refractometer what the alcohol reads."""
    sugars, acids = (shelf[:, part].sum(axis=1) for part in (content.SUGARS, content.ACIDS))
    if one.figure == "brix":
        return _between(one, np.append(100 * (sugars + acids), 0.0), np.append(mass, 0.0))
    shown = 100 * (sugars + shelf[:, content.OTHER] + sugar.ACID_READS * acids)
    reads = sugar.alcohol_reads(np.linspace(*known.percent_vol, _CURVE_POINTS))
    ends = float(reads.min()), float(reads.max())
    return _between(one, np.append(shown, 0.0), np.append(mass, 0.0), *ends)


def _sour_rows(one: Demand, sums: dict[str, Floats], known: _Known) -> list[Floats]:
    """The base that holds the acids at a pH, against the cations that are there: more of it than
    they are up to that pH; of a titration, so much more at its end."""
    rows = []
    titrated = one.figure == "ta_g_per_l"
    for end, sign in ((one.low, -1), (one.high, 1)):
        if abs(end) == inf or (titrated and end <= 0):
            continue
        ph = acidity.END_POINT_PH if titrated else end
        charge, _, base, _ = _charges(ph, known.ionic.get(ph))
        # A titration needs no more than its upper end, a pH no less than holds it at its upper end.
        side = (0 if sign > 0 else 1) if titrated else (1 if sign > 0 else 0)
        held = np.append(charge[side] @ _moles(sums, ph) - sums["cations"], base[side] / 1000)
        if titrated:
            held[-1] -= end / acidity.CITRIC_G_PER_EQ / 1000
            rows.append(sign * held)
        else:
            rows.append(-sign * held)
    return rows


def _volume_rows(shelf: Floats, known: _Known) -> tuple[Floats, Floats]:
    """The volume is no less than the lower lines and no more than the upper ones."""
    low = high = _additive_ml(shelf)
    water = shelf[:, content.WATER]
    sugars = shelf[:, content.SUGARS].sum(axis=1)
    for column, part, span, alone in (
        (content.ETHANOL, shelf[:, content.ETHANOL], known.ethanol, True),
        (content.SUGARS.start, sugars, known.sugars, False),
        (content.SALT, shelf[:, content.SALT], known.salt, False),
    ):
        start, slope, below, above = _lines(column, span, alone)
        line = start * (part + water) + slope * part
        low = low + line + below * (part + water)
        high = high + line + above * (part + water)
    return np.append(low, -1.0), np.append(-high, 1.0)


def _mixed_ml(column: int, shares: Floats) -> Floats:
    """Volume of a gram of something and water, by the share of it."""
    totals = np.zeros((len(shares), content.WIDTH))
    totals[:, column], totals[:, content.WATER] = shares, 1 - shares
    return content.model_volume_ml(totals)


def _additive_ml(shelf: Floats) -> Floats:
    """What adds up of the volume: acids, other solids, residues, and sugars unlike sucrose."""
    one = np.eye(content.WIDTH)
    columns = [*range(content.ACIDS.start, content.ACIDS.stop), content.OTHER]
    volume = shelf[:, columns] @ content.model_volume_ml(one[columns]) + shelf[:, content.RESIDUE]
    first = content.SUGARS.start
    tenth = np.array([0.1])
    for column in range(first + 1, content.SUGARS.stop):
        beyond = (_mixed_ml(column, tenth) - _mixed_ml(first, tenth)) / tenth
        volume = volume + shelf[:, column] * beyond
    return np.asarray(volume)


def _lines(column: int, span: Span, alone: bool) -> tuple[float, float, float, float]:
    """A line through both ends of the curve, and how far the curve lies below and above it. What is
    not counted `alone` is counted beside its water."""
    low, high = span
    shares = np.linspace(low, high, _CURVE_POINTS)
    curve = _mixed_ml(column, shares)
    if not alone:
        empty = np.zeros(len(shares))
        curve = curve - (1 - shares) * _mixed_ml(column, empty)
    slope = float((curve[-1] - curve[0]) / (high - low)) if high > low else 0.0
    start = float(curve[0] - slope * low)
    off = curve - start - slope * shares
    pad = _BETWEEN * (high - low) ** 2 + _DUST
    return start, slope, float(off.min()) - pad, float(off.max()) + pad
