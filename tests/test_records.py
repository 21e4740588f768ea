"""Records never change, refuse what they do not know, and say so in one sentence."""

import re
from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from tasting.errors import InputError
from tasting.records import Id, Moment, Name, Note, Record, checked, one_line, sentence, tidy


class Cup(Record):
    code: str
    volume_ml: float


class Tray(Record):
    name: Name
    cups: tuple[Cup, ...] = ()


def fault(values: dict[str, object]) -> str:
    with pytest.raises(InputError) as caught:
        checked(Tray, values)
    return str(caught.value)


def test_a_good_record_is_made() -> None:
    tray = checked(Tray, {"name": " first ", "cups": [{"code": "314", "volume_ml": 30}]})

    assert (tray.name, tray.cups[0].volume_ml) == ("first", 30.0)


def test_nothing_can_be_changed() -> None:
    with pytest.raises(ValidationError, match="frozen"):
        Tray(name="first").name = "second"


def test_the_sentence_names_the_path_to_the_fault() -> None:
    told = fault({"name": "first", "cups": [{"code": "314", "volume_ml": "much"}]})

    assert told.startswith("cups.0.volume_ml: must be a number")


def test_an_unknown_field_is_named() -> None:
    told = fault({"name": "first", "colour": "red"})

    assert told == "colour: this field is not known here; remove it or correct its spelling"


def test_all_faults_are_said_at_once() -> None:
    assert fault({"cups": 3}) == "name: missing; add it; also cups: must be a list"


def test_beyond_three_faults_the_rest_is_counted() -> None:
    told = fault({"name": "", "cups": [{"code": "1"}, {"code": "2"}, {"code": "3"}]})

    assert told.startswith("name is empty; also cups.0.volume_ml: missing; add it; also ")
    assert told.endswith(" (and 1 more)")


def test_a_fault_of_the_whole_has_no_path() -> None:
    with pytest.raises(ValidationError) as caught:
        TypeAdapter(int).validate_python("three")

    assert sentence(caught.value).startswith("must be a whole number")


@pytest.mark.parametrize("volume", [float("nan"), float("inf")])
def test_a_number_has_to_be_finite(volume: float) -> None:
    assert "finite" in fault({"name": "first", "cups": [{"code": "1", "volume_ml": volume}]})


@pytest.mark.parametrize("name", ["", "   ", "x" * 121])
def test_a_name_is_neither_empty_nor_endless(name: str) -> None:
    assert re.match("name(:| is empty)", fault({"name": name}))


@pytest.mark.parametrize("sign", ["\0", "\x07", "\n", "\x7f", "\x85", "\u2028", "\ud800"])
def test_a_name_with_a_control_character_is_refused_with_its_place(sign: str) -> None:
    """Control codes: ISO/IEC 6429 (C0 and C1), the Unicode Standard (category Cc)."""
    told = fault({"name": f"Kim{sign}P"})
    if sign == "\ud800":
        assert told == "name: this text contains half a character (a lone surrogate); type it again"
    else:
        assert told.startswith(f"name: character 4 is a control character (U+{ord(sign):04X}); ")


def test_a_note_loses_control_characters_and_nothing_else() -> None:
    text = " sharp\0\x07 at\x0b the end\x7f,\n\tthen flat\u2028 "
    assert TypeAdapter(Note).validate_python(text) == "sharp at the end,\n\tthen flat"


@pytest.mark.parametrize(
    "text", ["שלום\u200f 12", "\u202eflat\u202c", "👩\u200d🔬🏳️\u200d🌈", "naïve", "a\u0301"]
)
def test_any_writing_and_emoji_stay_as_they_are(text: str) -> None:
    assert (tidy(text), one_line(text)) == (text, text)


@given(st.text())
def test_what_is_tidy_is_kept_by_every_database(text: str) -> None:
    """PostgreSQL 17 manual, 8.3: NUL cannot be stored; UTF-8 has no surrogates (RFC 3629)."""
    kept = tidy(text)
    assert "\0" not in kept
    assert tidy(kept) == kept
    assert kept.encode("utf-8").decode() == kept


@pytest.mark.parametrize("id_", ["", "-a", "a b", "a/b", "é", "x" * 65])
def test_an_id_is_made_of_plain_characters(id_: str) -> None:
    with pytest.raises(ValidationError, match="pattern"):
        TypeAdapter(Id).validate_python(id_)


def test_a_moment_needs_its_time_zone() -> None:
    with pytest.raises(ValidationError, match="timezone"):
        TypeAdapter(Moment).validate_python(datetime(2026, 3, 1))
