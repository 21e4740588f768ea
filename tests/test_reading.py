"""Numbers are read as they are meant, or refused with both meanings named."""

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasting import reading
from tasting.errors import InputError
from tasting.reading import numeral, read_number, read_plus_minus, read_whole
from tasting.wording import exact, short, thousands

finite = st.floats(allow_nan=False, allow_infinity=False)
kitchen = st.floats(1e-6, 1e6)


def tried(text: str) -> tuple[float | None, str]:
    """The number that was read, or why it was refused."""
    try:
        return read_number(text), ""
    except InputError as error:
        return None, str(error)


def german(text: str) -> str:
    """As a German writes it: comma for point, point for comma."""
    return text.translate(str.maketrans(",.", ".,"))


def test_examples_in_docstrings() -> None:
    run = doctest.testmod(reading)

    assert run.attempted >= 3
    assert run.failed == 0


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("22.5", 22.5),
        ("22,5", 22.5),
        (" 22,5 ", 22.5),
        (".5", 0.5),
        (",5", 0.5),
        ("5.", 5),
        ("1/2", 0.5),
        ("3/2", 1.5),
        ("1 / 2", 0.5),
        ("1\N{FRACTION SLASH}2", 0.5),
        ("½", 0.5),
        ("⅔", 2 / 3),
        ("1 1/2", 1.5),
        ("1½", 1.5),
        ("1 ½", 1.5),
        ("1\N{NO-BREAK SPACE}½", 1.5),
        ("0,125", 0.125),
        ("0.125", 0.125),
        ("00,125", 0.125),
        ("1.040", 1.04),
        ("1.000", 1),
        ("1,04", 1.04),
        ("1,0400", 1.04),
        ("1234,567", 1234.567),
        ("1 000", 1000),
        ("1\N{NARROW NO-BREAK SPACE}000", 1000),
        ("1'000", 1000),
        ("1 000,125", 1000.125),
        ("1,234.5", 1234.5),
        ("1.234,5", 1234.5),
        ("1,000,000", 1e6),
        ("1.000.000", 1e6),
        ("1e-06", 1e-6),
        ("-0.5", -0.5),
        ("−0,5", -0.5),
        ("+1,0", 1),
    ],
)
def test_what_people_write(text: str, value: float) -> None:
    assert read_number(text) == pytest.approx(value, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "one", "other"),
    [("1,000", "1", "1000"), ("1,040", "1.04", "1040"), ("22,500", "22.5", "22500")],
)
def test_a_comma_and_three_digits_have_two_meanings(text: str, one: str, other: str) -> None:
    with pytest.raises(InputError, match=f"^'{text}' can mean {one} or {other};"):
        read_number(text)


@pytest.mark.parametrize(
    "text",
    ["abc", "1.2.3", "1,2,3", "12,34.5", "1 1", "1 3/2", "1/0", "1/2/3", "½½", "2-3", "1-1/2"]
    + ["nan", "inf", "1e999", "30 %", "10:30", "22.5 mL", "--1", "1..5", "5 e", "٣", "²"],
)
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(InputError, match=r"is not a number; write it as 22\.5"):
        read_number(text)


@pytest.mark.parametrize("text", ["", "  "])
def test_nothing_is_no_number(text: str) -> None:
    with pytest.raises(InputError, match="nothing is written"):
        read_number(text)


@given(finite)
def test_a_number_written_with_all_digits_is_read_back(value: float) -> None:
    assert read_number(exact(value)) == value
    assert read_number(repr(value)) == value


@given(kitchen)
def test_a_number_written_short_is_read_back_in_english(value: float) -> None:
    assert read_number(short(value)) == pytest.approx(value, rel=1e-5)


@given(kitchen)
def test_a_german_number_is_read_back_or_refused_with_its_meaning(value: float) -> None:
    read, refusal = tried(german(exact(value)))

    assert read == value or f"can mean {exact(value)} or " in refusal


@given(st.integers(0, 10**9), st.integers(0, 99))
def test_thousands_apart_are_read_back_in_both_languages(whole: int, cents: int) -> None:
    english = f"{whole:,}.{cents:02}"

    assert read_number(english) == pytest.approx(whole + cents / 100, rel=1e-15)
    assert read_number(german(english)) == read_number(english)
    assert read_whole(thousands(whole)) == whole


@given(st.integers(0, 1000), st.integers(1, 15), st.integers(2, 16))
def test_fractions_are_read_back(whole: int, top: int, bottom: int) -> None:
    assert read_number(f"{top}/{bottom}") == top / bottom
    if top < bottom:
        assert read_number(f"{whole} {top}/{bottom}") == whole + top / bottom


@given(st.text(max_size=20))
def test_whatever_is_typed_is_a_number_or_refused(text: str) -> None:
    read, refusal = tried(text)

    assert isinstance(read, float | int) or refusal


def test_a_whole_number_has_no_decimals() -> None:
    assert read_whole("24,0") == 24
    with pytest.raises(InputError, match="'22,5' is not a whole number"):
        read_whole("22,5")


def test_a_sign_is_seen() -> None:
    found = numeral("+1,5 g/L")

    assert found
    assert (found.value, found.signed, found.rest) == (1.5, True, "g/L")


@pytest.mark.parametrize("text", ["6.2 ± 0", "6.2 ± -1", "± 0.1", "6.2 ±", "6.2 ± 0.1 ± 0.1"])
def test_an_uncertainty_is_a_number_above_zero(text: str) -> None:
    with pytest.raises(InputError):
        read_plus_minus(text)
