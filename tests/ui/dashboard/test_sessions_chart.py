"""The dashboard's charts: their data, what is said of them, and the same numbers as a table."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasting.insight.noticing.noticed import Noticed, noticed
from tasting.panel.session import Session
from tasting.store.documents import Document
from tasting.ui.dashboard.marks import apart
from tasting.ui.dashboard.sessions_chart import SUGAR, TA, noticed_against, session_name, signed
from tests.ui.workshop import MEASURED, SPRITZ, UNMEASURED, closed, planned, some_closed

DRINKS = Document(formulas=(SPRITZ,), references=(MEASURED, UNMEASURED))
ACID = closed(planned("acid"), 10, 2)


def rows(*sessions: Session) -> tuple[Noticed, ...]:
    return noticed(sessions, DRINKS.drink)


SOME = rows(*some_closed())


def drawn(*sessions: Session) -> dict[str, Any]:
    return noticed_against(rows(*sessions), TA)[0].to_dict()


def points(*sessions: Session) -> list[dict[str, Any]]:
    (data,) = drawn(*sessions)["datasets"].values()
    return list(data)


def test_a_mark_carries_the_numbers_of_its_session() -> None:
    (point,) = points(ACID)

    assert (point["session"], point["method"], point["n"]) == ("Session acid", "Triangle test", 12)
    assert point["noticed"] == pytest.approx(75)
    assert point["low"] < point["noticed"] < point["high"]
    assert point["finding"] == "shown"


def test_the_size_of_the_step_is_drawn_and_its_sign_is_told() -> None:
    (there,) = points(ACID)
    (back,) = points(closed(planned("back", a="spritz-2", b="spritz-1"), 10, 2))

    assert there["drawn"] == back["drawn"] > 0
    assert (there["step"], back["step"]) == ("+0.88", "−0.88")


def test_only_what_is_shown_reaches_the_browser() -> None:
    shown = {"session", "samples", "method", "n", "finding", "noticed", "interval", "low", "high"}

    assert set(points(ACID)[0]) == shown | {"step", "said", "drawn"}


def test_a_session_of_unknown_step_is_in_the_table_only() -> None:
    chart, _, table = noticed_against(SOME, TA)
    names = [point["session"] for data in chart.to_dict()["datasets"].values() for point in data]

    assert "Session unknown" not in names
    assert table.iloc[-1].to_dict()["Session"] == "Session unknown"
    assert table.iloc[-1].to_dict()["TA, B − A, g/L"] == "unknown"


def test_the_table_is_ordered_by_the_size_of_the_step() -> None:
    steps = noticed_against(SOME, SUGAR)[2]["Sugar, B − A, g/L"]
    sizes = [abs(float(step.replace("−", "-"))) for step in steps]

    assert sizes == sorted(sizes)
    assert len(sizes) == len(SOME)


def test_the_table_has_the_numbers_of_the_chart() -> None:
    line = noticed_against(rows(ACID), TA)[2].iloc[0].to_dict()

    assert (line["Noticed, %"], line["95 % interval, %"], line["n"]) == ("75", "27 to 97", 12)
    assert (line["Difference"], line["B against A"]) == ("shown", "Spritz, v2 against Spritz, v1")


def channels(chart: dict[str, Any]) -> list[tuple[str, dict[str, Any]]]:
    return [item for layer in chart["layer"] for item in layer["encoding"].items()]


def test_every_axis_and_legend_has_a_title_with_its_unit() -> None:
    titled = {
        name: channel["title"] for name, channel in channels(drawn(ACID)) if "title" in channel
    }

    assert titled == {
        "x": "Difference in titratable acidity, g/L",
        "y": "Noticed in % of tastings",
        "shape": "Method",
        "fill": "Difference",
    }


def test_every_line_of_the_tooltip_has_a_title() -> None:
    tooltips = [channel for name, channel in channels(drawn(ACID)) if name == "tooltip"]

    assert all(line["title"] for tooltip in tooltips for line in tooltip)


def test_method_is_a_shape_and_finding_a_filling() -> None:
    found = dict(channels(drawn(*some_closed())))

    assert len(set(found["shape"]["scale"]["range"])) == 3
    assert found["fill"]["scale"]["range"][1] == "transparent"


def test_the_text_says_what_was_shown_and_what_was_not() -> None:
    text = noticed_against(SOME, TA)[1]

    assert "shown in 2, from 0.88 g/L upwards" in text
    assert "not shown in 1, up to 0.15 g/L" in text


def test_a_mark_says_itself_in_words() -> None:
    assert points(ACID)[0]["said"] == (
        "Session acid: Spritz, v2 against Spritz, v1, +0.88 g/L in titratable acidity; "
        "Triangle test, n = 12; noticed in 75 % of tastings (95 % interval 27 to 97 %); "
        "difference shown"
    )


def test_without_a_known_step_the_text_says_so() -> None:
    unknown = closed(planned("unknown", a="S"), 9, 3)

    assert noticed_against(rows(unknown), TA)[1] == (
        "No session has a known difference in titratable acidity."
    )


@pytest.mark.parametrize("quantity", [TA, SUGAR])
def test_no_word_calls_two_drinks_the_same(quantity: Any) -> None:
    chart, text, table = noticed_against(SOME, quantity)
    words = f"{chart.to_json()} {text} {table.to_csv()}".casefold()

    assert not {"same", "identical", "significant"} & set(words.split())


def test_invented_sessions_are_marked() -> None:
    (row,) = rows(ACID.model_copy(update={"invented": "made up"}))

    assert session_name(row) == "Session acid (invented)"


@pytest.mark.parametrize(
    ("step", "text"),
    [
        (None, "unknown"),
        (0.884, "+0.88"),
        (-0.146, "−0.15"),
        (0.0, "0.00"),
        (-0.001, "0.00"),
        (-11.77, "−11.8"),
        (9.997, "+10.0"),
    ],
)
def test_a_step_is_written_with_its_sign(step: float | None, text: str) -> None:
    assert signed(step) == text


sizes = st.lists(st.floats(0, 10), max_size=12)


@given(sizes)
def test_no_mark_moves_far_or_below_zero(given_sizes: list[float]) -> None:
    moved = apart(given_sizes, closest=0.2, widest=0.5)

    assert all(place >= 0 for place in moved)
    assert all(abs(a - b) <= 0.7 for a, b in zip(moved, given_sizes, strict=True))


def test_sizes_that_are_apart_stay_where_they_are() -> None:
    assert apart([0.5, 0.1, 0.9], 0.2, 1) == [0.5, 0.1, 0.9]


def test_equal_sizes_spread_evenly_around_their_place() -> None:
    assert apart([1.0, 1.0, 1.0], 0.2, 1) == pytest.approx([0.8, 1.0, 1.2])


def test_many_equal_sizes_share_the_widest_place() -> None:
    assert apart([1.0] * 5, 0.2, 0.4) == pytest.approx([0.8, 0.9, 1.0, 1.1, 1.2])


def test_at_zero_they_spread_to_the_right() -> None:
    assert apart([0.0, 0.0], 0.2, 1) == [0.0, 0.2]
