"""The one place that writes numbers, shares, intervals, p-values, signs and days.

Everywhere: a real minus sign, ∞, no negative zero, no exponent, and a dash for what is not known.
"""

from collections.abc import Callable
from datetime import date, datetime, time
from decimal import Decimal
from math import isfinite
from typing import Final, Protocol

MINUS: Final = "\N{MINUS SIGN}"
UNKNOWN: Final = "\N{EN DASH}"
_LEAST_P: Final = 0.0001
_APART: Final = " – "
Writer = Callable[[float], str]


class _WithInterval(Protocol):
    # As `tasting.stats` estimates it; properties, so that a frozen record fits.
    @property
    def value(self) -> float: ...
    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...


def clock(moment: datetime) -> str:
    """The time of a moment, by the clock of this machine.

    >>> clock(datetime(2026, 11, 3, 21, 4))
    '21:04'
    """
    return f"{moment.astimezone():%H:%M}"


def day(moment: date | None) -> str:
    """A moment as a day; nothing as a dash.

    >>> day(datetime(2026, 11, 3, 18, 30)), day(None)
    ('3 Nov 2026', '–')
    """
    return f"{moment.day} {moment:%b %Y}" if moment else UNKNOWN


def appointment(on: date | None, at: time | None) -> str:
    """A day and a time that were planned, as far as they were.

    >>> appointment(date(2026, 11, 3), time(19, 30)), appointment(date(2026, 11, 3), None)
    ('3 Nov 2026, 19:30', '3 Nov 2026')
    """
    said = [day(on) if on else "", f"{at:%H:%M}" if at else ""]
    return ", ".join(filter(None, said)) or UNKNOWN


def decimals(value: float | None, places: int) -> str:
    """A number with so many decimals.

    >>> decimals(-1.628, 2), decimals(-0.004, 2), decimals(float("inf"), 2), decimals(None, 2)
    ('−1.63', '0.00', '∞', '–')
    """
    if value is None:
        return UNKNOWN
    text = f"{value:z.{places}f}".replace("-", MINUS).replace("inf", "∞")
    return UNKNOWN if text == "nan" else text


def thousands(value: float | None) -> str:
    """A whole number, its thousands apart.

    >>> thousands(12345.6), thousands(None)
    ('12\\u202f346', '–')
    """
    if value is None or not isfinite(value):
        return decimals(value, 0)
    return f"{value:z,.0f}".replace(",", "\N{NARROW NO-BREAK SPACE}").replace("-", MINUS)


def number(value: float, digits: int = 2) -> str:
    """A number with at least so many digits that count, and one decimal more than that at most.

    >>> number(0.4117), number(-12.36), number(131.4), number(4.2, 3), number(0.00001)
    ('0.41', '−12', '131', '4.20', '0')
    """
    if not isfinite(value):
        return decimals(value, 0)
    most = digits + 1
    if float(f"{value:.{most}f}") == 0:
        return "0"
    exponent = int(f"{value:.{digits - 1}e}".partition("e")[2])
    return decimals(value, min(max(digits - 1 - exponent, 0), most))


def three_digits(value: float) -> str:
    """A number with three digits that count, as far as a kitchen can use them.

    >>> three_digits(1234.5), three_digits(4.236), three_digits(0.01849)
    ('1234', '4.24', '0.0185')
    """
    return number(value, 3)


def short(value: float | None, digits: int = 6) -> str:
    """A number with at most so many digits that count, and no zeros after them.

    >>> short(0.05), short(30), short(-2.50), short(131.4, digits=2), short(1e-7)
    ('0.05', '30', '−2.5', '130', '0.0000001')
    """
    if value is None or not isfinite(value):
        return decimals(value, 0)
    return f"{Decimal(f'{value:z.{digits}g}'):f}".replace("-", MINUS)


def millilitres(volume_ml: float) -> str:
    """A volume as it is poured: from 100 mL on nobody pours a part of one.

    >>> millilitres(225.33), millilitres(12.5)
    ('225 mL', '12.5 mL')
    """
    return f"{short(round(volume_ml) if volume_ml >= 100 else volume_ml, 4)} mL"


def exact(value: float) -> str:
    """A number with all its digits, so that read back it is the same number.

    >>> exact(22.5), exact(30.0), exact(-1e-7)
    ('22.5', '30', '−0.0000001')
    """
    if not isfinite(value):
        return decimals(value, 0)
    text = f"{Decimal(repr(float(value))):f}".replace("-", MINUS)
    return text.rstrip("0").rstrip(".") if "." in text else text


def signed(value: float | None, write: int | Writer) -> str:
    """A difference with its sign; none has no sign. `write`: decimals, or how to write the number.

    >>> signed(0.5, 1), signed(-0.5, three_digits), signed(-0.004, 2)
    ('+0.5', '−0.500', '0.00')
    """
    text = UNKNOWN if value is None else _writer(write)(value)
    return f"+{text}" if value and value > 0 and text.strip("0.") else text


def percent(share: float) -> str:
    """A share as whole per cent.

    >>> percent(0.15), percent(-0.001)
    ('15 %', '0 %')
    """
    return _per_cent(decimals(100 * share, 0))


def share(p_d: float) -> str:
    """A share in per cent with three digits at most.

    >>> share(0.03381), share(0.3)
    ('3.38 %', '30 %')
    """
    return _per_cent(short(100 * p_d, 3))


_PARTS: Final = (2, 3, 4, 5, 6, 8, 10, 20)
_NEAR: Final = 0.02


def times(chance: float) -> str:
    """A chance as people say it: by the smallest number of times that comes within 0.02.

    >>> times(0.801), times(0.729), times(0.5), times(0.05), times(0.999), times(0.01)
    ('4 times in 5', '3 times in 4', 'half the time', 'once in 20', 'nearly always', 'hardly ever')
    """
    off = {n: abs(round(n * chance) / n - chance) for n in _PARTS}
    parts = next((n for n in _PARTS if off[n] <= _NEAR), min(_PARTS, key=lambda n: off[n]))
    often = round(parts * chance)
    if often in (0, parts):
        return "nearly always" if often else "hardly ever"
    if parts == 2:
        return "half the time"
    return f"{'once' if often == 1 else f'{often} times'} in {parts}"


def p_value(p: float | None) -> str:
    """A p-value in a sentence, behind "p".

    >>> p_value(0.00321), p_value(0.00002), p_value(None)
    ('= 0.0032', '< 0.0001', 'not given')
    """
    if p is None or p != p:
        return "not given"
    return f"= {p:.4f}" if p >= _LEAST_P else f"< {_LEAST_P:.4f}"


def p_cell(p: float | None) -> str:
    """A p-value in a table, on one line however narrow its column.

    >>> p_cell(0.00321), p_cell(0.00002), p_cell(None)
    ('0.0032', '<\\xa00.0001', '–')
    """
    if p is None or p != p:
        return UNKNOWN
    return p_value(p).removeprefix("= ").replace(" ", "\N{NO-BREAK SPACE}")


def interval(low: float, high: float, write: int | Writer = number) -> str:
    """Both ends of an interval. `write`: decimals, or how to write an end.

    A minus sign beside the dash would be hard to read, so the dash stands apart from it.

    >>> interval(0.314, 0.622), interval(-0.5, float("inf"), 2)
    ('0.31–0.62', '−0.50 – ∞')
    """
    ends = [_writer(write)(end) for end in (low, high)]
    between = _APART if MINUS in "".join(ends) else "–"
    return between.join(ends)


def percents(low: float, high: float) -> str:
    """An interval of shares in whole per cent.

    >>> percents(0.04, 0.31)
    '4–31 %'
    """
    return _per_cent(interval(100 * low, 100 * high, 0))


def with_interval(estimate: _WithInterval, unit: str = "", write: int | Writer = number) -> str:
    """Value, unit and interval, as in "0.41 g/L (0.31–0.62)"."""
    value = f"{_writer(write)(estimate.value)} {unit}".strip()
    return f"{value} ({interval(estimate.low, estimate.high, write)})"


def percent_with_interval(estimate: _WithInterval) -> str:
    """A share with its interval, as in "13 % (4–31 %)"."""
    return f"{percent(estimate.value)} ({percents(estimate.low, estimate.high)})"


def many(count: int, one: str, more: str = "") -> str:
    """How many of something; `more`: its plural where that is not with an s.

    >>> many(1, "assessor"), many(2, "assessor"), many(2, "answer is", "answers are")
    ('1 assessor', '2 assessors', '2 answers are')
    """
    return f"{count} {one if count == 1 else more or f'{one}s'}"


def _per_cent(text: str) -> str:
    return text if text == UNKNOWN else f"{text} %"


def _writer(write: int | Writer) -> Writer:
    if isinstance(write, int):
        return lambda value: decimals(value, write)
    return write
