"""What may be a slip is asked about; what is plainly meant is not."""

import pytest

from tasting.drink.questions import questions, unweighable

from .glass import NOON, SPRITZ, version


def child(*parts, servings=1, parent=SPRITZ):
    made = version(*parts, servings=servings, id="v2") if parts else parent
    return parent.child(
        id="v2",
        label="v2",
        reason="tried",
        created_at=NOON,
        parts=made.parts,
        servings=servings,
    )


def spritz(lemon="10 mL", *more):
    return child(
        ("rhubarb-juice", "60 mL"),
        ("bay-syrup", "20 mL"),
        ("juniper-spirit", "30 mL"),
        ("lemon-juice", lemon),
        ("sparkling-water", "90 mL"),
        *more,
    )


def test_a_version_like_its_parent_is_asked_about():
    assert questions(child(), SPRITZ) == ("This version is the same as v1. Is that intended?",)
    assert questions(spritz("11 mL"), SPRITZ) == ()


def test_other_servings_are_another_version():
    assert not any("same as" in one for one in questions(child(servings=2), SPRITZ))


@pytest.mark.parametrize(("lemon", "asked"), [("50 mL", False), ("51 mL", True), ("225 mL", True)])
def test_more_than_five_times_the_parent_is_asked_about(lemon, asked):
    said = questions(spritz(lemon), SPRITZ)

    assert bool(said) == asked
    assert not asked or said[0].startswith("lemon juice: ")


def test_a_tenfold_batch_is_no_slip():
    tenfold = [(p.ingredient.key, f"{10 * p.amount.quantity} mL") for p in SPRITZ.parts]

    assert questions(child(*tenfold, servings=10), SPRITZ) == ()
    assert len(questions(child(*tenfold), SPRITZ)) == 5


@pytest.mark.parametrize(
    ("amount", "step_g", "asked"),
    [("0.5122 g", 0.1, True), ("0.5 g", 0.1, False), ("0.5122 g", 0.0001, False)]
    + [("512 mg", 0.1, True), ("0.5122 mL", 0.1, False), ("1 oz", 0.1, True)],
)
def test_finer_than_the_scale_is_hinted_at(amount, step_g, asked):
    said = list(unweighable(spritz("10 mL", ("sugar", amount)), SPRITZ, step_g))

    assert bool(said) == asked
    assert not asked or f"a scale in steps of {step_g:g} g shows" in said[0]


def test_what_the_parent_has_already_is_not_said_again():
    parent = version(("sugar", "0.5122 g"), ("water", "100 mL"))
    made = child(("sugar", "0.5122 g"), ("water", "90 mL"), parent=parent)

    assert not list(unweighable(made, parent, 0.1))


def test_of_a_first_version_its_precision_is_hinted_at_alone():
    first = version(("sugar", "0.5122 g"), ("water", "100 mL"))

    (said,) = unweighable(first, None, 0.1)
    assert questions(first, None) == ()
    assert said == "0.5122 g white sugar: a scale in steps of 0.1 g shows 0.5 g; use a finer one."
