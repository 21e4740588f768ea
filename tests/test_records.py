"""Records never change, refuse what they do not know, and say so in one sentence."""

from datetime import datetime

import pytest
from pydantic import TypeAdapter, ValidationError

from tasting.errors import InputError
from tasting.records import Id, Moment, Name, Record, checked, sentence


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

    assert told.startswith("cups.0.volume_ml: Input should be a valid number")


def test_an_unknown_field_is_named() -> None:
    told = fault({"name": "first", "colour": "red"})

    assert told == "colour: this field is not known here; remove it or correct its spelling"


def test_further_faults_are_counted() -> None:
    assert fault({"cups": 3}).endswith("(and 1 more)")


def test_a_fault_of_the_whole_has_no_path() -> None:
    with pytest.raises(ValidationError) as caught:
        TypeAdapter(int).validate_python("three")

    assert sentence(caught.value).startswith("Input should be a valid integer")


@pytest.mark.parametrize("volume", [float("nan"), float("inf")])
def test_a_number_has_to_be_finite(volume: float) -> None:
    assert "finite" in fault({"name": "first", "cups": [{"code": "1", "volume_ml": volume}]})


@pytest.mark.parametrize("name", ["", "   ", "x" * 121])
def test_a_name_is_neither_empty_nor_endless(name: str) -> None:
    assert fault({"name": name}).startswith("name: ")


@pytest.mark.parametrize("id_", ["", "-a", "a b", "a/b", "é", "x" * 65])
def test_an_id_is_made_of_plain_characters(id_: str) -> None:
    with pytest.raises(ValidationError, match="pattern"):
        TypeAdapter(Id).validate_python(id_)


def test_a_moment_needs_its_time_zone() -> None:
    with pytest.raises(ValidationError, match="timezone"):
        TypeAdapter(Moment).validate_python(datetime(2026, 3, 1))
