"""Sets as they are served: codes without samples, for paper, labels and what is typed from paper.

Codes are drawn at random, so a slip tells nothing about what is in a cup.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from tasting.errors import InputError
from tasting.panel.csv_reader import read_records
from tasting.panel.plan import JOIN
from tasting.records import Name, Record

SLIP_COLUMNS = ("assessor", "set", "choice")


@dataclass(frozen=True, slots=True)
class Slip:
    """One set as its assessor sees it: the codes from left to right, and what may be chosen.

    reference: whether a cup labelled as the reference comes first
    """

    assessor: str
    replicate: int
    codes: tuple[str, ...]
    choices: tuple[str, ...]
    reference: bool


class TypedAnswer(Record):
    """An answer as it was typed from a paper ballot."""

    assessor: Name
    replicate: Annotated[int, Field(alias="set", ge=1)]
    choice: Annotated[str, Field(min_length=1, max_length=60)]


def typed_answers(text: str) -> list[tuple[int, TypedAnswer]]:
    """The answers of a CSV file with the columns assessor, set, choice, each with its line.

    Raises InputError naming the line.
    """
    lines = read_records(text, SLIP_COLUMNS, TypedAnswer)
    seen: dict[tuple[str, int], int] = {}
    for number, typed in lines:
        key = (typed.assessor, typed.replicate)
        if key in seen:
            raise InputError(
                f"line {number}: set {key[1]} of assessor {key[0]!r} is in line {seen[key]} already"
            )
        seen[key] = number
    return lines


def typed_choice(text: str, codes: Sequence[str], choices: Sequence[str]) -> str:
    """The choice that somebody meant: codes in any order and with any sign between them, or words.

    Of two pairs that make four cups, either names both. What fits nothing is returned as it is.

    >>> typed_choice("517, 482", ("482", "517", "903"), ("482+517", "482+903", "517+903"))
    '482+517'
    >>> typed_choice(" Alike ", ("482", "517"), ("alike", "different"))
    'alike'
    """
    meant = frozenset(re.findall(r"\d{3,}", text))
    rest = frozenset(codes) - meant
    if len(codes) != 2 * len(meant):
        rest = frozenset()
    for choice in choices:
        named = frozenset(choice.split(JOIN))
        if named == meant or choice.casefold() == text.strip().casefold():
            return choice
    return next((one for one in choices if frozenset(one.split(JOIN)) == rest), text.strip())
