"""Where names stand on a chart: beside what they name, and never on each other.

A chart is as wide as the page lets it, so a place has to be free at every width.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

import altair as alt
import numpy as np
import pandas as pd

from tasting.stats.checks import Floats
from tasting.ui.dashboard.palette import LIGHT

Align = Literal["left", "center", "right"]

_WIDTHS_PX: Final = tuple(range(250, 1001, 30))
"""Widths between the axes for which places are tried: from a phone's to a desktop's."""
LINE_PX, SIGN_PX, DOT_PX = 18, 7.2, 8
_NEAR, _FAR = 13, 27
_HALO_PX = 4
_NO_LINES: Final[Floats] = np.empty((0, 2))


@dataclass(frozen=True, slots=True)
class Place:
    """A point in units of the axes, and a text moved from it, in pixels; y grows downwards."""

    x: float
    y: float
    dx: int
    dy: int
    align: Align


@dataclass(frozen=True, slots=True)
class Name:
    """A text, and the places where it may stand, the best first; strong: what is not left out for
    another's sake."""

    text: str
    places: tuple[Place, ...]
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Frame:
    """The axes: where they begin and end, and their height in pixels."""

    x: tuple[float, float]
    y: tuple[float, float]
    height_px: int

    def box(self, place: Place, text: str, width_px: float) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of the text in pixels."""
        across, down = self.pixel((place.x, place.y), width_px)
        wide = SIGN_PX * len(text)
        left = across + place.dx - wide * {"left": 0.0, "center": 0.5, "right": 1.0}[place.align]
        top = down + place.dy - LINE_PX / 2
        return left, top, left + wide, top + LINE_PX

    def pixel(self, point: tuple[float, float], width_px: float) -> tuple[float, float]:
        """Where a point lies, from the upper left corner."""
        across, up = (
            (at - low) / (high - low)
            for at, (low, high) in zip(point, (self.x, self.y), strict=True)
        )
        return width_px * across, self.height_px * (1 - up)

    def pixels(self, points: Floats, width_px: float) -> Floats:
        """The same for a row each."""
        low, high = np.array([self.x, self.y]).T
        share = (points - low) / (high - low)
        return np.column_stack([width_px * share[:, 0], self.height_px * (1 - share[:, 1])])


def around(x: float, y: float) -> Iterator[Place]:
    """Beside, above and below a dot, then farther away."""
    for far in (_NEAR, _FAR):
        yield Place(x, y, far, 0, "left")
        yield Place(x, y, -far, 0, "right")
        yield Place(x, y, 0, -far - 2, "center")
        yield Place(x, y, 0, far + 2, "center")
        for down in (-far, far):
            yield Place(x, y, 9, down, "left")
            yield Place(x, y, -9, down, "right")


def placed(
    names: Sequence[Name],
    dots: Sequence[tuple[float, float]],
    frame: Frame,
    lines: Floats = _NO_LINES,
) -> list[tuple[str, Place]]:
    """The names with their places, strong ones first; one that is free nowhere is left out.

    lines: points of what is drawn, which a name rather does not cross
    """
    taken: list[tuple[str, Place]] = []
    for name in sorted(names, key=lambda one: not one.strong):
        place = _free(name, taken, dots, frame, lines)
        place = place or _free(name, taken, dots, frame)
        # A strong name may rather lie on a dot than be missing; on another name it never lies.
        if place is None and name.strong:
            place = _free(name, taken, (), frame)
        if place is not None:
            taken.append((name.text, place))
    return taken


def written(
    names: Sequence[tuple[str, Place]], strong: Collection[str] = ()
) -> Iterator[tuple[alt.Chart, alt.Chart]]:
    """The names at their places, and under them the same in the colour of the page, wider: what
    crosses a name is cut off around it. Neither has axes yet.

    Names that are moved alike share a layer, because describing one takes Altair long.
    """
    alike: dict[tuple[bool, int, int, Align], list[tuple[str, Place]]] = {}
    for text, place in names:
        alike.setdefault((text in strong, place.dx, place.dy, place.align), []).append(
            (text, place)
        )
    for (bold, dx, dy, align), found in alike.items():
        rows = [{"x": place.x, "y": place.y, "name": text} for text, place in found]
        yield _layers(rows, strong=bold, dx=dx, dy=dy, align=align)


def _layers(
    rows: Sequence[dict[str, object]], *, strong: bool, **moved: Any
) -> tuple[alt.Chart, alt.Chart]:
    base = alt.Chart(pd.DataFrame(rows))
    written: dict[str, Any] = {
        **moved,
        "baseline": "middle",
        "fontSize": 13 if strong else 12,
        "fontWeight": "bold" if strong else "normal",
        "aria": False,
    }
    halo = base.mark_text(
        color=LIGHT.page, stroke=LIGHT.page, strokeWidth=_HALO_PX, strokeJoin="round", **written
    )
    sign = base.mark_text(color=LIGHT.ink if strong else LIGHT.soft, **written)
    return halo.encode(text="name:N"), sign.encode(text="name:N")


def _free(
    name: Name,
    taken: Iterable[tuple[str, Place]],
    dots: Iterable[tuple[float, float]],
    frame: Frame,
    lines: Floats = _NO_LINES,
) -> Place | None:
    def fits(place: Place, width: int) -> bool:
        box = frame.box(place, name.text, width)
        others = [frame.box(other, text, width) for text, other in taken]
        others += [_round(frame.pixel(dot, width)) for dot in dots]
        inside = box[0] >= 0 and box[2] <= width and box[1] >= 0 and box[3] <= frame.height_px
        if not inside or any(_meet(box, other) for other in others):
            return False
        across, down = frame.pixels(lines, width).T
        crossed = (across > box[0]) & (across < box[2]) & (down > box[1]) & (down < box[3])
        return not crossed.any()

    return next(
        (place for place in name.places if all(fits(place, width) for width in _WIDTHS_PX)), None
    )


def _round(at: tuple[float, float]) -> tuple[float, float, float, float]:
    x, y = at
    return x - DOT_PX, y - DOT_PX, x + DOT_PX, y + DOT_PX


def _meet(one: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
