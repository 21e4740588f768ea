"""Nothing is lost or made at the bench, and what is undone has not been."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from tasting.drink.bench import (
    Added,
    BenchLog,
    Remark,
    TastedAway,
    Undone,
    glass_after,
    glasses,
    reason,
    saved,
    standing,
)
from tasting.drink.composition import compose, part_grams
from tasting.drink.formula import Part
from tasting.drink.mixture import FIGURES
from tasting.errors import InputError

from .glass import NOON, SPRITZ, few

POURED = BenchLog(start=SPRITZ, poured_ml=100)
LEVELS = [figure for figure in FIGURES if figure not in ("volume_ml", "mass_g")]


def add(key, amount, note=""):
    return Added(part=Part(ingredient=key, amount=amount), note=note)


pinches = st.one_of(
    st.tuples(st.just("citric-acid"), st.floats(0.01, 1).map(lambda g: f"{g!r} g")),
    st.tuples(st.just("lemon-juice"), st.floats(0.1, 10).map(lambda ml: f"{ml!r} mL")),
    st.tuples(st.just("salt"), st.floats(0.01, 0.5).map(lambda g: f"{g!r} g")),
).map(lambda pinch: add(*pinch))
sips = st.floats(0.5, 10).map(lambda ml: TastedAway(volume_ml=ml))
steps = st.lists(st.one_of(pinches, sips, st.just(Remark(note="flat"))), max_size=6)


def after(log, *more):
    for step in more:
        log = log.then(step)
    return log


def levels(drink):
    return {figure: getattr(drink, figure) for figure in LEVELS}


@few
@given(steps)
def test_mass_is_conserved(made):
    """In the glass is what was poured and added less what was tasted away, at the density that it
    had then."""
    log, expected = POURED, glass_after(POURED).composition.mass_g
    for step in made:
        before = glass_after(log).composition
        log = log.then(step)
        if isinstance(step, Added):
            expected += part_grams(step.part)
        elif isinstance(step, TastedAway):
            expected -= step.volume_ml * before.density_kg_per_l

    assert glass_after(log).composition.mass_g == pytest.approx(expected, rel=1e-9)


@few
@given(steps, st.one_of(pinches, sips))
def test_what_is_undone_has_not_been(made, step):
    log = after(POURED, *made)
    undone = after(log, step, Undone())

    assert len(undone.steps) == len(log.steps) + 2
    assert glass_after(undone).composition == glass_after(log).composition


@few
@given(steps)
def test_everything_undone_is_the_poured_glass(made):
    log = after(POURED, *made)
    back = after(log, *[Undone()] * len(standing(made)))

    assert glass_after(back).composition == glass_after(POURED).composition
    with pytest.raises(InputError, match="no step left to undo"):
        back.then(Undone())


@few
@given(steps, pinches)
def test_a_saved_step_tastes_as_the_glass_did(made, last):
    """The same levels, in the volume of the start's own recipe and its additions."""
    log = after(POURED, *made, last)
    child = saved(log, id="v2", label="v2", created_at=NOON)

    for figure, level in levels(glass_after(log).composition).items():
        assert getattr(compose(child), figure) == pytest.approx(level, rel=1e-6, abs=1e-9)
    own = {part.ingredient.key: part.amount for part in SPRITZ.parts}
    kept = {p.ingredient.key: p.amount for p in child.parts if p.ingredient.key != "lemon-juice"}
    assert {key: kept[key].quantity for key in own if key in kept} == {
        key: amount.quantity for key, amount in own.items() if key in kept
    }


@few
@given(sips)
def test_tasting_away_leaves_every_level(sip):
    log = after(POURED, add("citric-acid", "0.1 g"))
    before, now = (glass_after(one).composition for one in (log, log.then(sip)))

    assert levels(now) == pytest.approx(levels(before), rel=1e-9)
    assert now.volume_ml == pytest.approx(before.volume_ml - sip.volume_ml)


def test_a_later_pinch_weighs_more():
    """0.1 g in 100 mL is 1 g/L, in half of it 2 g/L (arithmetic)."""
    pinch = add("citric-acid", "0.1 g")
    poured, first, half, second = (
        glass.composition.ta_g_per_l
        for glass in glasses(after(POURED, pinch, TastedAway(volume_ml=50), pinch))
    )

    assert first - poured == pytest.approx(1.0, abs=0.02)
    assert half == pytest.approx(first)
    assert second - half == pytest.approx(2.0, abs=0.05)


def test_the_steps_are_the_reason():
    log = after(
        POURED,
        add("citric-acid", "0.1 g", "still flat"),
        TastedAway(volume_ml=10),
        add("salt", "1 g"),
        Undone(),
        add("lemon-juice", "2 mL"),
        Remark(note="there it is"),
    )

    assert reason(log) == (
        "At the bench, into 100 mL: +0.1 g citric acid, anhydrous, 10 mL tasted away, +2 mL lemon "
        "juice. still flat there it is"
    )
    child = saved(log, id="v2", label="v2", created_at=NOON)
    assert (child.parent, child.reason) == (SPRITZ.id, reason(log))
    assert "salt" not in {part.ingredient.key for part in child.parts}


def test_a_log_is_read_again_as_it_was_written():
    log = after(POURED, add("citric-acid", "0.1 g"), TastedAway(volume_ml=10), Undone())

    assert BenchLog.model_validate_json(log.model_dump_json()) == log


def test_what_the_glass_does_not_hold():
    with pytest.raises(InputError, match="101 mL cannot be taken out of 100 mL"):
        POURED.then(TastedAway(volume_ml=101))
    with pytest.raises(InputError, match="nothing to save"):
        saved(after(POURED, TastedAway(volume_ml=5)), id="v2", label="v2", created_at=NOON)
    with pytest.raises(ValidationError):
        BenchLog(start=SPRITZ, poured_ml=0)
