"""Numbers on the command line, read as everywhere else: 0.3, 0,3, 1/3."""

from collections.abc import Callable
from typing import Annotated

import typer

from tasting.errors import InputError
from tasting.reading import read_number, read_whole
from tasting.wording import short


def _read(text: object, reader: Callable[[str], float], low: float, high: float) -> float:
    """A number that was typed, or a default that is one already. Raises typer.BadParameter."""
    try:
        value = reader(str(text))
    except InputError as error:
        raise typer.BadParameter(str(error)) from None
    if not low <= value <= high:
        raise typer.BadParameter(f"{text} is not between {short(low)} and {short(high)}")
    return value


def number(text: str) -> float:
    """Any number."""
    return _read(text, read_number, -1e12, 1e12)


def scale_step(text: str) -> float:
    """A step of a scale in g."""
    return _read(text, read_number, 1e-4, 100)


def whole(text: str) -> int:
    """A whole number."""
    return int(_read(text, read_whole, -1e12, 1e12))


def cup_ml(text: str) -> float:
    """The volume of a cup in mL."""
    return _read(text, read_number, 1, 500)


def port_number(text: str) -> int:
    """The number of a port."""
    return int(_read(text, read_whole, 1, 65535))


Alpha = Annotated[
    float,
    typer.Option(parser=number, metavar="N", help="Risk of a false alarm."),
]
