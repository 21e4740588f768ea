"""The map of versions in acid and sugar around the reference."""

import numpy as np
import pytest

from tasting.insight.advice.question import version_name
from tasting.insight.advice.target import aim_at_reference
from tasting.stats.psychometric import TRIANGLE
from tasting.stats.results import Estimate, Interval
from tasting.ui.dashboard.map_chart import MapData, versions_map
from tasting.ui.dashboard.map_contours import LEVELS, Goal, contour
from tests.insight.workshop import bottle, document, noticed

FORMULA = document().formulas[0]
AIM = aim_at_reference(noticed(), FORMULA.versions[-1], bottle())
CENTRE = (AIM.target["ta"].value, AIM.target["sugar"].value)
LARGEST = tuple(noticed().step(key).largest_tasted for key in ("ta", "sugar"))
GOAL = Goal(CENTRE, AIM.room, AIM.region, noticed().character_gap.estimate.value, LARGEST)


STEPS = (0.9, 12.0)


def drawn(formula=FORMULA, reference=None, goal=None, ideal=None, least=STEPS):
    return versions_map(MapData(formula, reference, goal, ideal or {}, least))


def texts(chart):
    rows = [row for data in chart.to_dict()["datasets"].values() for row in data]
    return {row["name"] for row in rows if "name" in row}


def axes(chart):
    """Where the axes begin and end, g/L of acid and of sugar."""
    first = next(
        layer["encoding"] for layer in chart.to_dict()["layer"] if "y" in layer["encoding"]
    )
    return first["x"]["scale"]["domain"], first["y"]["scale"]["domain"]


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
    chart, text, _ = drawn(FORMULA, bottle(), GOAL)
    rows = [row for data in chart.to_dict()["datasets"].values() for row in data]
    dotted = {row["share"]: row["beyond"] for row in rows if "beyond" in row}
    reach = {share: np.abs(contour(GOAL, share) - np.array(CENTRE)).max(axis=0) for share in LEVELS}

    for share in LEVELS:
        out = bool(np.any(reach[share] > 1.05 * np.array(LARGEST)))
        assert dotted[f"{share:.0%}".replace("%", " %") + ", extrapolated" * out] == out
    assert not GOAL.beyond(0.25)
    assert GOAL.beyond(0.75)
    assert "extrapolated beyond what was tasted: contour" in text
    dashes = [layer["encoding"].get("strokeDash") for layer in chart.to_dict()["layer"]]
    assert any(dash and dash["condition"]["test"] == "datum.beyond" for dash in dashes)


def test_what_a_mixer_looks_for_is_named_where_it_stands():
    ta = Estimate(6.0, Interval(5.7, 6.3, 0.95))
    named = texts(drawn(FORMULA, bottle(), GOAL, {"ta": ta})[0])

    assert {"v12, latest", "v10, its parent", bottle().name, "liked best 5.7–6.3"} <= named
    assert {"25 %", "50 % would notice"} <= named
    # The other versions have no names longer than their numbers; some lie where there is no room.
    others = {version_name(one.label) for one in FORMULA.versions[:9]}
    assert len(others & named) >= 4


def test_versions_at_one_place_share_a_name():
    last = FORMULA.versions[-1]
    twin = last.model_copy(update={"id": "twin", "label": "v13 again", "parent": last.id})
    formula = FORMULA.model_copy(update={"versions": (*FORMULA.versions, twin)})

    assert "v13, latest; v12, its parent" in texts(drawn(formula, least=(2.0, 40.0))[0])


def test_no_axis_zooms_into_what_nobody_would_notice():
    """Two versions that differ by a hair: the axes are two noticeable steps long all the same."""
    alone = FORMULA.model_copy(update={"versions": (FORMULA.versions[0],)})
    acid, sugar = axes(drawn(alone)[0])

    assert acid[1] - acid[0] >= 2 * STEPS[0]
    assert sugar[1] - sugar[0] >= 2 * STEPS[1]


def test_contours_of_a_step_hardly_known_do_not_push_the_versions_together():
    far = Goal(CENTRE, np.array(CENTRE) + 50 * (AIM.room - np.array(CENTRE)), None, 0.0, LARGEST)
    near, wide = (axes(drawn(FORMULA, bottle(), goal)[0])[0] for goal in (GOAL, far))

    assert wide[1] - wide[0] < 2 * (near[1] - near[0])


def test_axes_have_one_title_with_its_unit():
    chart = drawn(FORMULA, bottle(), GOAL)[0].to_dict()
    titles = {
        layer["encoding"]["x"]["title"] for layer in chart["layer"] if "x" in layer["encoding"]
    }

    assert titles == {"TA, g/L"}


def test_what_is_liked_is_a_band_or_a_box():
    ta = Estimate(6.0, Interval(5.7, 6.3, 0.95))
    band = drawn(ideal={"ta": ta})[0].to_dict()["layer"][0]["encoding"]
    box = drawn(ideal={"ta": ta, "sugar": ta})[0].to_dict()["layer"][0]

    assert {"x", "x2"} <= set(band)
    assert "y" not in band
    assert {"x", "x2", "y", "y2"} <= set(box["encoding"])


def test_the_table_ends_with_the_reference_and_its_doubt():
    table = drawn(FORMULA, bottle(), GOAL)[2]

    assert len(table) == len(FORMULA.versions) + 1
    assert table.iloc[-1].tolist() == [bottle().name, "6.20 (6.08–6.32)", "60.0 (59.5–60.5)"]


def test_the_text_tells_where_the_latest_version_stands():
    text = drawn(FORMULA, bottle(), GOAL)[1]

    assert FORMULA.versions[-1].label in text
    assert f"{bottle().name} has 6.2 g/L and 60 g/L" in text
