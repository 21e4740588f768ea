"""The chart of what is noticed: curve, band, marks and what is said of them."""

import pytest

from tasting.insight.advice.forecast import curve
from tasting.insight.noticing.drivers import TA
from tasting.insight.noticing.marks import marks
from tasting.ui.dashboard.marks import plotted
from tasting.ui.dashboard.noticed_chart import CHOSEN, SESSION, noticed_against
from tests.insight.workshop import noticed

FOUND = plotted(marks(noticed(), "ta"))
CURVE = curve(noticed(), "ta")


def spec(found=FOUND, fitted=CURVE):
    return noticed_against(found, TA, fitted)[0].to_dict()


def layers(chart):
    return {layer["mark"]["type"]: layer for layer in chart["layer"]}


def points(chart):
    data = chart["datasets"].values()
    return next(list(rows) for rows in data if SESSION in rows[0])


def test_curve_band_intervals_and_marks_are_drawn():
    assert list(layers(spec())) == ["area", "line", "rule", "point"]


def test_without_a_fit_the_marks_are_drawn_alone():
    assert list(layers(spec(fitted=None))) == ["rule", "point"]


def test_without_marks_the_curve_is_drawn_alone():
    assert list(layers(spec(found=[]))) == ["area", "line"]


def test_a_mark_can_be_selected_by_its_session():
    (chosen,) = spec()["params"]

    assert chosen["name"] == CHOSEN
    assert chosen["select"]["fields"] == [SESSION]
    assert {point[SESSION] for point in points(spec())} == {one.mark.session_id for one in FOUND}


def test_size_shape_fill_and_outline_each_carry_something():
    encoded = layers(spec())["point"]["encoding"]
    fields = {channel: encoded[channel]["field"] for channel in ("size", "shape", "fill")}

    assert fields == {"size": "n", "shape": "method", "fill": "differs"}
    assert encoded["strokeDash"]["field"] == "by"


def test_every_channel_is_titled_and_the_axes_have_units():
    for layer in layers(spec()).values():
        assert layer["encoding"]["x"]["title"] == "Difference in titratable acidity, g/L"
        assert layer["encoding"]["y"]["title"] == "Noticed, % of tastings"
    encoded = layers(spec())["point"]["encoding"]
    assert all(encoded[name]["title"] for name in ("size", "shape", "fill", "strokeDash"))


def test_one_method_needs_no_legend():
    assert layers(spec())["point"]["encoding"]["shape"]["legend"] is None


def test_the_curve_is_drawn_in_percent_within_its_band():
    rows = next(list(rows) for rows in spec()["datasets"].values() if "value" in rows[0])

    assert all(row["low"] <= row["value"] <= row["high"] <= 100 for row in rows)
    assert rows[-1]["value"] == pytest.approx(100 * CURVE.p_d[-1, 0], abs=0.01)


def test_the_text_tells_where_half_notice():
    step = noticed().step("ta").difference_threshold.amount.value
    far = curve(noticed(), "ta", most=2 * step, points=401)

    assert f"half of the tastings at {step:.2f} g/L" in noticed_against(FOUND, TA, far)[1]
    assert "no curve is fitted yet" in noticed_against(FOUND, TA, None)[1]
