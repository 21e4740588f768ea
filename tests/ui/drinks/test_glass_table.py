"""The table of the glass: its figures, what changed, and the reference."""

import re

from tasting.drink.bench import Added, BenchLog, glasses
from tasting.drink.composition import compose
from tasting.drink.formula import Part
from tasting.drink.label import Reference
from tasting.ui.drinks.bench.glass_table import _ROWS, glass_table
from tests.drink.glass import version
from tests.ui.workshop import MEASURED, SPRITZ

PINCH = Added(part=Part.model_validate({"ingredient": "citric-acid", "amount": "0.2 g"}))
POURED, NOW = (
    glass.version
    for glass in glasses(BenchLog(start=SPRITZ.versions[0], poured_ml=200).then(PINCH))
)
TA_NOW = compose(NOW).known("ta_g_per_l")


def cells(text: str, figure: str) -> list[str]:
    row = re.search(rf"<tr><th scope='row'>{re.escape(_ROWS[figure])}</th>.*?</tr>", text)
    assert row
    return re.findall(r"<td>(.*?)</td>", row[0])


def test_a_pinch_is_seen_in_the_acid_and_hardly_elsewhere() -> None:
    """0.2 g in 200 mL are 1 g/L (arithmetic); MEASURED has a TA of 6.4 and 81 g/L of sugar."""
    text = glass_table(NOW, POURED, MEASURED)
    value, change, aim, off = cells(text, "ta_g_per_l")
    assert change in ("+0.99", "+1.00")
    assert (aim, off) == ("6.40", f"{TA_NOW - 6.4:+.2f}".replace("-", "−"))
    assert value == f"{TA_NOW:.2f}"
    assert cells(text, "sugar_g_per_l")[2] == "81.0"
    assert cells(text, "volume_ml") == ["200.1", "+0.1", "–", "–"]
    assert "Ref.: Reference bottle R." in text


def test_without_a_reference_there_is_no_column_for_one() -> None:
    text = glass_table(NOW, POURED, None)
    assert len(cells(text, "ph")) == 2
    assert "Ref." not in text


def test_what_cannot_be_computed_is_a_dash() -> None:
    """The pH of milk."""
    milk = version(("whole-milk", "200 mL"))
    assert cells(glass_table(milk, milk, None), "ph") == ["–", "–"]


def test_what_was_added_is_known_where_the_rest_is_not() -> None:
    """0.2 g of anhydrous citric acid in 200 mL are 1 g/L, whatever the acidity of milk is."""
    milk = BenchLog(start=version(("whole-milk", "200 mL")), poured_ml=200).then(PINCH)
    before, after = (glass.version for glass in glasses(milk))
    value, change = cells(glass_table(after, before, None), "ta_g_per_l")
    assert value == "–"
    assert change in ("+0.99", "+1.00")


def test_what_somebody_typed_is_shown_as_it_is() -> None:
    hostile = Reference(id="x", name="<script>alert(1)</script>", serving_ml=200)
    assert "<script>" not in glass_table(NOW, POURED, hostile)
