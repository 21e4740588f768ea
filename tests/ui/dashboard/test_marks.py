"""Difference tests beside the curve: what is drawn, and the same as a table."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasting.insight.noticing.drivers import SUGAR, TA
from tasting.insight.noticing.marks import Mark, marks
from tasting.stats.results import Estimate, Interval
from tasting.ui.dashboard.marks import apart, differs, plotted, said, table
from tests.insight.workshop import noticed

SHARE = Estimate(0.5, Interval(0.2, 0.8, 0.95))
ACID = Mark("acid", "Acid", "triangle", 0.8, SHARE, 24, False, False, ())


def test_a_triangle_test_is_drawn_at_its_own_share():
    (one,) = plotted([ACID])

    assert (one.share, one.low, one.high) == pytest.approx((50, 20, 80), abs=1e-6)


def test_another_method_is_drawn_at_the_share_of_triangles_at_its_distance():
    """Tetrads need less: p_c = 1/3 + 2/3 * 0.5 = 0.667 is d' = 1.46 for a tetrad test (Ennis and
    Jesionka 2011, J Sens Stud 26:371, from memory), at which fewer triangles are right."""
    (one,) = plotted([replace(ACID, method="tetrad")])

    assert 15 < one.share < 35
    assert one.low < one.share < one.high


def test_what_changed_something_else_and_next_to_nothing_here_is_left_out():
    sugar = replace(ACID, session_id="sugar", step=0.02, others=("sugar",))
    matched = replace(ACID, session_id="matched", step=0.02, with_reference=True)

    assert [one.mark.session_id for one in plotted([ACID, sugar, matched])] == ["acid", "matched"]


def test_only_what_nothing_else_is_known_to_differ_in_belongs_on_the_curve():
    alone, more, bottle = plotted(
        [ACID, replace(ACID, others=("sugar",)), replace(ACID, with_reference=True)]
    )

    assert differs(alone, TA) == "titratable acidity only"
    assert differs(more, TA) == differs(bottle, TA) == "something else, too"


def test_a_mark_is_told_in_words():
    (one,) = plotted([replace(ACID, alone=True)])

    assert said(one, TA) == (
        "Acid: 0.80 g/L of titratable acidity; Triangle test by one person, n = 24; noticed in "
        "50 % of tastings (95 % interval 20 to 80 %)"
    )


def test_the_table_is_in_the_order_of_the_steps():
    found = plotted(marks(noticed(), "sugar"))
    steps = table(found, SUGAR)["Difference, g/L"].astype(float).tolist()

    assert len(steps) == len(found) > 5
    assert steps == sorted(steps)


def test_no_marks_make_an_empty_table():
    assert len(table([], TA)) == 0


@given(st.lists(st.floats(0, 10), max_size=20))
def test_marks_that_move_apart_keep_their_order_and_stay_near(sizes):
    moved = apart(sizes, closest=0.2, widest=0.6)

    assert all(abs(a - b) <= 0.8 + 1e-9 for a, b in zip(sizes, moved, strict=True))
    assert all(place >= 0 for place in moved)


def test_marks_at_one_place_do_not_hide_each_other():
    assert apart([1.0, 1.0, 1.0], 0.1, 0.6) == pytest.approx([0.9, 1.0, 1.1])
