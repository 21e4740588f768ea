"""Figures of a litre beside the parent's and the label's."""

import re

import pytest

from tasting.drink.composition import compose
from tasting.drink.label import Reference
from tasting.ui.drinks.composition_beside import beside
from tests.ui.workshop import MEASURED, SPRITZ

V1, V2 = (compose(version) for version in SPRITZ.versions[:2])


def row(text: str, figure: str) -> str:
    found = re.search(rf"<tr><th scope='row'>{figure}.*?</tr>", text)
    assert found
    return found[0]


def test_versions_and_label_stand_side_by_side() -> None:
    text = beside({"v2": V2, "v1": V1}, MEASURED, "Spritz")
    heads = re.findall(r"<th scope='col'[^>]*>(.*?)</th>", text)
    assert heads == ["Per litre", "v2", "v1", "Label of Reference bottle R"]
    assert f"<td>{V2.ta_g_per_l:.2f}<small>" in row(text, "TA")
    assert f"<td>{V1.ta_g_per_l:.2f}</td>" in row(text, "TA")


def test_what_nobody_printed_is_not_known() -> None:
    assert "not known" in row(beside({"v1": V1}, MEASURED, "x"), "pH")


@pytest.mark.parametrize(
    ("sugar", "said"),
    [
        (20.0, r"19\d.*at least [\d.]+ below"),
        (0.1, r"0.*at least [\d.]+ above"),
        (None, "not known"),
    ],
)
def test_how_far_a_version_lies_from_the_label(sugar: float | None, said: str) -> None:
    label = Reference(id="x", name="X", serving_ml=200, sugar_g_per_100ml=sugar)
    assert re.search(said, row(beside({"v1": V1}, label, "x"), "Sugar"))


def test_a_wide_label_holds_it() -> None:
    """Computed sugar, printed on a label: within its own rounding or too uncertain to say."""
    sugar = round((V1.sugar_g_per_l or 0) / 10, 1)
    label = Reference(id="x", name="X", serving_ml=200, sugar_g_per_100ml=sugar)
    assert re.search("inside|too uncertain to say", row(beside({"v1": V1}, label, "x"), "Sugar"))


def test_names_are_text_and_never_html() -> None:
    named = MEASURED.model_copy(update={"name": "<b>R</b>"})
    text = beside({"<i>v1</i>": V1}, named, "<u>x</u>")
    assert not re.search("<b>|<i>|<u>", text)
