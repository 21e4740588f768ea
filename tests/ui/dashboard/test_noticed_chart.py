"""The chart of the share who notice: curve, band, marks and what is said of them."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasting.insight.advice.forecast import curve
from tasting.insight.noticing.drivers import DRIVERS, SUGAR, TA, Driver
from tasting.insight.noticing.marks import beside_curve, session_shares
from tasting.panel.methods import METHODS
from tasting.ui.dashboard.noticed_chart import (
    CHOSEN,
    SESSION,
    SHAPES,
    apart,
    drawn,
    noticed_against,
)
from tasting.ui.dashboard.palette import LIGHT
from tests.insight.workshop import document, noticed
from tests.ui.dashboard.test_noticed_table import AS_TRIANGLE, rows
from tests.ui.workshop import closed, planned, some_closed

ALL = session_shares(document().sessions, document().drink, (TA, SUGAR))
FOUND = beside_curve(ALL, TA)
CURVE = curve(noticed(), "ta")
SOME = rows(*some_closed())
ACID = rows(closed(planned("acid"), 10, 2))


def spec(found=FOUND, fitted=CURVE, driver: Driver = TA) -> dict[str, Any]:
    return noticed_against(found, driver, fitted)[0].to_dict()


def layers(chart):
    return {layer["mark"]["type"]: layer for layer in chart["layer"]}


def points(chart):
    data = chart["datasets"].values()
    return next(list(marks) for marks in data if SESSION in marks[0])


def encoded(chart):
    return layers(chart)["point"]["encoding"]


def test_curve_band_intervals_and_marks_are_drawn():
    assert list(layers(spec())) == ["area", "line", "rule", "point"]


def test_without_a_fit_the_marks_are_drawn_alone():
    assert list(layers(spec(fitted=None))) == ["rule", "point"]


def test_without_marks_the_curve_is_drawn_alone():
    assert list(layers(spec(found=[]))) == ["area", "line"]


def pieces(chart):
    """The lines of the curve, from left to right: dashes, and the sizes of the step drawn."""
    lines = [layer for layer in chart["layer"] if layer["mark"]["type"] == "line"]
    data = [chart["datasets"][layer["data"]["name"]] for layer in lines]
    return [
        (layer["mark"]["strokeDash"], [row["drawn"] for row in rows])
        for layer, rows in zip(lines, data, strict=True)
    ]


def test_beyond_what_was_tasted_the_curve_is_dashed():
    (whole, inside), (dashed, outside) = pieces(spec())

    assert (whole, dashed) == ([1, 0], [6, 5])
    assert max(inside) <= CURVE.largest_tasted < max(outside)
    assert inside[-1] == outside[0]
    assert [*inside, *outside[1:]] == pytest.approx(CURVE.delta.tolist())
    areas = [layer["mark"] for layer in spec()["layer"] if layer["mark"]["type"] == "area"]
    assert areas[1]["opacity"] < areas[0]["opacity"]
    assert (
        "extrapolated, and dashed, beyond 0.88 g/L, the largest step tasted"
        in (noticed_against(FOUND, TA, CURVE)[1])
    )


def test_a_curve_within_what_was_tasted_is_one_line():
    short = curve(noticed(), "ta", most=0.5)

    assert [dash for dash, _ in pieces(spec(fitted=short))] == [[1, 0]]
    assert "extrapolated" not in noticed_against(FOUND, TA, short)[1]


def test_a_mark_can_be_selected_by_its_session():
    (chosen,) = spec()["params"]

    assert chosen["name"] == CHOSEN
    assert chosen["select"]["fields"] == [SESSION]
    assert {point[SESSION] for point in points(spec())} == {one.session_id for one in FOUND}


def test_size_shape_fill_and_outline_each_carry_something():
    fields = {
        channel: encoded(spec())[channel]["field"]
        for channel in ("size", "shape", "fill", "strokeDash")
    }

    assert fields == {
        "size": "Tastings n",
        "shape": "Method",
        "fill": "What else differs",
        "strokeDash": "Tasted by",
    }


def test_the_axes_name_their_scale_and_unit():
    for layer in layers(spec()).values():
        assert layer["encoding"]["x"]["title"] == "Difference in TA, g/L"
        assert layer["encoding"]["y"]["title"] == AS_TRIANGLE


def test_a_mark_stands_at_the_share_of_triangles_at_its_distance() -> None:
    (triangle,) = points(spec(ACID, None))
    (tetrad,) = points(spec(rows(closed(planned("tetrad", "tetrad", replicates=2), 16, 8)), None))

    assert triangle["share"] == pytest.approx(75, abs=0.01)
    assert triangle["low"] < triangle["share"] < triangle["high"]
    assert tetrad["share"] == pytest.approx(28.5, abs=0.1)


def test_the_size_of_the_step_is_drawn_and_its_sign_is_told() -> None:
    (there,) = points(spec(ACID, None))
    (back,) = points(spec(rows(closed(planned("back", a="spritz-2", b="spritz-1"), 10, 2)), None))

    assert there["drawn"] == back["drawn"] > 0
    assert (there["Step B − A, g/L"], back["Step B − A, g/L"]) == ("+0.90", "−0.90")


def test_the_tooltip_is_what_the_table_says_and_nothing_more_reaches_the_browser() -> None:
    told = [line["field"] for line in encoded(spec())["tooltip"]]
    (point,) = points(spec(ACID, None))

    assert {AS_TRIANGLE, "Share who notice, own method (p_d), %", "Difference"} <= set(told)
    assert set(point) == {*told, SESSION, "share", "low", "high", "drawn", "said"}


def test_a_mark_says_itself_in_words() -> None:
    said = points(spec(ACID, None))[0]["said"]

    assert said.startswith("Session: Session acid; Step B − A, g/L: +0.90; ")
    assert f"{AS_TRIANGLE}: 75 (27–97); " in said
    assert "Difference: shown; " in said


def test_a_preference_and_an_unknown_step_are_not_drawn() -> None:
    assert [one.session_id for one, *_ in drawn(SOME, TA)] == ["acid", "syrup"]
    assert [one.session_id for one, *_ in drawn(SOME, SUGAR)] == ["acid", "syrup", "unknown"]


@pytest.mark.parametrize("method", ["same-different", "a-not-a"])
def test_a_method_without_a_share_is_not_drawn(method: str) -> None:
    assert drawn(rows(closed(planned("one", method), 9, 3)), TA) == []


def test_one_method_needs_no_legend():
    assert encoded(spec())["shape"]["legend"] is None


def test_every_method_has_one_shape_of_its_own_whatever_else_is_drawn() -> None:
    methods = {
        key
        for key, method in METHODS.items()
        if method.psychometric and method.question_kind != "preference"
    }
    assert set(SHAPES) == methods
    assert len(set(SHAPES.values())) == len(methods)
    for shares in (FOUND, ALL, SOME, ACID):
        scale = encoded(spec(shares, None))["shape"]["scale"]
        names = {METHODS[key].name: shape for key, shape in SHAPES.items()}
        assert scale["range"] == [names[name] for name in scale["domain"]]


def test_filled_is_where_nothing_else_is_known_to_differ() -> None:
    fill = encoded(spec())["fill"]["scale"]

    assert fill["domain"] == ["no other modelled figure", "something"]
    assert fill["range"][1] == LIGHT.page
    for point, (one, *_) in zip(points(spec(ALL, None)), drawn(ALL, TA), strict=True):
        assert (point["What else differs"] == "no other modelled figure") == one.nothing_else(TA)


def test_one_session_reads_alike_beside_the_curve_and_among_all() -> None:
    both = [{point["said"] for point in points(chart)} for chart in (spec(), spec(ALL, None))]

    assert both[0] < both[1]


def test_the_curve_is_drawn_in_percent_within_its_band():
    inside, outside = (list(one) for one in spec()["datasets"].values() if "value" in one[0])

    assert all(row["low"] <= row["value"] <= row["high"] <= 100 for row in [*inside, *outside])
    assert max(inside[-1]["value"], outside[-1]["value"]) == pytest.approx(
        100 * CURVE.p_d[-1, 0], abs=0.01
    )


def test_the_text_tells_where_half_notice():
    step = noticed().step("ta").difference_threshold.amount.value
    far = curve(noticed(), "ta", most=2 * step, points=401)

    assert f"reaches half at {step:.2f} g/L" in noticed_against(FOUND, TA, far)[1]
    assert "curve" not in noticed_against(FOUND, TA, None)[1]


def test_the_text_says_what_was_shown_and_what_was_not() -> None:
    text = noticed_against(SOME, SUGAR)[1]

    assert text.startswith(f"{AS_TRIANGLE}, against the size of the step in sugar. 3 sessions")
    assert "difference shown in 1, from 1.03 upwards" in text
    assert "not shown in 2, up to 11.78." in text


def test_without_a_known_step_nothing_is_drawn() -> None:
    unknown = rows(closed(planned("unknown", a="S"), 9, 3))

    assert noticed_against(unknown, TA)[1].endswith("0 sessions are drawn.")


@pytest.mark.parametrize("driver", [TA, SUGAR])
def test_no_word_calls_two_drinks_the_same(driver: Driver) -> None:
    chart, text = noticed_against(SOME, driver)
    words = f"{chart.to_json()} {text}".casefold()

    assert not {"same", "identical", "significant"} & set(words.split())


def test_a_driver_without_a_unit_is_drawn_without_a_comma() -> None:
    ph = DRIVERS["ph"]
    chart = spec(rows(closed(planned("acid"), 10, 2), drivers=[ph]), None, ph)

    assert encoded(chart)["x"]["title"] == "Difference in pH"


sizes = st.lists(st.floats(0, 10), max_size=20)


@given(sizes)
def test_marks_that_move_apart_stay_near_and_above_zero(given_sizes):
    moved = apart(given_sizes, closest=0.2, widest=0.5)

    assert all(abs(a - b) <= 0.7 + 1e-9 for a, b in zip(given_sizes, moved, strict=True))
    assert all(place >= 0 for place in moved)


def test_sizes_that_are_apart_stay_where_they_are() -> None:
    assert apart([0.5, 0.1, 0.9], 0.2, 1) == [0.5, 0.1, 0.9]


def test_equal_sizes_spread_evenly_around_their_place() -> None:
    assert apart([1.0, 1.0, 1.0], 0.2, 1) == pytest.approx([0.8, 1.0, 1.2])


def test_many_equal_sizes_share_the_widest_place() -> None:
    assert apart([1.0] * 5, 0.2, 0.4) == pytest.approx([0.8, 0.9, 1.0, 1.1, 1.2])


def test_at_zero_they_spread_to_the_right() -> None:
    assert apart([0.0, 0.0], 0.2, 1) == [0.0, 0.2]
