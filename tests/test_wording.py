"""Numbers, shares, intervals, p-values, signs and days as they are read."""

import ast
import doctest
import re
from datetime import UTC, datetime
from math import inf, nan
from pathlib import Path

import numpy as np
import pytest

from tasting import wording
from tasting.stats.results import Estimate, Interval
from tests.sources import MODULES, ROOT, faults, text, tree

BY_HAND = re.compile(
    r"""\.replace\(\s*"-",\s*("−"|"\\N\{MINUS|MINUS|\w+\.MINUS)  # a minus sign
    | %b\ %Y | strftime  # a day
    | :[+.\d]*f\}\ ?% (?!\ vol) | :[.\d]*%\} | "%\.\d?f"\|format\(\s*100  # a share
    | \{\s*100\ \*[^}]*:  # a share in another form
    | :[+]\.\d*[fg]\}  # a difference with its sign
    | \bp\ =\ \{ | <\ 0\.0001 | isinf  # a p-value, an end that nothing bounds
    """,
    re.VERBOSE,
)
OWN_RULE = {"us_sugars", "bare", "write", "change"}
"""Functions that write a number by a rule of their own: a label's, and a figure's decimals."""

WRITERS = [path for name, path in MODULES.items() if name not in {"tasting.wording"}]
TEMPLATES = sorted(ROOT.glob("tasting/**/*.html"))


def lone_numbers(node: ast.FunctionDef) -> bool:
    """Whether a function takes nothing but numbers and gives a text."""
    given = [arg for arg in node.args.args if arg.arg != "self"]
    kinds = {ast.unparse(arg.annotation) for arg in given if arg.annotation}
    gives = node.returns is not None and ast.unparse(node.returns) == "str"
    return gives and bool(kinds) and kinds <= {"float", "float | None"}


def estimate(value: float, low: float, high: float) -> Estimate:
    return Estimate(value, Interval(low, high, 0.95))


def test_examples_in_docstrings() -> None:
    run = doctest.testmod(wording)

    assert run.attempted > 10
    assert run.failed == 0


@pytest.mark.parametrize(
    ("value", "places", "text"),
    [
        (0.0, 2, "0.00"),
        (-0.0, 2, "0.00"),
        (-0.0049, 2, "0.00"),
        (-0.0051, 2, "−0.01"),
        (-1.628, 2, "−1.63"),
        (1.628, 0, "2"),
        (np.float64(-0.001), 1, "0.0"),
        (inf, 2, "∞"),
        (-inf, 2, "−∞"),
        (nan, 2, "–"),
        (None, 2, "–"),
    ],
)
def test_decimals(value: float | None, places: int, text: str) -> None:
    assert wording.decimals(value, places) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.0, "0"),
        (-0.0, "0"),
        (1e-9, "0"),
        (-0.0004, "0"),
        (0.0006, "0.001"),
        (0.0412, "0.041"),
        (0.412, "0.41"),
        (0.4, "0.40"),
        (0.996, "1.0"),
        (-4.12, "−4.1"),
        (9.96, "10"),
        (-0.5, "−0.50"),
        (41.2, "41"),
        (12345.6, "12346"),
        (1e7, "10000000"),
        (inf, "∞"),
        (-inf, "−∞"),
        (nan, "–"),
    ],
)
def test_two_digits_that_count(value: float, text: str) -> None:
    assert wording.number(value) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (12345.6, "12346"),
        (99.96, "100"),
        (12.34, "12.3"),
        (-1.005, "−1.00"),
        (0.1849, "0.185"),
        (0.5, "0.500"),
        (0.00004, "0"),
        (inf, "∞"),
    ],
)
def test_three_digits_that_count(value: float, text: str) -> None:
    assert wording.three_digits(value) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "0"), (-0.4, "0"), (999.6, "1_000"), (-1234567, "−1_234_567"), (inf, "∞"), (nan, "–")],
)
def test_thousands_stand_apart(value: float, text: str) -> None:
    assert wording.thousands(value) == text.replace("_", "\N{NARROW NO-BREAK SPACE}")


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (0.05, 6, "0.05"),
        (-0.0, 6, "0"),
        (-0.37, 6, "−0.37"),
        (1e-5, 6, "0.00001"),
        (131.4, 2, "130"),
        (1e9, 3, "1000000000"),
        (inf, 3, "∞"),
        (nan, 3, "–"),
        (None, 3, "–"),
    ],
)
def test_short_numbers_have_neither_exponent_nor_zeros(
    value: float | None, digits: int, text: str
) -> None:
    assert wording.short(value, digits) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.5, "+0.50"),
        (-0.5, "−0.50"),
        (0.0, "0.00"),
        (-0.0, "0.00"),
        (0.004, "0.00"),
        (-0.004, "0.00"),
        (inf, "+∞"),
        (-inf, "−∞"),
        (nan, "–"),
        (None, "–"),
    ],
)
def test_differences_have_a_sign_unless_they_are_none(value: float | None, text: str) -> None:
    assert wording.signed(value, 2) == text


@pytest.mark.parametrize(
    ("value", "whole", "three"),
    [
        (0.0, "0 %", "0 %"),
        (-0.0, "0 %", "0 %"),
        (0.07, "7 %", "7 %"),
        (0.0338, "3 %", "3.38 %"),
        (0.995, "100 %", "99.5 %"),
        (0.994, "99 %", "99.4 %"),
        (1.0, "100 %", "100 %"),
        (-0.12, "−12 %", "−12 %"),
        (1e-7, "0 %", "0.00001 %"),
        (inf, "∞ %", "∞ %"),
        (nan, "–", "–"),
    ],
)
def test_shares(value: float, whole: str, three: str) -> None:
    assert (wording.percent(value), wording.share(value)) == (whole, three)


@pytest.mark.parametrize(
    ("p", "said", "cell"),
    [
        (1.0, "= 1.0000", "1.0000"),
        (0.0032, "= 0.0032", "0.0032"),
        (0.0001, "= 0.0001", "0.0001"),
        (0.0000999, "< 0.0001", "<\N{NO-BREAK SPACE}0.0001"),
        (0.0, "< 0.0001", "<\N{NO-BREAK SPACE}0.0001"),
        (None, "not given", "–"),
        (nan, "not given", "–"),
    ],
)
def test_p_values(p: float | None, said: str, cell: str) -> None:
    assert (wording.p_value(p), wording.p_cell(p)) == (said, cell)


def test_ends_of_intervals() -> None:
    assert wording.interval(-0.0, inf) == "0–∞"
    assert wording.interval(-inf, -0.5, 2) == "−∞ – −0.50"
    assert wording.interval(0.95, 1.05, wording.three_digits) == "0.950–1.05"
    assert wording.interval(0.0, 12.345, 1) == "0.0–12.3"
    assert wording.percents(0.0, 1.0) == "0–100 %"


def test_values_with_their_intervals() -> None:
    assert wording.with_interval(estimate(0.5, 0.2, inf), "g/L") == "0.50 g/L (0.20–∞)"
    assert wording.with_interval(estimate(-1.2, -2.0, 0.4), write=2) == "−1.20 (−2.00 – 0.40)"
    assert wording.percent_with_interval(estimate(0.13, 0.04, 0.31)) == "13 % (4–31 %)"


def test_days() -> None:
    assert wording.day(datetime(2026, 3, 1, 23, 59, tzinfo=UTC)) == "1 Mar 2026"
    assert wording.day(None) == "–"


def written_by_hand(path: Path) -> list[str]:
    return [found[0] for found in BY_HAND.finditer(text(path))]


def test_numbers_are_written_in_one_place() -> None:
    assert faults([*WRITERS, *TEMPLATES], written_by_hand) == {}


def writes_a_number(path: Path) -> set[str]:
    named = {
        node.name
        for node in ast.walk(tree(path))
        if isinstance(node, ast.FunctionDef) and lone_numbers(node)
    }
    return named - OWN_RULE


def test_no_other_function_turns_a_number_into_text() -> None:
    assert faults(WRITERS, writes_a_number) == {}


@pytest.mark.parametrize(
    ("line", "seen"),
    [
        ('f"{100 * share:.0f} %"', True),
        ('f"{share:.0%}"', True),
        ('f"{100 * p_d:.3g} %"', True),
        ('f"{low:.1f} %"', True),
        ('f"{step:+.2f}"', True),
        ('text.replace("-", "−")', True),
        ('text.replace("-", words.MINUS)', True),
        ('f"{moment:%b %Y}"', True),
        ('f"p = {p_value:.4f}"', True),
        ('f"{made.alcohol_percent_vol:.2f} % vol"', False),
        ('text.replace(MINUS, "-")', False),
        ('f"{volume_ml:.0f} mL"', False),
        ('f"α = {alpha:g}"', False),
        ("share = 100 * final / mass", False),
    ],
)
def test_what_is_written_by_hand_is_seen(line: str, seen: bool) -> None:
    assert bool(BY_HAND.search(line)) == seen
