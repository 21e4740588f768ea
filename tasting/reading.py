"""The one place that reads numbers as people type them.

22.5, 22,5, 1/2, ½, 1 1/2, 1½, 1 000 and 1.234,5 are read. A point is a decimal point wherever it
stands alone. One comma with three digits behind it may part decimals or thousands ("1,000"), so
that is refused, unless nothing but 0 stands before it ("0,125").
"""

import re
import unicodedata
from dataclasses import dataclass
from math import isfinite
from typing import Final

from tasting.errors import InputError

# Unicode Standard: characters of the name VULGAR FRACTION that stand for one value.
_VULGAR: Final = {
    sign: unicodedata.numeric(sign)
    for sign in map(chr, [*range(0xBC, 0xBF), *range(0x2150, 0x218A)])
    if "VULGAR FRACTION" in unicodedata.name(sign, "")
}
_SPACES: Final = re.compile("[\N{NO-BREAK SPACE}\N{THIN SPACE}\N{NARROW NO-BREAK SPACE}\t]")
_NUMBER: Final = re.compile(
    rf"""\s*(?P<sign>[+\-\N{{MINUS SIGN}}]?)\ *
    (?: (?:(?P<before>[0-9]+)\ *)? (?P<vulgar>[{"".join(_VULGAR)}])
      | (?:(?P<whole>[0-9]+)\ +)? (?P<top>[0-9]+)\ *[/\u2044\u2215]\ *(?P<bottom>[0-9]+)
      | (?=[.,]?[0-9]) (?P<integer>[0-9]{{1,3}}(?:[ '’][0-9]{{3}})+(?![0-9]) | [0-9]*)
        (?P<places>(?:[.,][0-9]*)*) (?P<exponent>(?:[eE][+-]?[0-9]+)?)
    )""",
    re.VERBOSE,
)
# What goes on like this is no number with something behind it: 1/2/3, 2-3, ½½, 10:30.
_GOES_ON: Final = re.compile(rf"\ *[-–+*/^:=0-9\N{{MINUS SIGN}}{''.join(_VULGAR)}]")


@dataclass(frozen=True, slots=True)
class Numeral:
    """A number at the beginning of a text, whether it has a sign, and what stands behind it."""

    value: float
    signed: bool
    rest: str


def read_number(text: str) -> float:
    """The number that a text is. Raises InputError for anything else, or for two meanings.

    >>> read_number("22,5"), read_number("1 1/2"), read_number("½"), read_number("−0.5")
    (22.5, 1.5, 0.5, -0.5)
    """
    found = numeral(text)
    if found is None or found.rest:
        raise _no_number(text)
    return found.value


def read_whole(text: str) -> int:
    """The whole number that a text is. Raises InputError also for one with decimals.

    >>> read_whole("24"), read_whole("1 000")
    (24, 1000)
    """
    value = read_number(text)
    if not value.is_integer():
        raise InputError(f"{text.strip()!r} is not a whole number; write one, such as 24")
    return int(value)


_PLUS_MINUS: Final = re.compile(r"±|\+/?-")


def read_plus_minus(text: str) -> tuple[float, float | None]:
    """A number, and what stands behind ± (or +-), if anything. Raises InputError.

    >>> read_plus_minus("6,2 ± 0.15"), read_plus_minus("3.1")
    ((6.2, 0.15), (3.1, None))
    """
    value, *half = _PLUS_MINUS.split(text, maxsplit=1)
    known = read_number(half[0]) if half else None
    if known is not None and known <= 0:
        raise InputError(f"±{half[0].strip()} is not an uncertainty; write a number above 0")
    return read_number(value), known


def numeral(text: str) -> Numeral | None:
    """The number at the beginning of a text; None where there is none.

    Raises InputError for what begins like one and is none, or has two meanings.

    >>> numeral("1½ oz gin").rest
    'oz gin'
    """
    plain = _SPACES.sub(" ", text)
    found = _NUMBER.match(plain)
    if not found:
        return None
    rest = plain[found.end() :]
    if _GOES_ON.match(rest):
        raise _no_number(text)
    value = _value(found, text)
    if not isfinite(value):
        raise _no_number(text)
    sign = found["sign"]
    return Numeral(value if sign in ("", "+") else -value, bool(sign), rest.strip())


def _value(match: re.Match[str], text: str) -> float:
    if match["vulgar"]:
        return int(match["before"] or 0) + _VULGAR[match["vulgar"]]
    if match["top"]:
        return _fraction(match, text)
    integer = re.sub("[ '’]", "", match["integer"])
    plain = _point(integer, match["places"], text, grouped=integer != match["integer"])
    return float(plain + match["exponent"])


def _fraction(match: re.Match[str], text: str) -> float:
    """1 1/2 and 3/2, but not 1 3/2, which nobody writes on purpose."""
    top, bottom = int(match["top"]), int(match["bottom"])
    if bottom == 0 or (match["whole"] and top >= bottom):
        raise _no_number(text)
    return int(match["whole"] or 0) + top / bottom


def _point(integer: str, places: str, text: str, *, grouped: bool) -> str:
    """The digits with a point before the decimals, if any, and with nothing else."""
    signs = [sign for sign in places if sign in ".,"]
    pieces = re.split("[.,]", places)[1:]
    if not signs:
        return integer
    if len(signs) == 1:
        thousands = places[0] == "," and not grouped and _groups(integer, pieces)
        if thousands:
            raise _two_meanings(text, integer, pieces[0])
        return f"{integer or 0}.{pieces[0]}"
    *inner, last = signs
    same = len(set(signs)) == 1
    if grouped or len(set(inner)) > 1 or not _groups(integer, pieces if same else pieces[:-1]):
        raise _no_number(text)
    return integer + ("".join(pieces) if same else "".join(pieces[:-1]) + f".{pieces[-1]}")


def _groups(integer: str, pieces: list[str]) -> bool:
    """Whether these could be thousands, millions and so on, behind the first digits."""
    return (
        1 <= len(integer) <= 3
        and not integer.startswith("0")
        and all(len(piece) == 3 for piece in pieces)
    )


def _two_meanings(text: str, integer: str, piece: str) -> InputError:
    decimal = f"{integer}.{piece}".rstrip("0").rstrip(".")
    return InputError(
        f"{text.strip()!r} can mean {decimal} or {integer}{piece}; write it as one of these"
    )


def _no_number(text: str) -> InputError:
    if not text.strip():
        return InputError("nothing is written where a number belongs; write one, such as 22.5")
    return InputError(f"{text.strip()!r} is not a number; write it as 22.5, 22,5, 1/2 or 1 1/2")
