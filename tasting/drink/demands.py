"""What a drink must be like: a reference's label and measurements as intervals of computed figures;
and how much of each ingredient may go into it."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from math import hypot, inf
from typing import Final

from tasting.drink import sugar
from tasting.drink.formula import Amount
from tasting.drink.label import Reference, bands
from tasting.drink.mixture import NAMES
from tasting.drink.pantry import Ingredient, ingredient
from tasting.drink.uncertainty import PH_MODEL, REFRACTOMETER_MODEL, density_model_kg_per_l
from tasting.errors import InputError
from tasting.reading import read_number
from tasting.records import checked
from tasting.units import AmountLine, read_line
from tasting.wording import interval, short

# How exactly a glass is filled, as a share of its volume (a judgement).
_FILLED: Final = 0.005
DEMANDABLE: Final = tuple(name for name in NAMES if name not in ("mass_g", "energy_kj_per_l"))


@dataclass(frozen=True, slots=True)
class Demand:
    """A figure of `mixture.FIGURES` between two ends, both allowed, in its own unit."""

    figure: str
    low: float
    high: float

    @property
    def floor(self) -> float:
        """The lower end; none where it is 0, which nothing is below."""
        return self.low if self.low > 0 else -inf

    @property
    def half(self) -> float:
        """Half its width; of a demand that is open at one side 1 % of its end."""
        if self.low > -inf and self.high < inf:
            return max((self.high - self.low) / 2, 1e-9)
        end = self.high if self.high < inf else self.low
        return max(0.01 * abs(end), 1e-9)

    def __str__(self) -> str:
        known = NAMES[self.figure]
        if self.floor == -inf:
            return f"{known.name} at most {known.write(self.high)}"
        if self.high == inf:
            return f"{known.name} at least {known.write(self.low)}"
        return f"{known.name} {interval(self.low, self.high, known.bare)} {known.unit}".strip()


def demand(figure: str, low: float, high: float) -> Demand:
    """A checked demand. Raises InputError for a figure that is none, or ends the wrong way round.

    >>> str(demand("ta_g_per_l", 6.0, 6.5))
    'TA 6.00–6.50 g/L'
    """
    if figure not in DEMANDABLE:
        raise InputError(f"{figure!r} cannot be demanded; use one of: {', '.join(DEMANDABLE)}")
    if not low <= high:
        raise InputError(
            f"{NAMES[figure].name} from {short(low)} to {short(high)} is an empty range; give the "
            "lower end first"
        )
    return Demand(figure, low, high)


ASKED: Final = {
    "volume": "volume_ml",
    "alcohol": "alcohol_percent_vol",
    "energy": "energy_kcal_per_l",
    "sugar": "sugar_g_per_l",
    "sweetness": "sweetness_g_per_l",
    "ta": "ta_g_per_l",
    "ph": "ph",
    "co2": "co2_g_per_l",
    "density": "density_kg_per_l",
    "refractometer": "refractometer_brix",
}
"""How a demand names its figure when it is typed."""
_BOUND: Final = (
    r"(?P<most><=|≤|\b(?:no|not) more than\b|\bat most\b|\bup to\b)"
    r"|(?P<least>>=|≥|\b(?:no|not) less than\b|\bat least\b)"
)
_DEMAND: Final = re.compile(
    rf"\s*(?P<name>[A-Za-z0-9₂]+)\s+(?:(?:{_BOUND})\s*(?P<end>\S+)"
    r"|(?P<low>[^\s–-]+)\s*(?:-|–|to)\s*(?P<high>\S+))(?:\s+[^\d\s]\S*)?(?:\s+vol)?\s*$",
    re.IGNORECASE,
)


def read_demand(text: str) -> Demand:
    """A demand as it is typed, per litre. Raises InputError for anything else.

    >>> str(read_demand("CO₂ 5,5-6.5 g/L")), str(read_demand("sweetness at most 80"))
    ('carbon dioxide 5.5–6.5 g/L', 'sweetness as sucrose at most 80.0 g/L')
    """
    read = _DEMAND.match(text)
    figure = read and ASKED.get(read["name"].casefold().replace("₂", "2"))
    if read is None or figure is None:
        raise InputError(
            f'the demand {text.strip()!r} is not understood; write it as "co2 5.5-6.5" or '
            f'"sweetness <= 80", with one of: {", ".join(ASKED)}'
        )
    if read["most"]:
        return demand(figure, 0.0, read_number(read["end"]))
    if read["least"]:
        return demand(figure, read_number(read["end"]), inf)
    return demand(figure, read_number(read["low"]), read_number(read["high"]))


def demands_of(reference: Reference) -> tuple[Demand, ...]:
    """What a computed drink must be like to be this reference: its printed values as they may have
    been rounded, its measured ones within their repeatability and what our models of pH and
    refraction leave open (added in quadrature), and its serving within half a per cent."""
    serving = reference.serving_ml
    volume = Demand("volume_ml", serving * (1 - _FILLED), serving * (1 + _FILLED))
    strength = reference.alcohol_percent_vol or 0.0
    meant = bands(reference)
    found = [_widened(figure, low.low, low.high, strength) for figure, (low, _) in meant.items()]
    return (volume, *found)


def _widened(figure: str, low: float, high: float, alcohol_percent_vol: float) -> Demand:
    model = model_half(figure, alcohol_percent_vol)
    middle, half = (low + high) / 2, hypot((high - low) / 2, model)
    return Demand(figure, max(middle - half, 0.0), middle + half)


def model_half(figure: str, alcohol_percent_vol: float, sugar_g_per_l: float = 0.0) -> float:
    """What the model of a figure leaves open, either way; 0 where it only adds up."""
    if figure == "ph":
        return PH_MODEL
    if figure == "refractometer_brix":
        return REFRACTOMETER_MODEL * float(sugar.alcohol_reads(alcohol_percent_vol))
    if figure == "density_kg_per_l":
        return density_model_kg_per_l(alcohol_percent_vol, sugar_g_per_l)
    return 0.0


@dataclass(frozen=True, slots=True)
class Limits:
    """How much of an ingredient may go in; None: no limit of its own. The same amount twice: just
    so much."""

    ingredient: Ingredient
    least: Amount | None = None
    most: Amount | None = None

    @property
    def fixed(self) -> bool:
        """Whether the amount is given."""
        return self.least is not None and self.least == self.most

    def __str__(self) -> str:
        name = self.ingredient.name
        if self.fixed:
            return f"just {self.most} {name}"
        if self.least is None:
            return name if self.most is None else f"at most {self.most} {name}"
        if self.most is None:
            return f"at least {self.least} {name}"
        if self.least.unit == self.most.unit:
            return f"{name} {short(self.least.quantity)}–{self.most}"
        return f"{name} from {self.least} to {self.most}"


_LIMIT: Final = re.compile(_BOUND, re.IGNORECASE)
_FROM_TO: Final = re.compile(
    r"(?P<before>^|.*?\s)(?P<low>\d[\d.,]*)\s*(?:[-–—]|to)\s*(?P<rest>\d.*)$", re.IGNORECASE
)
_ONLY: Final = re.compile(r"\s+only\s*$", re.IGNORECASE)


Find = Callable[[str], Ingredient]
"""What a name stands for. Raises InputError for one that stands for nothing."""


def read_limits(text: str, find: Find = ingredient) -> Limits:
    """Limits as people write them; `find` says what a name stands for, usually in the pantry.

    "rhubarb juice" in any amount, "60 ml rhubarb juice" just so much, "rhubarb juice 40–80 mL",
    "no more than 0.5 g citric acid" or "citric acid <= 0.5 g", "at least 10 mL lemon juice".
    Raises InputError for anything else.

    >>> str(read_limits("rhubarb juice 40-80 mL")), str(read_limits("citric acid ≤ 0,5 g"))
    ('rhubarb juice 40–80 mL', 'at most 0.5 g citric acid, anhydrous')
    """
    plain = _ONLY.sub("", text.strip())
    bound, between = _LIMIT.search(plain), _FROM_TO.match(plain)
    if bound:
        line = read_line(f"{plain[: bound.start()]} {plain[bound.end() :]}".strip())
        item, end = _item(line, find), _amount(line, text)
        return _settled(item, None, end) if bound["most"] else _settled(item, end, None)
    if between:
        line = read_line(f"{between['before']}{between['rest']}".strip())
        high, low = _amount(line, text), read_number(between["low"])
        least = checked(Amount, {"quantity": low, "unit": high.unit}) if low else None
        return _in_order(_settled(_item(line, find), least, high))
    line = read_line(plain)
    if line.quantity is None:
        return Limits(_item(line, find))
    return _settled(_item(line, find), *2 * (_amount(line, text),))


def _amount(line: AmountLine, text: str) -> Amount:
    if line.quantity is None or not line.unit:
        raise InputError(
            f'{text!r} does not say how much; write it as in "rhubarb juice 40-80 mL", '
            '"citric acid <= 0.5 g" or "60 mL rhubarb juice"'
        )
    return checked(Amount, {"quantity": line.quantity, "unit": line.unit})


def _item(line: AmountLine, find: Find) -> Ingredient:
    return find(line.rest.strip(" ,;:="))


def _settled(item: Ingredient, least: Amount | None, most: Amount | None) -> Limits:
    low, high = (end and end.of(item.form) for end in (least, most))
    return Limits(item, low, high)


def _in_order(limits: Limits) -> Limits:
    low, high = limits.least, limits.most
    if low is not None and high is not None and low.quantity > high.quantity:
        raise InputError(f"{limits} is an empty range; give the lower end first")
    return limits
