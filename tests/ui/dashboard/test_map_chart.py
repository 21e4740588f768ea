"""The map of versions in acid and sugar around the reference."""

import numpy as np
import pytest

from tasting.insight.advice.target import aim_at_reference
from tasting.stats.psychometric import TRIANGLE
from tasting.stats.results import Estimate, Interval
from tasting.ui.dashboard.map_chart import LEVELS, Goal, contour, short, versions_map
from tests.insight.workshop import bottle, document, noticed

FORMULA = document().formulas[0]
AIM = aim_at_reference(noticed(), FORMULA.versions[-1], bottle())
CENTRE = (AIM.target["ta"].value, AIM.target["sugar"].value)
LARGEST = tuple(noticed().step(key).largest_tasted for key in ("ta", "sugar"))
GOAL = Goal(CENTRE, AIM.room, AIM.region, noticed().character_gap.estimate.value, LARGEST)


def texts(chart):
    rows = [row for data in chart.to_dict()["datasets"].values() for row in data]
    return {row["short"] for row in rows if "short" in row}


@pytest.mark.parametrize("share", LEVELS)
def test_a_contour_runs_where_the_model_expects_that_share(share):
    """By another way: the model's distance, evaluated at the points of the outline."""
    outline = contour(GOAL, share)[::12]
    distances = noticed().distance.expected(outline - np.array(CENTRE), True)

    assert TRIANGLE.p_d(distances) == pytest.approx([share] * len(outline), abs=1e-6)


def test_below_the_character_gap_there_is_no_contour():
    wide = Goal(CENTRE, AIM.room, None, gap=5.0, largest=LARGEST)

    assert contour(wide, 0.25) is None
    assert contour(Goal(CENTRE, None, None, 0.0, LARGEST), 0.25) is None


def test_a_contour_beyond_what_was_tasted_is_dotted_named_and_told():
    """It goes beyond where it is farther from the reference than the largest step tasted."""
    chart, text, _ = versions_map(FORMULA, bottle(), GOAL, {})
    rows = [row for data in chart.to_dict()["datasets"].values() for row in data]
    drawn = {row["share"]: row["beyond"] for row in rows if "beyond" in row}
    reach = {share: np.abs(contour(GOAL, share) - np.array(CENTRE)).max(axis=0) for share in LEVELS}

    for share in LEVELS:
        out = bool(np.any(reach[share] > 1.05 * np.array(LARGEST)))
        assert drawn[f"{share:.0%}".replace("%", " %") + ", extrapolated" * out] == out
    assert not GOAL.beyond(0.25)
    assert GOAL.beyond(0.75)
    assert "extrapolated beyond what was tasted: contour" in text
    dashes = [layer["encoding"].get("strokeDash") for layer in chart.to_dict()["layer"]]
    assert any(dash and dash["condition"]["test"] == "datum.beyond" for dash in dashes)


def test_every_version_is_named_those_at_one_place_together():
    chart, _, _ = versions_map(FORMULA, bottle(), GOAL, {})
    named = {name for text in texts(chart) for name in text.split(", ")}

    assert named == {short(version.label) for version in FORMULA.versions}
    assert "v5, v6" in texts(chart)


def test_axes_have_one_title_with_its_unit():
    chart = versions_map(FORMULA, bottle(), GOAL, {})[0].to_dict()
    titles = {
        layer["encoding"]["x"]["title"] for layer in chart["layer"] if "x" in layer["encoding"]
    }

    assert titles == {"Titratable acidity, g/L"}


def test_what_is_liked_is_a_band_or_a_box():
    ta = Estimate(6.0, Interval(5.7, 6.3, 0.95))
    band = versions_map(FORMULA, None, None, {"ta": ta})[0].to_dict()["layer"][0]["encoding"]
    box = versions_map(FORMULA, None, None, {"ta": ta, "sugar": ta})[0].to_dict()["layer"][0]

    assert {"x", "x2"} <= set(band)
    assert "y" not in band
    assert {"x", "x2", "y", "y2"} <= set(box["encoding"])


def test_the_table_ends_with_the_reference_and_its_doubt():
    table = versions_map(FORMULA, bottle(), GOAL, {})[2]

    assert len(table) == len(FORMULA.versions) + 1
    assert table.iloc[-1].tolist() == [bottle().name, "6.20 (6.08 to 6.32)", "60.0 (59.5 to 60.5)"]


def test_the_text_tells_where_the_latest_version_stands():
    text = versions_map(FORMULA, bottle(), GOAL, {})[1]

    assert FORMULA.versions[-1].label in text
    assert f"{bottle().name} has 6.2 g/L and 60 g/L" in text
