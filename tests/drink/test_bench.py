"""Nothing is lost or made at the bench, and what is undone has not been."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from tasting.drink.bench import (
    Added,
    BenchLog,
    SavedAs,
    Tasted,
    TastedAway,
    Undone,
    glasses,
    reason,
    saved,
    standing,
    tasted_ethanol_g,
)
from tasting.drink.composition import compose, part_grams
from tasting.drink.formula import Part
from tasting.drink.mixture import FIGURES
from tasting.errors import InputError

from .glass import NOON, SPRITZ, few, version

POURED = BenchLog(start=SPRITZ, poured_ml=100)
LEVELS = [figure for figure in FIGURES if figure not in ("volume_ml", "mass_g")]


def add(key, amount):
    return Added(part=Part(ingredient=key, amount=amount))


pinches = st.one_of(
    st.tuples(st.just("citric-acid"), st.floats(0.01, 1).map(lambda g: f"{g!r} g")),
    st.tuples(st.just("lemon-juice"), st.floats(0.1, 10).map(lambda ml: f"{ml!r} mL")),
    st.tuples(st.just("salt"), st.floats(0.01, 0.5).map(lambda g: f"{g!r} g")),
).map(lambda pinch: add(*pinch))
sips = st.floats(0.5, 10).map(lambda ml: TastedAway(volume_ml=ml))
steps = st.lists(st.one_of(pinches, sips, st.just(Tasted(note="flat"))), max_size=6)


def after(log, *more):
    for step in more:
        log = log.then(step)
    return log


def child(log, same_volume=False, label="v2", why="sharper", step=None):
    return saved(
        log,
        id="v2",
        label=label,
        reason=why,
        created_at=NOON,
        same_volume=same_volume,
        scale_step_g=step,
    )


def glass(log):
    return glasses(log)[-1]


def drink(log):
    return compose(glass(log).version)


def levels(made):
    return {figure: getattr(made, figure) for figure in LEVELS}


def by_hand(made, poured_ml):
    """Another way to the same: a heap of spoonfuls, of which each tasting takes a share of all.

    The heap is weighed: what was tasted away is its volume times the density of the heap then.
    """
    recipe = compose(SPRITZ)
    heap = {
        part.ingredient.key: part_grams(part) * poured_ml / recipe.volume_ml
        for part in SPRITZ.parts
    }
    for step in made:
        if isinstance(step, Added):
            key = step.part.ingredient.key
            heap[key] = heap.get(key, 0.0) + part_grams(step.part)
        elif isinstance(step, TastedAway):
            mixed = compose(version(*((key, f"{grams!r} g") for key, grams in heap.items())))
            gone = step.volume_ml * mixed.density_kg_per_l / mixed.mass_g
            heap = {key: grams * (1 - gone) for key, grams in heap.items()}
    return heap


@few
@given(steps)
def test_the_glass_holds_what_a_heap_of_spoonfuls_does(made):
    log = after(POURED, *made)
    held = {part.ingredient.key: part_grams(part) for part in glass(log).version.parts}

    assert held == pytest.approx(by_hand(made, 100), rel=1e-9)
    assert glass(log).volume_ml == pytest.approx(drink(log).volume_ml, rel=1e-9)


@few
@given(steps, st.one_of(pinches, sips))
def test_what_is_undone_has_not_been(made, step):
    log = after(POURED, *made)
    undone = after(log, step, Undone())

    assert len(undone.steps) == len(log.steps) + 2
    assert glass(undone) == glass(log)


@few
@given(steps)
def test_everything_undone_is_the_poured_glass(made):
    log = after(POURED, *made)
    back = after(log, *[Undone()] * len(standing(made)))

    assert glass(back) == glass(POURED)
    with pytest.raises(InputError, match="no step is left to undo"):
        back.then(Undone())


@few
@given(steps, pinches, st.booleans())
def test_a_saved_step_tastes_as_the_glass_did(made, last, same_volume):
    """The same levels, to the four digits of its amounts, in a serving of the start."""
    log = after(POURED, *made, last)
    kept = child(log, same_volume)

    for figure, level in levels(drink(log)).items():
        assert getattr(compose(kept), figure) == pytest.approx(level, rel=2e-3, abs=2e-3)
    if same_volume:
        assert compose(kept).volume_ml == pytest.approx(compose(SPRITZ).volume_ml, rel=5e-4)
    else:
        added = {one.part.ingredient.key for one in log.steps if isinstance(one, Added)}
        assert [part for part in kept.parts if part.ingredient.key not in added] == [
            part for part in SPRITZ.parts if part.ingredient.key not in added
        ]


@few
@given(sips)
def test_tasting_away_leaves_every_level(sip):
    log = after(POURED, add("citric-acid", "0.1 g"))
    before, now = drink(log), drink(log.then(sip))

    assert levels(now) == pytest.approx(levels(before), rel=1e-9)
    assert now.volume_ml == pytest.approx(before.volume_ml - sip.volume_ml)


def test_a_later_pinch_weighs_more():
    """0.1 g in 100 mL is 1 g/L, in half of it 2 g/L (arithmetic)."""
    pinch = add("citric-acid", "0.1 g")
    poured, first, half, second = (
        compose(one.version).ta_g_per_l
        for one in glasses(after(POURED, pinch, TastedAway(volume_ml=50), pinch))
    )

    assert first - poured == pytest.approx(1.0, abs=0.02)
    assert half == pytest.approx(first)
    assert second - half == pytest.approx(2.0, abs=0.05)


def test_a_pinch_in_half_a_serving_is_saved_as_two():
    """By hand: 0.1 g went into 100 mL of a recipe of 200 mL, so 0.2 g go into the recipe; the
    200 mL stay as they were, or shrink by the 0.06 % that 0.2 g at 0.6 mL/g take up."""
    water = version(("water", "200 mL"))
    log = after(
        BenchLog(start=water, poured_ml=100), add("citric-acid", "0.1 g"), TastedAway(volume_ml=40)
    )
    plain, scaled = child(log), child(log, same_volume=True)

    assert [str(part.amount) for part in plain.parts] == ["200 mL", "0.2 g"]
    assert [part.amount.quantity for part in scaled.parts] == pytest.approx([199.9, 0.1999])


def test_what_went_in_is_rounded_to_the_scale():
    """By hand: 0.13 g in 100 of 200 mL are 0.26 g, on a scale of 0.1 g 0.3 g; 10 mg are 20 mg, of
    which that scale shows nothing, so they stay; liquids and what was there stay, too."""
    start = version(("water", "200 mL"), ("salt", "0.07 g"))
    log = after(
        BenchLog(start=start, poured_ml=compose(start).volume_ml / 2),
        add("citric-acid", "0.13 g"),
        add("tartaric-acid", "10 mg"),
        add("lemon-juice", "1.23 mL"),
    )

    assert [str(part.amount) for part in child(log, step=0.1).parts] == [
        "200 mL",
        "0.07 g",
        "0.3 g",
        "0.02 g",
        "2.46 mL",
    ]


def test_what_was_tasted_is_reckoned_as_alcohol():
    """By hand: 40 mL of ethanol, 31.6 g at 0.789 g/mL, in 200 mL; a quarter of it is 7.9 g. The
    water and the spirit contract by less than 1 %. The undone sip does not count."""
    log = after(
        BenchLog(start=version(("neutral-spirit", "100 mL")), poured_ml=100),
        add("water", "100 mL"),
        TastedAway(volume_ml=50),
        TastedAway(volume_ml=20),
        Undone(),
    )

    assert tasted_ethanol_g(log) == pytest.approx(7.9, rel=0.01)
    assert tasted_ethanol_g(POURED) == 0


def test_alcohol_that_nobody_knows_counts_as_much_as_it_may_be():
    """An own brew whose strength was never measured."""
    unknown = version(("water", "100 mL")).parts[0]
    item = unknown.ingredient.model_copy(
        update={"key": "own-brew", "alcohol_percent_vol": None, "water_g_per_100g": None}
    )
    brew = version(("water", "100 mL")).model_copy(
        update={"parts": (unknown.model_copy(update={"ingredient": item}),)}
    )
    log = after(BenchLog(start=brew, poured_ml=100), TastedAway(volume_ml=50))
    most = compose(brew).at_most("alcohol_percent_vol")

    assert most > 0
    assert tasted_ethanol_g(log) == pytest.approx(0.5 * most * 0.789, rel=0.01)


def test_the_steps_are_the_reason():
    log = after(
        POURED,
        add("citric-acid", "0.1 g"),
        Tasted(note="still flat"),
        add("citric-acid", "0.1 g"),
        TastedAway(volume_ml=10),
        add("salt", "1 g"),
        Undone(),
        add("lemon-juice", "2 mL"),
        Tasted(note="there it is"),
        SavedAs(version_id="v7", label="v7", after=5),
    )

    assert reason(log) == (
        "At the bench, 100 mL poured: 2 × +0.1 g citric acid, anhydrous; 10 mL tasted away; "
        "+2 mL lemon juice. Notes: still flat; there it is"
    )
    assert reason(log, " sharper. ").startswith("sharper. At the bench, 100 mL poured: ")
    assert (child(log).parent, child(log).reason) == (SPRITZ.id, "sharper")
    assert "salt" not in {part.ingredient.key for part in child(log).parts}


def test_a_reason_has_an_end():
    log = after(POURED, add("salt", "1 g"), *[Tasted(note="x" * 900)] * 3)

    assert len(reason(log)) == 2000
    assert reason(log).endswith("…")


def test_a_log_is_read_again_as_it_was_written():
    log = after(
        POURED,
        add("citric-acid", "0.1 g"),
        TastedAway(volume_ml=10),
        Tasted(note="flat"),
        Undone(),
        SavedAs(version_id="v7", label="v7", after=1),
    )

    assert BenchLog.model_validate_json(log.model_dump_json()) == log


def test_an_earlier_glass_is_that_of_the_first_steps():
    log = after(POURED, add("citric-acid", "0.1 g"), add("salt", "1 g"))

    assert glass(log.up_to(1)) == glasses(log)[1]
    assert [part.ingredient.key for part in child(log.up_to(1)).parts][-1] == "citric-acid"


@pytest.mark.parametrize(
    ("step", "match"),
    [
        (TastedAway(volume_ml=101), "101 mL cannot be taken out of 100 mL"),
        (TastedAway(volume_ml=99.5), "give less, or pour another glass"),
        (add("citric-acid", "0.001 mg"), "less than a scale can show"),
        (Undone(), "no step is left to undo"),
    ],
)
def test_what_cannot_be_done_is_refused(step, match):
    with pytest.raises(InputError, match=match):
        POURED.then(step)


@pytest.mark.parametrize(
    ("label", "why", "match"), [(" ", "sharper", "no name"), ("v2", " ", "reason is missing")]
)
def test_a_version_without_name_or_reason_is_refused(label, why, match):
    with pytest.raises(InputError, match=match):
        child(after(POURED, add("salt", "1 g")), label=label, why=why)


def test_a_glass_in_which_nothing_stands_is_no_version():
    with pytest.raises(InputError, match="nothing was added that still stands"):
        child(after(POURED, TastedAway(volume_ml=5)))


@pytest.mark.parametrize("poured_ml", [0, 4, 10_001, float("nan")])
def test_a_glass_that_nobody_pours_is_refused(poured_ml):
    with pytest.raises(ValidationError):
        BenchLog(start=SPRITZ, poured_ml=poured_ml)
