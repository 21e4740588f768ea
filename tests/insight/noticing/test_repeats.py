"""How many more pinches: counted by hand, and by composing the drink once more for each."""

from math import ceil

import pytest

from tasting.drink.composition import compose
from tasting.drink.formula import Part
from tasting.insight.noticing.model import fit_thresholds
from tasting.insight.noticing.repeats import MOST, evidence, headline, repeats
from tasting.insight.noticing.steps import StepBound
from tests.drink.glass import version
from tests.insight.workshop import noticed, versions
from tests.ui.workshop import SPRITZ, UNMEASURED, closed, planned

WATER = version(("water", "250 mL"))
V12 = list(versions().values())[-1]


def part(key, amount):
    return Part(ingredient=key, amount=amount)


def with_more(start, pinch, times):
    return start.model_copy(update={"parts": (*start.parts, *[pinch] * times)})


@pytest.fixture(scope="module")
def guessing():
    """A model of sessions in which 4 of 12 were right: what guessing gives."""
    some = [
        closed(planned("acid"), 4, 8),
        closed(planned("both", a="spritz-2", b="spritz-3"), 4, 8),
        closed(planned("syrup", a="spritz-1", b="spritz-3"), 4, 8),
    ]
    return fit_thresholds(some, {drink.id: drink for drink in (*SPRITZ.versions, UNMEASURED)})


def test_pinches_in_water_are_counted_by_hand():
    """0.05 g of citric acid in 250 mL are 0.2 g/L. Half of the sample's assessors notice 0.95 g/L
    (0.70 to 2.7): the fifth pinch passes it, the fourth its low end, the fourteenth its high end;
    one is in already."""
    pinch = part("citric-acid", "0.05 g")
    (acid,) = repeats(noticed(), WATER, with_more(WATER, pinch, 1), pinch)
    size = noticed().step("ta").difference_threshold.amount

    assert (size.value, size.low, size.high) == pytest.approx((0.95, 0.70, 2.70), abs=0.005)
    assert (acid.more, acid.at_least, acid.at_most) == (4, 3, 13)
    assert acid.change == pytest.approx(0.2, abs=0.002)
    assert headline([acid]) == "About 4 more of these before half of assessors would notice."
    assert evidence(acid, "v1").startswith(
        "+0.20 g/L acid since v1. Half of assessors notice 0.95 g/L (0.70–2.7): 3–13 more of "
        "these. Extrapolated"
    )


@pytest.mark.parametrize(
    ("key", "amount", "driver"),
    [
        ("citric-acid", "0.1 g", "ta"),
        ("lemon-juice", "2 mL", "ta"),
        ("simple-syrup-1-1", "1.5 mL", "sugar"),
        ("water", "20 mL", "sugar"),
        ("rhubarb-juice", "5 mL", "ta"),
    ],
)
@pytest.mark.parametrize("done", [1, 3])
def test_so_many_more_composed_one_by_one_pass_the_step(key, amount, driver, done):
    """Brute force: the drink with k more of the pinch as lines of its own."""
    pinch, model = part(key, amount), noticed()
    told = repeats(model, V12, with_more(V12, pinch, done), pinch)
    one = next(one for one in told if one.driver.key == driver)
    step = model.step(driver).difference_threshold.amount.value
    figure, before = one.driver.figure, getattr(compose(V12), one.driver.figure)

    def passed(more):
        now = compose(with_more(V12, pinch, done + more))
        return abs(getattr(now, figure) - before) >= step

    first = next((more for more in range(MOST + 1) if passed(more)), None)
    assert one.more == first


def test_where_the_step_is_passed_it_says_so():
    pinch = part("citric-acid", "0.1 g")
    told = repeats(noticed(), V12, with_more(V12, pinch, 3), pinch)

    assert told[0].reached
    assert headline(told) == "About half of assessors would notice this."
    assert "+1.32 g/L acid since v12" in evidence(told[0], "v12")
    assert "more of these" not in evidence(told[0], "v12")


def test_only_a_bound_is_told_where_only_that_is_known(guessing):
    """By hand: at least as many pinches as reach the bound, and never how many are enough."""
    start, pinch = SPRITZ.versions[0], part("citric-acid", "0.03 g")
    told = repeats(guessing, start, with_more(start, pinch, 1), pinch)
    acid = next(one for one in told if one.driver.key == "ta")
    bound = guessing.bound("ta").difference_threshold.amount
    each = compose(with_more(start, pinch, 1)).ta_g_per_l - compose(start).ta_g_per_l

    assert isinstance(acid.known, StepBound)
    assert acid.only_bound
    assert acid.more == ceil(bound / each) - 1 > 0
    assert acid.at_most is None
    assert headline([acid]).startswith(f"At least {acid.more} more of these")
    assert "if at all" in evidence(acid, "v1")
    assert "(" not in evidence(acid, "v1")


def test_past_a_bound_only_tasting_tells(guessing):
    start, pinch = SPRITZ.versions[0], part("citric-acid", "2 g")
    told = repeats(guessing, start, with_more(start, pinch, 1), pinch)

    assert told[0].reached
    assert headline(told) == "Half of assessors might notice this; only a blind tasting can tell."


def test_a_step_stands_before_a_bound_and_the_nearest_before_the_others():
    """3 mL of lemon juice move the acid a good deal and the sugar hardly."""
    pinch = part("lemon-juice", "3 mL")
    told = repeats(noticed(), V12, with_more(V12, pinch, 1), pinch)

    assert [one.driver.key for one in told][0] == "ta"


@pytest.mark.parametrize(("key", "amount"), [("salt", "0.1 g"), ("citric-acid", "0.001 g")])
def test_what_moves_nothing_is_not_told(key, amount):
    pinch = part(key, amount)

    assert repeats(noticed(), V12, with_more(V12, pinch, 1), pinch) == ()
    assert headline(()) == ""


def test_what_is_far_away_says_no_number():
    pinch = part("citric-acid", "0.003 g")
    told = repeats(noticed(), V12, with_more(V12, pinch, 1), pinch)

    assert told[0].at_most is None
    assert "to over 99 more" in evidence(told[0], "v12")


def test_a_level_that_nobody_knows_is_not_told():
    """The acidity of milk is not computable."""
    milk = version(("whole-milk", "200 mL"))
    pinch = part("citric-acid", "0.1 g")

    assert "ta" not in [
        one.driver.key for one in repeats(noticed(), milk, with_more(milk, pinch, 1), pinch)
    ]


def test_without_sessions_nothing_is_told():
    pinch = part("citric-acid", "0.1 g")
    assert repeats(fit_thresholds((), {}), V12, with_more(V12, pinch, 1), pinch) == ()
