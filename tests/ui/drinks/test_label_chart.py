"""A version against a label: bands, interval, verdict."""

from typing import Any

import pytest

from tasting.drink.label import matches
from tasting.ui.drinks.label_chart import label_bands
from tests.ui.workshop import MEASURED, SPRITZ

FOUND = matches(SPRITZ.versions[0], MEASURED)
CHART, TEXT, TABLE = label_bands(FOUND, "v1", "Reference bottle R")
STRIPS = CHART.to_dict()["vconcat"]


def rows(strip: dict[str, Any], layer: int) -> dict[str, float]:
    (row,) = CHART.to_dict()["datasets"][strip["layer"][layer]["data"]["name"]]
    return row  # type: ignore[no-any-return]


def test_each_value_of_the_label_has_a_strip_with_its_verdict() -> None:
    assert [strip["title"]["text"].split(":")[0] for strip in STRIPS] == [
        "Alcohol",
        "Energy",
        "Sugar",
        "TA",
    ]
    assert STRIPS[0]["title"]["text"] == "Alcohol: at least 0.45 % vol below the label's range"


def test_tolerance_is_drawn_only_where_there_is_a_rule() -> None:
    assert [len(strip["layer"]) for strip in STRIPS] == [3, 3, 4, 3]


def test_the_bands_are_rounding_and_tolerance() -> None:
    """8.1 g per 100 mL: printed for 8.05 to 8.15; tolerance 2 g below 10 g (EU guidance 2012)."""
    tolerance, rounding = rows(STRIPS[2], 0), rows(STRIPS[2], 1)
    assert [*rounding.values()] == pytest.approx([8.05, 8.15])
    assert [*tolerance.values()] == pytest.approx([6.1, 10.1])


def test_the_version_is_a_point_on_its_interval() -> None:
    likely, point = rows(STRIPS[3], 1), rows(STRIPS[3], 2)
    assert likely["low"] < point["low"] < likely["high"]


def test_the_axis_has_one_title() -> None:
    for strip in STRIPS:
        titles = {layer["encoding"]["x"]["title"] for layer in strip["layer"]}
        assert len(titles) == 1


def test_the_table_keeps_rounding_and_tolerance_apart() -> None:
    sugar = TABLE.set_index("Value").loc["Sugar, g/100 mL"]
    assert (sugar["Label"], sugar["Label can mean"]) == ("8.1", "8.05–8.15")
    assert TABLE["Tolerance"].tolist() == ["no rule", "no rule", "within", "no rule"]


def test_the_text_says_all_verdicts() -> None:
    assert TEXT.startswith(
        "v1 against the label of Reference bottle R: Alcohol at least 0.45 % vol below"
    )
    assert TEXT.count(";") == 3
