"""Version by version against a label: chart, alt text and table."""

import json
from typing import Any

import altair as alt
import pytest

from tasting.drink.composition import compose
from tasting.drink.formula import Formula
from tasting.drink.label import Reference
from tasting.ui.drinks.versions_chart import MEASURES, versions_against_label
from tests.ui.workshop import MEASURED, SPRITZ, UNMEASURED


def panels(reference: Reference | None) -> list[dict[str, Any]]:
    chart, _, _ = versions_against_label(SPRITZ, reference)
    return chart.to_dict()["vconcat"]  # type: ignore[no-any-return]


def marks(panel: dict[str, Any]) -> list[str]:
    return [layer["mark"]["type"] for layer in panel["layer"]]


def test_there_is_a_panel_for_each_measure() -> None:
    assert len(panels(MEASURED)) == 4
    titles = [panel["layer"][0]["encoding"]["y"]["title"] for panel in panels(None)]
    assert titles == ["TA, g/L", "Sugar, g/L", "Alcohol, % vol", "Energy, kcal/L"]


def test_every_channel_has_a_title() -> None:
    for panel in panels(MEASURED):
        band, lines, spans, points, _ = (layer["encoding"] for layer in panel["layer"])
        channels = [*band.values(), *lines.values(), *spans.values(), points["x"], points["y"]]
        assert all(channel["title"] for channel in [*channels, points["tooltip"][1]])


def test_layers_share_one_title_or_vega_would_write_them_all() -> None:
    for panel in panels(MEASURED):
        layers = [layer["encoding"] for layer in panel["layer"]]
        titles = {
            encoding[channel]["title"]
            for encoding in layers
            for channel in ("y", "y2")
            if "title" in encoding.get(channel, {})
        }
        assert len(titles) == 1


def test_the_label_is_a_dashed_line_and_a_number() -> None:
    ta = panels(MEASURED)[0]
    assert marks(ta) == ["rect", "line", "rule", "point", "rule"]
    assert ta["layer"][3]["encoding"]["y"]["title"] == "TA, g/L; dashed: reference 6.40"


def test_what_the_reference_does_not_declare_has_no_line() -> None:
    assert [len(marks(panel)) for panel in panels(UNMEASURED)] == [3, 5, 3, 3]
    assert [len(marks(panel)) for panel in panels(None)] == [3, 3, 3, 3]


def drawn(panel: int, layer: int) -> list[dict[str, Any]]:
    """The rows behind a layer."""
    chart = versions_against_label(SPRITZ, MEASURED)[0].to_dict()
    name = chart["vconcat"][panel]["layer"][layer]["data"]["name"]
    return chart["datasets"][name]  # type: ignore[no-any-return]


def test_the_band_is_what_the_printed_value_can_mean() -> None:
    """8.1 g per 100 mL is printed for 80.5 to 81.5 g/L (arithmetic)."""
    (band,) = drawn(panel=1, layer=0)
    assert (band["sugar_g_per_l"], band["up to"]) == pytest.approx((80.5, 81.5))


def test_each_version_carries_its_likely_interval() -> None:
    made = [compose(version) for version in SPRITZ.versions]
    spans = drawn(panel=0, layer=2)
    assert [span["ta_g_per_l_low"] for span in spans] == [
        round(drink.intervals["ta_g_per_l"].low, 2) for drink in made
    ]


def test_lines_run_from_each_parent_to_its_child() -> None:
    chart, _, _ = versions_against_label(SPRITZ, None)
    drawn = chart.to_dict()
    edges = drawn["datasets"][drawn["vconcat"][0]["layer"][0]["data"]["name"]]
    assert [edge["Version"] for edge in edges] == ["v1", "v2", "v1", "v3"]


def test_only_what_is_drawn_reaches_the_browser() -> None:
    chart, _, _ = versions_against_label(SPRITZ, MEASURED)
    sent = {name for rows in chart.to_dict()["datasets"].values() for row in rows for name in row}
    ends = {f"{measure}_{end}" for measure in MEASURES for end in ("low", "high")}
    assert sent == {"Version", "edge", "up to", *MEASURES, *ends}
    assert "lemon" not in json.dumps(chart.to_dict())


def test_the_table_has_the_numbers_and_the_reference_last() -> None:
    _, _, table = versions_against_label(SPRITZ, MEASURED)
    assert table["Version"].tolist() == ["v1", "v2", "v3", "Reference bottle R"]
    assert table.iloc[-1].tolist()[1:] == ["6.40", "81.0", "0.50", "380"]
    assert float(table.iloc[0, 1].split()[0]) == pytest.approx(
        compose(SPRITZ.versions[0]).ta_g_per_l, abs=0.01
    )


def test_the_table_shows_what_is_not_declared_as_a_dash() -> None:
    _, _, table = versions_against_label(SPRITZ, UNMEASURED)
    assert table.iloc[-1].tolist()[1:] == ["–", "70.0", "–", "–"]


def test_the_text_says_where_the_newest_version_stands() -> None:
    _, text, table = versions_against_label(SPRITZ, MEASURED)
    assert text.startswith("Rhubarb and bay spritz, 3 versions; the newest, v3: TA, g/L ")
    assert f"TA, g/L {table.iloc[2, 1].split()[0]} (reference 6.40)" in text


def test_a_single_version_is_drawn() -> None:
    alone = SPRITZ.model_copy(update={"versions": SPRITZ.versions[:1]})
    chart, _, table = versions_against_label(alone, MEASURED)
    assert isinstance(chart, alt.VConcatChart)
    assert len(table) == 2


@pytest.mark.parametrize(("label", "angle"), [("v1", 0), ("the one with far too much bay", -90)])
def test_long_labels_stand_upright(label: str, angle: int) -> None:
    first = SPRITZ.versions[0].model_copy(update={"label": label})
    formula = SPRITZ.model_copy(update={"versions": (first, *SPRITZ.versions[1:])})
    last = versions_against_label(formula, None)[0].to_dict()["vconcat"][-1]
    assert last["layer"][0]["encoding"]["x"]["axis"]["labelAngle"] == angle


def test_the_axis_calls_versions_by_their_numbers_where_these_differ() -> None:
    labels = ["v1 first pour", "v2 pinch of citric acid", "v3 verjus for lemon"]
    named = [
        one.model_copy(update={"label": label})
        for one, label in zip(SPRITZ.versions, labels, strict=False)
    ]
    formula = SPRITZ.model_copy(update={"versions": tuple(named)})

    def axis(drawn: Formula) -> list[str]:
        last = versions_against_label(drawn, None)[0].to_dict()["vconcat"][-1]
        return last["layer"][0]["encoding"]["x"]["sort"]  # type: ignore[no-any-return]

    assert axis(formula) == [label.partition(" ")[0] for label in labels[: len(named)]]
    twice = named[0].model_copy(update={"id": "again", "label": "v1 once more", "parent": None})
    both = formula.model_copy(update={"versions": (named[0], twice)})
    assert axis(both) == ["v1 first pour", "v1 once more"]
