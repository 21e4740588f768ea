"""The versions of a formula in acid and sugar, around the reference; chart, alt text and table.

The latest version, its parent, the reference, contours and bands are named where they stand, the
other versions where there is room; all on hover and in the table.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import nan

import altair as alt
import numpy as np
import pandas as pd

from tasting.drink.composition import compose
from tasting.drink.declared import LabelInterval
from tasting.drink.formula import Formula, Version
from tasting.drink.label import Reference, bands
from tasting.drink.uncertainty import Spread
from tasting.insight.advice.question import version_name
from tasting.insight.noticing.drivers import SUGAR, TA, Driver
from tasting.stats.checks import Floats
from tasting.stats.results import Estimate
from tasting.ui.dashboard.map_contours import LEVELS, Goal, Outline, beside, outlines
from tasting.ui.dashboard.map_labels import Align, Frame, Name, Place, around, placed, written
from tasting.ui.dashboard.palette import LIGHT
from tasting.wording import decimals, interval, number, percent

_HEIGHT_PX, _AXIS_PX = 350, 80
# Of the height, what the axis below takes with its title.
# Contours are drawn as far as the page leaves room: they widen an axis by this much at most.
_ROOM = 0.6
_EDGE = 0.08
# Points at which a step between two versions is looked at for names that would cross it.
_ALONG = 40
_DIGITS = ((TA, 2), (SUGAR, 1))
TA_TITLE, SUGAR_TITLE = "TA, g/L", "Sugar, g/L"


@dataclass(frozen=True, slots=True)
class MapData:
    """What a map is drawn from.

    ideal: levels that are liked best, by key of the driver
    least: the smallest steps in acid and in sugar that half of assessors notice, as far as is
        known; no axis is shorter than two of them, so that nothing unnoticed looks large
    """

    formula: Formula
    reference: Reference | None
    goal: Goal | None
    ideal: Mapping[str, Estimate]
    least: tuple[float, float]


def versions_map(drawn: MapData) -> tuple[alt.LayerChart, str, pd.DataFrame]:
    """Every version at its acid and sugar, from parent to child, with the reference's box, contours
    of expected noticeability around it, and what is liked best."""
    points = _points(drawn.formula)
    found = outlines(drawn.goal)
    frame = _frame(drawn, points, found)
    map_ = _Layers(drawn, frame)
    layers = [
        *map_.liked(),
        *map_.contours(found),
        *map_.region(),
        *map_.box(),
        *map_.path(points),
        *map_.dots(points),
        *map_.names(_names(drawn, frame, points, found), points, _lines(drawn, points, found)),
    ]
    chart = alt.LayerChart(layer=layers, height=_HEIGHT_PX)
    numbers = _table(drawn.formula, drawn.reference)
    return chart, _alt(drawn.formula, drawn.reference, drawn.goal, points), numbers


def _points(formula: Formula) -> pd.DataFrame:
    latest = formula.versions[-1]
    rows = []
    for version in formula.versions:
        made = compose(version)
        ta, sugar = (_rounded(getattr(made, driver.figure), digits) for driver, digits in _DIGITS)
        rows.append(
            {"id": version.id, "version": version.label, "x": ta, "y": sugar}
            | {"latest": version is latest, "parent": version.id == latest.parent}
        )
    return pd.DataFrame(rows)


def _rounded(level: float | None, digits: int) -> float:
    """No number, which is not drawn, where the level cannot be computed."""
    return nan if level is None else round(level, digits)


def _frame(drawn: MapData, points: pd.DataFrame, found: Sequence[Outline]) -> Frame:
    """Axes around all drinks; contours add some room, and what is left of them is cut off."""
    own = [points[["x", "y"]].to_numpy()]
    own += [drawn.goal.region] if drawn.goal and drawn.goal.region is not None else []
    box = _meant(drawn.reference)
    own += [np.array([[box[0].low, box[1].low], [box[0].high, box[1].high]])] if box else []
    drinks = np.vstack(own)
    drinks = drinks[np.isfinite(drinks).all(axis=1)]
    if not len(drinks):
        return Frame((0.0, 1.0), (0.0, 1.0), _HEIGHT_PX - _AXIS_PX)
    every = np.vstack([drinks, *(one.points for one in found)])
    low, high = drinks.min(axis=0), drinks.max(axis=0)
    room = np.maximum(_ROOM * (high - low), np.array(drawn.least))
    low, high = (
        np.maximum(every.min(axis=0), low - room),
        np.minimum(every.max(axis=0), high + room),
    )
    short = np.maximum(0.0, 2 * np.array(drawn.least) - (high - low)) / 2
    edge = short + _EDGE * (high - low + 2 * short)
    low, high = np.maximum(0.0, low - edge), high + edge
    return Frame((low[0], high[0]), (low[1], high[1]), _HEIGHT_PX - _AXIS_PX)


def _meant(reference: Reference | None) -> tuple[LabelInterval, LabelInterval] | None:
    """What the reference's acidity and sugar can be, where both are known."""
    meant = bands(reference) if reference else {}
    if not {TA.figure, SUGAR.figure} <= set(meant):
        return None
    return meant[TA.figure][0], meant[SUGAR.figure][0]


def _names(
    drawn: MapData, frame: Frame, points: pd.DataFrame, found: Sequence[Outline]
) -> list[Name]:
    named = [*_of_versions(points), *_of_reference(drawn.reference), *_of_bands(drawn.ideal, frame)]
    # The outermost has most room for words.
    wordy = next((one for one in reversed(found) if not one.beyond), None)
    for one in found:
        text = f"{one.name} would notice" if one is wordy else one.name
        named.append(Name(text, tuple(beside(one, frame))))
    return [*named, *_of_others(points)]


def _of_others(points: pd.DataFrame) -> Iterator[Name]:
    """The other versions by their numbers, the newest first, as far as there is room."""
    others = points[~(points.latest | points.parent)].dropna()
    for one in reversed(others.to_dict("records")):
        yield Name(version_name(one["version"]), tuple(around(one["x"], one["y"])))


def _lines(drawn: MapData, points: pd.DataFrame, found: Sequence[Outline]) -> Floats:
    """Points along all lines that are drawn: contours, the region, and steps between versions."""
    at = points.set_index("id")[["x", "y"]]
    along = np.linspace(0, 1, _ALONG)[:, None]
    steps = [
        at.loc[one.parent].to_numpy() * (1 - along) + at.loc[one.id].to_numpy() * along
        for one in drawn.formula.versions
        if one.parent is not None
    ]
    region = [drawn.goal.region] if drawn.goal and drawn.goal.region is not None else []
    return np.vstack([np.empty((0, 2)), *(one.points for one in found), *region, *steps])


def _of_versions(points: pd.DataFrame) -> Iterator[Name]:
    """The latest version and its parent; in one line where they lie at one place."""
    named = points[points.latest | points.parent].dropna().sort_values("latest", ascending=False)
    roles: dict[tuple[float, float], list[str]] = {}
    for one in named.to_dict("records"):
        role = "latest" if one["latest"] else "its parent"
        roles.setdefault((one["x"], one["y"]), []).append(f"{version_name(one['version'])}, {role}")
    for place, said in roles.items():
        yield Name("; ".join(said), tuple(around(*place)), strong=True)


def _of_reference(reference: Reference | None) -> Iterator[Name]:
    box = _meant(reference)
    if reference is None or box is None:
        return
    ta, sugar = box
    middle = (ta.low + ta.high) / 2, (sugar.low + sugar.high) / 2
    places = [
        Place(middle[0], sugar.high, 0, -11, "center"),
        Place(middle[0], sugar.low, 0, 12, "center"),
        Place(ta.high, middle[1], 8, 0, "left"),
        Place(ta.low, middle[1], -8, 0, "right"),
        *(
            Place(middle[0], y, 0, sign * far, "center")
            for far in (30, 48, 66)
            for y, sign in ((sugar.high, -1), (sugar.low, 1))
        ),
    ]
    yield Name(reference.name, tuple(places), strong=True)


def _of_bands(ideal: Mapping[str, Estimate], frame: Frame) -> Iterator[Name]:
    """What is liked best, in the upper or lower corner of its band."""
    known = [key for key in (TA.key, SUGAR.key) if key in ideal]
    if not known:
        return
    ta = ideal.get(TA.key)
    left = max(frame.x[0], ta.low) if ta else frame.x[0]
    right = min(frame.x[1], ta.high) if ta else frame.x[1]
    sugar = ideal.get(SUGAR.key)
    top = min(frame.y[1], sugar.high) if sugar else frame.y[1]
    bottom = max(frame.y[0], sugar.low) if sugar else frame.y[0]
    ends = " and ".join(interval(ideal[key].low, ideal[key].high) for key in known)
    sides: tuple[tuple[float, int, Align], ...]
    middle = (left + right) / 2
    sides = (
        (left, 5, "left"),
        (right, -5, "right"),
        (middle, 0, "center"),
        (right, 5, "left"),
    )
    corners = [
        Place(x, y, dx, dy, align) for y, dy in ((top, 12), (bottom, -12)) for x, dx, align in sides
    ]
    yield Name(f"liked best {ends}", tuple(corners))


@dataclass(frozen=True, slots=True)
class _Layers:
    """The parts of the chart, from the lowest to the highest."""

    drawn: MapData
    frame: Frame

    def _x(self, column: str = "x") -> alt.X:
        scale = alt.Scale(domain=list(self.frame.x), nice=False)
        return alt.X(f"{column}:Q", title=TA_TITLE, scale=scale)

    def _y(self, column: str = "y") -> alt.Y:
        scale = alt.Scale(domain=list(self.frame.y), nice=False)
        return alt.Y(f"{column}:Q", title=SUGAR_TITLE, scale=scale)

    def liked(self) -> list[alt.Chart]:
        """The region that is liked best: a band across, or a box where both are known."""
        row: dict[str, float] = {}
        channels: dict[str, alt.X | alt.Y | str] = {}
        ideal = self.drawn.ideal
        if TA.key in ideal:
            row |= {"x": ideal[TA.key].low, "x2": ideal[TA.key].high}
            channels |= {"x": self._x(), "x2": "x2:Q"}
        if SUGAR.key in ideal:
            row |= {"y": ideal[SUGAR.key].low, "y2": ideal[SUGAR.key].high}
            channels |= {"y": self._y(), "y2": "y2:Q"}
        if not row:
            return []
        base = alt.Chart(pd.DataFrame([row]))
        band = base.mark_rect(color=LIGHT.liked, opacity=0.15, clip=True)
        return [band.encode(**channels)]

    def contours(self, found: Sequence[Outline]) -> list[alt.Chart]:
        """Where so many would notice; dotted beyond what was tasted."""
        rows = [
            {"share": one.name, "beyond": one.beyond, "order": order, "x": ta, "y": sugar}
            for one in found
            for order, (ta, sugar) in enumerate(one.points.round(3).tolist())
        ]
        if not rows:
            return []
        lines = alt.Chart(pd.DataFrame(rows)).mark_line(
            color=LIGHT.mark, strokeWidth=1.5, opacity=0.8, aria=False, clip=True
        )
        return [
            lines.encode(
                x=self._x(),
                y=self._y(),
                detail=alt.Detail("share:N", title="Share who notice"),
                strokeDash=alt.condition("datum.beyond", alt.value([2, 4]), alt.value([1, 0])),
                order=alt.Order("order:Q", title="Order"),
            )
        ]

    def region(self) -> list[alt.Chart]:
        """Where the reference truly lies."""
        goal = self.drawn.goal
        if goal is None or goal.region is None:
            return []
        data = pd.DataFrame(goal.region.round(3), columns=["x", "y"]).reset_index(names="order")
        line = alt.Chart(data).mark_line(
            color=LIGHT.bottle, strokeDash=[5, 3], strokeWidth=1.5, aria=False
        )
        order = alt.Order("order:Q", title="Order")
        return [line.encode(x=self._x(), y=self._y(), order=order)]

    def box(self) -> list[alt.Chart]:
        """What the reference's declared sugar and measured acidity can mean."""
        meant = _meant(self.drawn.reference)
        if meant is None:
            return []
        ta, sugar = meant
        row = {"x": ta.low, "x2": ta.high, "y": sugar.low, "y2": sugar.high}
        colour = LIGHT.bottle
        box = alt.Chart(pd.DataFrame([row])).mark_rect(
            color=colour, opacity=0.6, stroke=colour, strokeWidth=2
        )
        return [box.encode(x=self._x(), x2="x2:Q", y=self._y(), y2="y2:Q")]

    def path(self, points: pd.DataFrame) -> list[alt.Chart]:
        """A thin line from each parent to its child."""
        at = points.set_index("id")[["x", "y"]]
        rows = [
            {"edge": index, "order": order, "x": at.x[end], "y": at.y[end]}
            for index, version in enumerate(self.drawn.formula.versions)
            if version.parent is not None
            for order, end in enumerate((version.parent, version.id))
        ]
        if not rows:
            return []
        lines = alt.Chart(pd.DataFrame(rows)).mark_line(
            color=LIGHT.soft, strokeWidth=1, strokeDash=[3, 4], aria=False
        )
        detail = alt.Detail("edge:N", title="Step")
        order = alt.Order("order:Q", title="Order")
        return [lines.encode(x=self._x(), y=self._y(), detail=detail, order=order)]

    def dots(self, points: pd.DataFrame) -> list[alt.Chart]:
        """Versions at one place share a dot; the latest one is larger and filled."""
        places = (
            points.dropna()
            .groupby(["x", "y"], as_index=False, sort=False)
            .agg(version=("version", "; ".join), latest=("latest", "any"))
        )
        colour = LIGHT.mark
        dots = alt.Chart(places.sort_values("latest")).mark_point(
            stroke=colour, strokeWidth=2, opacity=1
        )
        filled = alt.condition("datum.latest", alt.value(colour), alt.value(LIGHT.paper))
        return [
            dots.encode(
                x=self._x(),
                y=self._y(),
                fill=filled,
                size=alt.condition("datum.latest", alt.value(160), alt.value(80)),
                tooltip=[
                    alt.Tooltip("version:N", title="Version"),
                    alt.Tooltip("x:Q", title=TA_TITLE, format=".2f"),
                    alt.Tooltip("y:Q", title=SUGAR_TITLE, format=".1f"),
                ],
            )
        ]

    def names(self, names: Sequence[Name], points: pd.DataFrame, lines: Floats) -> list[alt.Chart]:
        """What is named where it stands."""
        dots = list(points[["x", "y"]].dropna().itertuples(index=False, name=None))
        strong = {name.text for name in names if name.strong}
        return [
            layer.encode(x=self._x(), y=self._y())
            for both in written(placed(names, dots, self.frame, lines), strong)
            for layer in both
        ]


def _alt(
    formula: Formula, reference: Reference | None, goal: Goal | None, points: pd.DataFrame
) -> str:
    latest = points.iloc[-1]
    text = (
        f"Acid and sugar of {len(points)} versions of {formula.name}; the latest, "
        f"{latest.version}, has {decimals(latest.x, 2)} g/L and {decimals(latest.y, 1)} g/L"
    )
    if reference is None or goal is None:
        return f"{text}."
    ta, sugar = goal.centre
    text += f"; {reference.name} has {number(ta)} g/L and {number(sugar)} g/L"
    untasted = [percent(share) for share in LEVELS if goal.beyond(share)]
    text += f"; extrapolated beyond what was tasted: contour {', '.join(untasted)}" * bool(untasted)
    return f"{text}."


def _table(formula: Formula, reference: Reference | None) -> pd.DataFrame:
    """Every drink that is drawn, with what its figures most probably are."""
    rows = [_row(version) for version in formula.versions]
    if reference:
        meant = bands(reference)
        levels = [_read(driver, reference, meant, digits) for driver, digits in _DIGITS]
        rows.append((reference.name, *levels))
    return pd.DataFrame(rows, columns=["Drink", TA_TITLE, SUGAR_TITLE])


def _row(version: Version) -> tuple[str, ...]:
    made = compose(version)
    levels = [
        _likely(getattr(made, driver.figure), made.intervals[driver.figure], digits)
        for driver, digits in _DIGITS
    ]
    return version.label, *levels


def _read(
    driver: Driver,
    reference: Reference,
    meant: Mapping[str, tuple[LabelInterval, object]],
    digits: int,
) -> str:
    known = driver.declared(reference)
    return _likely(known[0], meant[driver.figure][0], digits) if known else "unknown"


def _likely(value: float | None, ends: LabelInterval | Spread, digits: int) -> str:
    return f"{decimals(value, digits)} ({interval(ends.low, ends.high, digits)})"
