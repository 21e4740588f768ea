"""Drinks as tables, and the tree of versions."""

from math import hypot

import pytest

from tasting.drink import carbonation
from tasting.drink.composition import compose
from tasting.drink.formula import Formula, Version
from tasting.ui.drinks import tables
from tasting.ui.drinks.label_table import beside_label
from tests.ui.workshop import MEASURED, SPRITZ, UNMEASURED

FIRST = SPRITZ.versions[0]


def grown(*parents: str | None) -> Formula:
    """A formula with versions 0, 1, 2, ... and these parents."""
    versions = tuple(
        Version.model_validate(
            {**dict(FIRST), "id": str(place), "label": f"v{place}", "parent": parent, "reason": "x"}
        )
        for place, parent in enumerate(parents)
    )
    return Formula(id="f", name="f", versions=versions)


@pytest.mark.parametrize(
    ("parents", "drawn"),
    [
        ([None], "0"),
        ([None, "0", "1", "2"], "0 1 2 3"),
        ([None, "0", "0"], "0 -1 2"),
        ([None, "0", "0", "1", "3"], "0 -2 1 3 4"),
        ([None, "0", "0", "0", "1", "1"], "0 -2 -3 1 -4 5"),
        ([None, "0", "1", "0", "3", "4", "1"], "0 -1 --2 -6 3 4 5"),
    ],
)
def test_the_longest_line_of_descent_is_not_indented(parents: list[str | None], drawn: str) -> None:
    lines = [f"{'-' * level}{version.id}" for version, level in tables.tree(grown(*parents))]
    assert " ".join(lines) == drawn


def test_a_long_line_of_descent_stays_flat() -> None:
    chain = grown(None, *[str(place) for place in range(1500)])
    assert {level for _, level in tables.tree(chain)} == {0}


def test_a_serving_holds_its_share_of_a_litre() -> None:
    made = compose(FIRST)
    table = tables.composition_table(made).set_index("Composition")
    litre, serving = (
        float(table.loc["Sugar", column].split()[0]) for column in ("Per litre", "Per serving")
    )
    volume = float(table.loc["Volume", "Per serving"].split()[0])
    assert serving == pytest.approx(litre * volume / 1000, abs=0.1)


def test_a_drink_without_acid_has_no_ratio() -> None:
    water = Version.model_validate(
        {**dict(FIRST), "parts": [{"ingredient": "water", "amount": "1 L"}]}
    )
    table = tables.composition_table(compose(water)).set_index("Composition")
    assert table.loc["Sugar : acid", "Per litre"] == "–"


def against(reference: object) -> dict[str, list[str]]:
    table = beside_label(compose(FIRST), reference)  # type: ignore[arg-type]
    return {row[0]: list(row[1:]) for row in table.itertuples(index=False, name=None)}


def test_a_label_per_100_ml_is_compared_per_litre() -> None:
    """EU rounding: 8.1 holds 8.05–8.15 g, 38 kcal holds 37.5–38.5 (EU guidance 2012, 6)."""
    assert against(MEASURED)["Sugar, g/L"][1] == "81.0 (80.5–81.5)"
    assert against(MEASURED)["Energy, kcal/L"][1] == "380 (375–385)"


def test_the_ratio_of_a_reference_needs_sugar_and_acid() -> None:
    assert against(MEASURED)["Sugar : acid"][1] == "12.7"
    assert against(UNMEASURED)["Sugar : acid"][1:] == ["–", "–"]


def test_what_is_not_declared_has_no_difference() -> None:
    assert against(UNMEASURED)["Alcohol, % vol"][1:] == ["–", "–"]


def test_the_difference_is_signed_from_the_reference_to_the_version() -> None:
    version, reference, difference = against(MEASURED)["Alcohol, % vol"]
    assert (version, reference) == ("0.00", "0.50 (0.45–0.55)")
    assert difference == "−0.50", "nothing is unsure in a drink without alcohol"


def test_the_difference_has_the_uncertainty_of_both() -> None:
    """In quadrature, by hand from the ends beside it."""
    version, reference, difference = against(MEASURED)["Sugar, g/L"]
    halves = [
        (float(high) - float(low)) / 2
        for low, high in (
            cell.partition("(")[2].rstrip(")").split("–") for cell in (version, reference)
        )
    ]

    assert float(difference.partition("± ")[2]) == pytest.approx(hypot(*halves), abs=0.06)


def test_pressure_rises_with_warmth_as_computed() -> None:
    made = compose(FIRST)
    table = tables.pressures_table(made).set_index("At")
    bars = [float(text.split()[0]) for text in table["Estimated pressure"]]
    room = carbonation.pressure(made.co2_g_per_l, 20.0, made.sugar_g_per_l)
    assert bars == sorted(bars)
    assert table.loc["20 °C", "Likely"] == f"{room.low_bar:.1f}–{room.high_bar:.1f}"


def test_each_figure_says_what_would_make_it_surer() -> None:
    made = compose(FIRST)
    table = tables.sureness_table(made).set_index("What to do")
    narrows = table["Share of the uncertainty"]
    share = made.intervals["ta_g_per_l"].share
    assert narrows["Titrate your rhubarb juice"] == f"TA {100 * share:.0f} %"
    assert narrows["Measure the °Brix of your bay syrup, 1:1"].startswith("sugar ")
    assert narrows.iloc[1].startswith("pH")
    assert not narrows.str.contains("alcohol").any()


def test_the_composition_tells_likely_intervals_and_all_energies() -> None:
    made = compose(FIRST)
    table = tables.composition_table(made).set_index("Composition")
    spread = made.intervals["ta_g_per_l"]
    litres = made.serving().volume_ml / 1000
    assert table.loc["TA, as citric acid", "Likely"] == f"{spread.low:.2f}–{spread.high:.2f}"
    assert table.loc["Alcohol by volume", "Likely"] == "–"
    assert table.loc["Energy in kJ", "Per serving"] == f"{made.energy_kj_per_l * litres:.0f} kJ"
    assert "volumes" in table.loc["CO₂", "Per litre"]
