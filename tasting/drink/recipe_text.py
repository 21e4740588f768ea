"""A recipe as on paper: one line an ingredient, read line by line, and written again.

Besides amounts a recipe may say "top with soda to 225 mL", "dilution 30 %" for ice that melts,
"1 part = 30 mL" or "total 180 mL" where it counts in parts, and "makes 4 servings". Bullets,
numbers, blank lines, headings and the method that follows them in a message are passed over.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any, Final, Literal

from pydantic import ValidationError

from tasting.drink import measures
from tasting.drink.composition import compose
from tasting.drink.formula import Amount, Part, Version
from tasting.drink.ice import melt_g
from tasting.drink.pantry import ingredient
from tasting.drink.shelf import Shelf
from tasting.errors import InputError
from tasting.reading import read_number
from tasting.records import all_faults, sentence
from tasting.units import ML_PER, PART, counted, read_line, unit_for
from tasting.wording import exact, short

_LARGEST_QUANTITY: Final = 1e6
"""Beyond any batch; a version can never be deleted, so a slip of the finger is refused."""

_LEAST_TOPPING_ML: Final = 0.05

_BULLET: Final = re.compile(r"^\s*(?:\[[ xX]?\]|[•·▪◦‣☐✓]|[-*+–—>](?=\s)|\d{1,2}[.)](?=\s))\s*")
_COUNTED_OUT: Final = {"a": "1", "an": "1", "one": "1", "two": "2", "three": "3", "half": "1/2"}
# A dash or colon between a name and its amount is no minus.
_DASH: Final = re.compile(r"(?<=[^\W\d])\s*[-–—:]\s+(?=[\d½¼¾])")
_WORD: Final = re.compile(rf"^(?:({'|'.join(_COUNTED_OUT)})\s+(?:an?\s+)?)?(?=[a-z])", re.I)
_TOP: Final = re.compile(r"^(?:top|fill)(?:ped|ed)?(?:\s+(?:up|off))?(?:\s+with)?\s+(.+)$", re.I)
_UP_TO: Final = re.compile(r"^(.*?\S)[,:]?\s+(?:(?:top|fill)?\s*up\s+|top\s+)?to\s+(\S.*)$", re.I)
_DILUTION: Final = re.compile(
    r"^(?:dilution|diluted(?:\s+by)?|melting ice)\s*[:=]?\s*(\S+?)\s*%$|^(\S+?)\s*%\s+dilution$",
    re.I,
)
_ONE_PART: Final = re.compile(r"^(?:1|one)\s+part\s*(?:=|:|is\s)\s*(.+)$", re.I)
_TOTAL: Final = re.compile(r"^total\s*[:=]?\s+(.+)$", re.I)
_MAKES: Final = re.compile(
    r"^(?:serves|makes|servings)\s*:?\s*(\S+)(?:\s+(?:servings?|drinks?))?$", re.I
)
_METHOD: Final = re.compile(
    r"^(?:method|instructions?|directions?|preparation|steps|garnish|glass|ice|notes?)\s*:", re.I
)

_ICE: Final = ingredient("ice")

State = Literal["read", "asked", "passed over"]


@dataclass(frozen=True, slots=True)
class Offer:
    """An ingredient that a line may mean, and the line as it would then be written."""

    name: str
    line: str


@dataclass(frozen=True, slots=True)
class RecipeLine:
    """A line of a recipe: what was typed, and how it was understood.

    amount, name: as read, or what is asked where `state` says so
    follows: whether the amount follows from the other lines
    unknown: a name that nothing on the shelf goes by; offers: what it may mean
    """

    number: int
    typed: str
    state: State
    amount: str = ""
    name: str = ""
    part: Part | None = None
    follows: bool = False
    unknown: str = ""
    offers: tuple[Offer, ...] = ()

    @property
    def said(self) -> str:
        """How the line was understood, or what is asked."""
        return f"{self.amount} {self.name}".strip()


@dataclass(frozen=True, slots=True)
class Recipe:
    """All lines, and how many servings they make together."""

    lines: tuple[RecipeLine, ...]
    servings: float = 1.0

    @property
    def questions(self) -> tuple[RecipeLine, ...]:
        """Lines that are not understood; one that follows from the others waits for these."""
        asked = [line for line in self.lines if line.state == "asked"]
        first = [line for line in asked if not line.follows]
        return tuple(first or asked)

    @property
    def parts(self) -> tuple[Part, ...]:
        """The parts. Raises InputError with one sentence for each line that is not understood."""
        asked = self.questions
        if asked:
            said = [f"line {line.number}: {line.said.rstrip('.')}" for line in asked]
            raise InputError("; ".join(said) if len(said) == 1 else all_faults(said))
        parts = tuple(line.part for line in self.lines if line.part)
        if not parts:
            raise InputError("the recipe has no ingredient yet; write one, such as 45 mL gin")
        return parts


@dataclass(frozen=True, slots=True)
class _Besides:
    """What a recipe says besides its ingredients; `part` and `total` as typed."""

    servings: float = 1.0
    part: str = ""
    total: str = ""

    def size(self, count: float) -> Amount:
        """The volume of one of so many parts. Raises InputError."""
        if not (self.part or self.total):
            raise InputError(
                "how large is a part? Add a line, such as 1 part = 30 mL, or total 180 mL"
            )
        size = Amount.parse(self.part or self.total).of("liquid")
        if size.unit not in ML_PER:
            raise InputError(f"the size of a part is a volume, such as 30 mL, not {size}")
        return size if self.part else Amount(quantity=size.quantity / count, unit=size.unit)


@dataclass(frozen=True, slots=True)
class _Measured:
    """A line whose ingredient is known. The unit may still be PART.

    up_to: what a top line fills up to; dilution_percent: how much of the rest ice melts into it;
    where one of them is given there is no quantity, because it follows from the other lines
    """

    line: RecipeLine
    quantity: float = 0.0
    unit: str = ""
    up_to: str = ""
    dilution_percent: float | None = None

    @property
    def follows(self) -> bool:
        """Whether its amount follows from the other lines."""
        return bool(self.up_to) or self.dilution_percent is not None


def write(
    parts: Sequence[tuple[str, Amount]], servings: float = 1.0, *, comma: bool = False
) -> str:
    """A recipe of named amounts as text that reads as the same again.

    comma: whether decimals stand behind a comma, as most of Europe writes them
    """
    lines = [
        f"{_digits(amount.quantity, comma)} {counted(amount.quantity, amount.unit)} {name}"
        for name, amount in parts
    ]
    made = [] if servings == 1 else [f"makes {_digits(servings, comma)} servings"]
    return "\n".join([*lines, *made])


def _digits(quantity: float, comma: bool) -> str:
    """All digits; of three decimals a fourth, because 1,125 could mean thousands."""
    text = exact(quantity)
    if not comma or "." not in text:
        return text
    return text.replace(".", ",") + ("0" if len(text.partition(".")[2]) == 3 else "")


def read(text: str, shelf: Shelf) -> Recipe:
    """The recipe as understood. It raises nothing: what is not understood is asked line by line."""
    besides, found = _Besides(), []
    method = False
    for number, typed in enumerate(text.splitlines(), 1):
        line, bare = (
            RecipeLine(number, typed, "passed over"),
            _DASH.sub(" ", _BULLET.sub("", typed)).strip(),
        )
        method = bool(_METHOD.match(bare)) or (method and not _is_heading(bare))
        if method or not bare or _is_heading(bare):
            found.append(_Measured(line))
            continue
        try:
            more = _read_besides(line, bare, besides)
            besides = more[0] if more else besides
            found.append(_Measured(more[1]) if more else _measured(line, bare, shelf))
        except InputError as error:
            found.append(_Measured(_asked(line, str(error))))
    return Recipe(_with_parts(found, shelf, besides), besides.servings)


def read_more(typed: str, shelf: Shelf, there: Sequence[Part]) -> RecipeLine:
    """One line more for a drink that holds these parts already. Raises InputError for a line that
    names no ingredient, such as one of the method; what is not clear is asked as in `read`."""
    line, bare = RecipeLine(1, typed, "passed over"), _DASH.sub(" ", _BULLET.sub("", typed)).strip()
    one = _measured(line, bare, shelf)
    if one.follows and one.line.state == "read":
        return _following(one, [RecipeLine(0, "", "read", part=part) for part in there], shelf)
    return _with_part(one, shelf, _Besides(), 1)


def _is_heading(bare: str) -> bool:
    return bare.endswith(":") or bare.startswith("#")


def _asked(line: RecipeLine, what: str, **more: Any) -> RecipeLine:
    return replace(line, state="asked", amount="", name=what, **more)


def _read_besides(
    line: RecipeLine, bare: str, before: _Besides
) -> tuple[_Besides, RecipeLine] | None:
    """What a line says that names no ingredient; None where it is none of these."""
    if found := _MAKES.match(bare):
        servings = read_number(found[1])
        if not 0 < servings <= _LARGEST_QUANTITY:
            raise InputError(f"{found[1]} servings cannot be; write a number above 0")
        after, said = replace(before, servings=servings), f"makes {exact(servings)}"
    elif found := _ONE_PART.match(bare):
        after, said = replace(before, part=found[1]), f"1 part is {found[1]}"
    elif found := _TOTAL.match(bare):
        after, said = replace(before, total=found[1]), f"all parts are {found[1]}"
    else:
        return None
    return after, replace(line, name=said)


def _measured(line: RecipeLine, bare: str, shelf: Shelf) -> _Measured:
    """The line with its ingredient, and what is measured of it. Raises InputError."""
    diluted = _DILUTION.match(bare)
    if diluted:
        percent = read_number(diluted[1] or diluted[2])
        return _Measured(replace(line, state="read", name=_ICE.name), dilution_percent=percent)
    topped = _top(bare)
    if topped:
        name, end = topped
        if not end:
            raise InputError(f"up to what? Write, for example, top with {name} to 225 mL")
        named = _named(line, name, shelf, lambda shown: f"top with {shown} to {end}")
        return _Measured(named, up_to=end)
    typed = read_line(_with_digits(bare))
    name = typed.rest.strip(" ,;:–-")
    if not name:
        raise InputError("the ingredient is missing; write its name behind the amount")
    if typed.quantity is None:
        return _Measured(_without_amount(line, name, shelf))
    if not typed.unit:
        raise InputError(f"{exact(typed.quantity)} of what? Write a unit, such as mL or g")
    written = f"{exact(typed.quantity)} {counted(typed.quantity, typed.unit)}"
    named = _named(line, name, shelf, lambda shown: f"{written} {shown}")
    return _Measured(named, typed.quantity, typed.unit)


def _without_amount(line: RecipeLine, name: str, shelf: Shelf) -> RecipeLine:
    """A greeting or a step of the method is passed over; what names an ingredient is asked."""
    there = shelf.mentioned(name)
    if there:
        some = "15 ml" if shelf.known[there].form == "liquid" else "5 g"
        return _asked(line, f"how much? Write an amount in front, such as {some} {there}")
    return replace(line, name="no ingredient: ignored")


def _with_digits(bare: str) -> str:
    """A measure that is counted in a word, or not at all, with a number: "a dash of bitters"."""
    found = _WORD.match(bare)
    if not found:
        return bare
    counted_out = f"{_COUNTED_OUT[(found[1] or 'a').casefold()]} {bare[found.end() :]}"
    typed = read_line(counted_out)
    return counted_out if typed.unit and typed.rest else bare


def _top(bare: str) -> tuple[str, str] | None:
    """Ingredient and volume of "top with soda to 225 mL"; the volume is empty where it is not said.

    None for any other line.
    """
    asked = _TOP.match(bare)
    found = _UP_TO.match(asked[1] if asked else bare)
    if found and (asked or not read_line(found[1]).unit):
        return found[1], found[2]
    return (asked[1], "") if asked else None


def _named(line: RecipeLine, name: str, shelf: Shelf, written: Callable[[str], str]) -> RecipeLine:
    """The line with its ingredient; where that is doubtful or unknown, it is asked.

    written: the line with another name in it
    """
    found = shelf.find(name) or shelf.find(f"of {name}")
    if len(found) == 1:
        return replace(line, state="read", name=found[0])
    offers = tuple(Offer(shown, written(shown)) for shown in found or shelf.alike(name))
    if found:
        return _asked(line, f"which “{name}”?", offers=offers)
    pick = ", or pick one" if offers else ""
    return _asked(line, f"“{name}” is not known here; add it{pick}", unknown=name, offers=offers)


def _with_parts(
    measured: Sequence[_Measured], shelf: Shelf, besides: _Besides
) -> tuple[RecipeLine, ...]:
    """All lines with their parts; the one that fills up comes last, because it needs the others."""
    count = sum(one.quantity for one in measured if one.unit == PART)
    lines = [
        one.line if one.follows else _with_part(one, shelf, besides, count) for one in measured
    ]
    # Ice first: what is topped up is topped up after stirring.
    ordered = sorted(enumerate(measured), key=lambda pair: pair[1].dilution_percent is None)
    for place, one in ordered:
        if one.follows and one.line.state == "read":
            lines[place] = _following(one, [*lines[:place], *lines[place + 1 :]], shelf)
    return tuple(lines)


def _tried(line: RecipeLine, part: Callable[[], Part]) -> RecipeLine:
    """The line with its part, or asked where that cannot be made."""
    try:
        made = part()
        unclear = measures.missing_bulk_density(made)
    except InputError as error:
        return _asked(line, str(error))
    except ValidationError as error:
        # The line says where; on paper no field is called so.
        return _asked(line, sentence(error).removeprefix("quantity: "))
    if unclear:
        return _asked(line, unclear)
    return replace(line, part=made, amount=measures.briefly(made))


def _with_part(one: _Measured, shelf: Shelf, besides: _Besides, count: float) -> RecipeLine:
    if one.line.state != "read":
        return one.line
    item = shelf.known[one.line.name]

    def made() -> Part:
        quantity, unit = one.quantity, unit_for(one.unit, item.form)
        if unit == PART:
            size = besides.size(count)
            quantity, unit = float(f"{quantity * size.quantity:.12g}"), size.unit
        if quantity > _LARGEST_QUANTITY:
            raise InputError(f"{short(quantity)} {unit} is too large; check the number")
        return Part(ingredient=item, amount=Amount(quantity=quantity, unit=unit))

    return _tried(one.line, made)


def _following(one: _Measured, others: Sequence[RecipeLine], shelf: Shelf) -> RecipeLine:
    def made() -> Part:
        if any(line.state == "asked" for line in others):
            raise InputError("how much it takes is known once all other lines are read")
        parts = [line.part for line in others if line.part]
        if one.dilution_percent is None:
            return _topping(one, parts, shelf)
        return _melting(one.dilution_percent, parts)

    return replace(_tried(one.line, made), follows=True)


def _melting(dilution_percent: float, parts: Sequence[Part]) -> Part:
    """Ice that melts into these parts, to a tenth of a g. Raises InputError."""
    if not parts:
        raise InputError("there is nothing to dilute yet; write the other lines")
    grams = round(melt_g(compose(_rest(parts)), dilution_percent), 1)
    return Part(ingredient=_ICE, amount=Amount(quantity=grams, unit="g"))


def _topping(one: _Measured, parts: Sequence[Part], shelf: Shelf) -> Part:
    """What fills up, to a tenth of a mL. Raises InputError."""
    total = Amount.parse(one.up_to).of("liquid")
    if total.unit not in ML_PER:
        raise InputError(f"top up to a volume, such as 225 mL, not {total}")
    filled = compose(_rest(parts)).volume_ml if parts else 0.0
    room = total.quantity * ML_PER[total.unit] - filled
    if room < _LEAST_TOPPING_ML:
        raise InputError(f"the other lines are {short(-room, 3)} mL more than {total} already")
    amount = Amount(quantity=round(room, 1), unit="mL")
    return Part(ingredient=shelf.known[one.line.name], amount=amount)


def _rest(parts: Sequence[Part]) -> Version:
    return Version(id="rest", label="rest", parts=tuple(parts), created_at=datetime.now(UTC))
