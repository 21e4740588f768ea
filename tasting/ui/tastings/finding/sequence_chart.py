"""The sequence of answers between Wald's lines: a tally in; chart, text and table out."""

from functools import partial
from itertools import accumulate

import altair as alt
import pandas as pd

from tasting.insight.findings.tally import Tally
from tasting.stats import sequential
from tasting.stats.sequential import Decision, WaldTest
from tasting.ui.dashboard.palette import COLOUR, GREY
from tasting.wording import decimals

_HEIGHT_PX = 340
_NO_LOOK = "no look here"


def sequence_chart(tally: Tally) -> tuple[alt.LayerChart, str, pd.DataFrame]:
    """Correct answers after each answer, and the two lines at which the test decides."""
    test = tally.wald_test
    points = _points(tally, test)
    return _chart(points, _below(tally)), _alt(tally, test), _table(points, _below(tally))


def _below(tally: Tally) -> str:
    """What the lower line decides: similarity only where the plan aims at it."""
    return "similarity" if tally.design.aim == "similarity" else "no difference shown"


def _points(tally: Tally, test: WaldTest) -> pd.DataFrame:
    counts = list(accumulate((given.counted for given in tally.choosing), initial=0))
    return pd.DataFrame(
        {
            "n": n,
            "correct": correct,
            "lower": test.lower + test.slope * n,
            "upper": test.upper + test.slope * n,
            "state": _at_look(tally, test, correct, n) if test.looks.include(n) else _NO_LOOK,
        }
        for n, correct in enumerate(counts)
    )


def _at_look(tally: Tally, test: WaldTest, correct: int, n: int) -> str:
    return _state(tally, test.decide(correct, n) if n else Decision.GO_ON)


def _state(tally: Tally, decision: Decision) -> str:
    if decision is Decision.SIMILAR and tally.design.aim != "similarity":
        return "no difference shown"
    return decision.value


def _chart(points: pd.DataFrame, below: str) -> alt.LayerChart:
    base = alt.Chart(points)
    x = alt.X("n:Q", title="Answers n", axis=alt.Axis(tickMinStep=1))
    scale = alt.Scale(domainMin=0, domainMax=float(max(points["upper"].max(), 1)))

    def y(field: str) -> alt.Y:
        return alt.Y(f"{field}:Q", title="Correct answers", scale=scale)

    lines = [
        base.mark_line(color=GREY, strokeDash=dash, clip=True).encode(x=x, y=y(field))
        for field, dash in (("upper", [1, 0]), ("lower", [6, 4]))
    ]
    path = base.mark_line(color=COLOUR, interpolate="linear", strokeWidth=2).encode(
        x=x, y=y("correct")
    )
    marks = base.mark_point(color=COLOUR, fill=COLOUR, size=45, opacity=1).encode(
        x=x,
        y=y("correct"),
        tooltip=[
            alt.Tooltip("n:Q", title="Answers n"),
            alt.Tooltip("correct:Q", title="Correct"),
            alt.Tooltip("state:N", title="Test"),
        ],
    )
    labels = _labels(points, below, x, scale)
    return alt.LayerChart(layer=[*lines, *labels, path, marks], height=_HEIGHT_PX)


def _labels(points: pd.DataFrame, below: str, x: alt.X, scale: alt.Scale) -> list[alt.Chart]:
    """What lies above and below the lines, written into their corners."""
    top, last = float(points["upper"].max()), int(points["n"].max())
    return [
        _corner("above: difference shown", 0, 0.97 * top, x, scale).mark_text(
            align="left", dx=6, fontSize=13, color=GREY
        ),
        _corner(f"below: {below}", last, 0.05 * top, x, scale).mark_text(
            align="right", dx=-6, fontSize=13, color=GREY
        ),
    ]


def _corner(said: str, n: int, at: float, x: alt.X, scale: alt.Scale) -> alt.Chart:
    point = pd.DataFrame({"n": [n], "at": [at], "said": [said]})
    y = alt.Y("at:Q", title="Correct answers", scale=scale)
    return alt.Chart(point).encode(x=x, y=y, text="said:N")


def _alt(tally: Tally, test: WaldTest) -> str:
    run = sequential.run(test, [given.counted for given in tally.choosing])
    outcome = {
        Decision.DIFFERENT: f"It reached the line for a difference after {run.n} answers.",
        Decision.SIMILAR: f"It reached the lower line ({_below(tally)}) after {run.n} answers.",
        Decision.GO_ON: f"It stayed between the lines for all {run.n} answers.",
    }[run.decision]
    return f"Correct answers as they came, {tally.count} of {tally.n}. {outcome}"


def _table(points: pd.DataFrame, below: str) -> pd.DataFrame:
    """One row for each answer."""
    rows = points.iloc[1:]
    return pd.DataFrame(
        {
            "Answer": rows["n"].astype(str),
            "Correct so far": rows["correct"].astype(str),
            f"{below.capitalize()} at or below": rows["lower"].map(partial(decimals, places=2)),
            "Difference at or above": rows["upper"].map(partial(decimals, places=2)),
            "Test": rows["state"],
        }
    )
