"""Names on a chart never lie on each other, however wide the page is."""

from itertools import combinations, product

import numpy as np
from hypothesis import given
from hypothesis import strategies as some

from tasting.cli.look import LIGHT as LOOK_LIGHT
from tasting.ui.dashboard.map_labels import Frame, Name, around, placed, written
from tasting.ui.dashboard.palette import LIGHT

FRAME = Frame((4.0, 8.0), (40.0, 80.0), 270)
points = some.tuples(some.floats(4.0, 8.0), some.floats(40.0, 80.0))


def apart(one, other):
    return one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


def named(place, number, strong):
    return Name(f"v{number}, a version", tuple(around(*place)), strong)


@given(some.lists(points, min_size=1, max_size=8), some.integers(250, 1000))
def test_no_two_names_meet_and_none_leaves_the_axes(places, width):
    names = [named(place, number, strong=number < 3) for number, place in enumerate(places)]
    boxes = [FRAME.box(place, text, width) for text, place in placed(names, places, FRAME)]

    for one, other in combinations(boxes, 2):
        # Between the widths that are tried names may come closer by a pixel or two.
        closer = (one[0] + 2, one[1] + 2, one[2] - 2, one[3] - 2)
        assert apart(closer, other)
    assert all(box[0] >= -2 and box[2] <= width + 2 for box in boxes)


def test_where_there_is_room_every_name_stands():
    places = [(4.5, 45.0), (5.5, 55.0), (6.5, 65.0)]
    names = [named(place, number, strong=False) for number, place in enumerate(places)]

    assert len(placed(names, places, FRAME)) == 3


def test_a_strong_name_is_placed_before_the_others():
    weak, strong = (named((6.0, 60.0), number, strong=number == 1) for number in range(2))

    assert placed([weak, strong], [], FRAME)[0][0] == strong.text


def test_what_crosses_a_name_is_cut_off_around_it():
    """In the colour of the page, which goes over into that of the other mode with it."""
    (place, *_) = around(5.0, 50.0)
    ((halo, sign),) = (
        [layer.to_dict()["mark"] for layer in both] for both in written([("v1", place)], {"v1"})
    )

    assert (halo["stroke"], halo["color"]) == (LIGHT.page, LIGHT.page)
    assert halo["strokeWidth"] >= 4
    assert {name: halo[name] for name in ("dx", "dy", "align", "fontSize")} == {
        name: sign[name] for name in ("dx", "dy", "align", "fontSize")
    }
    assert LIGHT.page == LOOK_LIGHT["backgroundColor"]


def test_a_name_rather_crosses_no_line_and_rather_crosses_one_than_is_missing():
    names = [named((6.0, 60.0), 1, strong=False)]
    up_to = np.linspace(6.05, 8.0, 200)
    right = np.column_stack([up_to, np.full(200, 60.0)])
    ((_, place),) = placed(names, [(6.0, 60.0)], FRAME, right)
    for width in (250, 610, 1000):
        box = FRAME.box(place, names[0].text, width)
        across, down = FRAME.pixels(right, width).T
        inside = (box[0] < across) & (across < box[2]) & (box[1] < down) & (down < box[3])
        assert not inside.any()

    everywhere = np.array(list(product(np.linspace(4, 8, 90), np.linspace(40, 80, 60))))
    assert len(placed(names, [(6.0, 60.0)], FRAME, everywhere)) == 1
