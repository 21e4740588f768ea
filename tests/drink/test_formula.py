"""Amounts, versions and formulas refuse what makes no sense, in a sentence."""

import re
from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from tasting.drink.composition import part_grams
from tasting.drink.formula import Amount, Formula, Part, Version
from tasting.drink.pantry import ingredient
from tasting.errors import InputError
from tasting.units import UNITS

from .glass import NOON, SPRITZ, few, version


@few
@given(st.floats(1e-6, 1e6), st.sampled_from(UNITS))
def test_amount_is_read_back_from_its_text(quantity, unit):
    assert Amount.parse(f"{quantity!r} {unit}") == Amount(quantity=quantity, unit=unit)


@pytest.mark.parametrize("text", ["1,5 g", "1.5 g", " 1.5  g "])
def test_amount_is_read_with_point_or_comma(text):
    assert Amount.parse(text) == Amount(quantity=1.5, unit="g")


def test_amount_is_written_as_it_is_read():
    assert str(Amount.parse("45 mL")) == "45 mL"
    assert str(Amount.parse("2 DASHES")) == "2 dashes"


@few
@given(st.floats(1e-6, 1e6), st.sampled_from(UNITS), st.sampled_from([".", ","]))
def test_amount_as_written_is_read_back_in_any_language(quantity, unit, point):
    """To six digits, as amounts are written; a German comma may have to be asked about."""
    amount = Amount(quantity=float(f"{quantity:.6g}"), unit=unit)
    text = str(amount).replace(".", point)
    doubtful = re.match(r"[1-9]\d{0,2},\d{3} ", text)
    if doubtful:
        with pytest.raises(InputError, match=f"can mean {amount.quantity:g} or"):
            Amount.parse(text)
    else:
        assert Amount.parse(text) == amount


def test_an_ounce_of_a_liquid_is_of_volume_and_of_a_solid_of_mass():
    """NIST Handbook 44, appendix C: 29.5735295625 mL and 28.349523125 g."""
    juice, sugar = version(("lemon-juice", "1 oz"), ("sugar", "1 oz")).parts

    assert (str(juice.amount), str(sugar.amount)) == ("1 US fl oz", "1 oz (weight)")
    assert part_grams(juice) == pytest.approx(29.5735295625 * 1.031)
    assert part_grams(sugar) == pytest.approx(28.349523125)


def test_units_of_documents_may_be_spelled_otherwise():
    read = Part.model_validate({"ingredient": "water", "amount": {"quantity": 2, "unit": "ML"}})

    assert read.amount == Amount(quantity=2, unit="mL")


def test_parts_need_a_size():
    with pytest.raises(ValidationError, match="a part has no size of its own"):
        version(("water", "2 parts"))


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("-3 mL", "above zero"),
        ("0 g", "above zero"),
        ("nan mL", "is not an amount"),
        ("inf mL", "is not an amount"),
        ("1e300 g", "is too large"),
        ("1e-300 g", "is too large"),
        ("3 cups", "unknown unit 'cups'"),
        ("mL", "is not an amount"),
        ("45", "is not an amount"),
        ("1,000 mL", "can mean 1 or 1000"),
        ("", "is not an amount"),
        ("1.2.3 mL", "is not a number"),
    ],
)
def test_bad_amount_is_refused(text, match):
    with pytest.raises(ValueError, match=match):
        Amount.parse(text)


def test_missing_quantity_is_refused():
    with pytest.raises(ValidationError, match="quantity"):
        Amount.model_validate({"unit": "mL"})


def test_part_takes_a_key_and_keeps_the_whole_ingredient():
    part = Part.model_validate({"ingredient": "lemon-juice", "amount": "10 mL"})

    assert part.model_dump()["ingredient"]["citric_g_per_100g"] == 4.66
    assert Part.model_validate_json(part.model_dump_json()) == part


def test_stored_version_does_not_follow_the_pantry():
    own = ingredient("lemon-juice").model_copy(update={"citric_g_per_100g": 5.0})
    stored = version((own, "10 mL")).model_dump_json()

    assert Version.model_validate_json(stored).parts[0].ingredient.citric_g_per_100g == 5.0


def test_part_with_unknown_ingredient_is_refused():
    with pytest.raises(ValidationError, match="did you mean"):
        Part.model_validate({"ingredient": "lemon-juce", "amount": "10 mL"})


def test_nothing_can_be_changed():
    with pytest.raises(ValidationError, match="frozen"):
        SPRITZ.label = "other"


@pytest.mark.parametrize("servings", [0, -1, float("nan"), float("inf")])
def test_servings_must_be_a_positive_number(servings):
    with pytest.raises(ValidationError, match="servings"):
        version(("water", "1 L"), servings=servings)


def test_version_without_parts_is_refused():
    with pytest.raises(ValidationError, match="at least one ingredient"):
        version()


def test_time_without_zone_is_refused():
    with pytest.raises(ValidationError, match="timezone"):
        Version(id="a", label="a", parts=SPRITZ.parts, created_at=datetime(2026, 1, 1))


@pytest.mark.parametrize("id", ["", "-a", "a b", "x" * 65, "é"])
def test_id_of_other_characters_is_refused(id):
    with pytest.raises(ValidationError, match="pattern"):
        version(("water", "1 L"), id=id)


def test_too_long_a_note_is_refused():
    with pytest.raises(ValidationError, match="at most 2000"):
        version(("water", "1 L"), note="x" * 2001)


def child(parent=SPRITZ, id="v2", reason="more acid"):
    return parent.child(id=id, label=id, reason=reason, created_at=NOON)


def test_child_keeps_what_is_not_given():
    second = child()

    assert (second.parent, second.parts, second.servings) == ("v1", SPRITZ.parts, 1)


def test_child_with_other_parts_leaves_the_parent_alone():
    before = SPRITZ.model_dump_json()
    less = SPRITZ.child(
        id="v2", label="v2", reason="drier", created_at=NOON, parts=SPRITZ.parts[:3], servings=2
    )

    assert (len(less.parts), less.servings) == (3, 2)
    assert SPRITZ.model_dump_json() == before


@pytest.mark.parametrize("reason", ["", "  "])
def test_child_without_a_reason_is_refused(reason):
    with pytest.raises(ValidationError, match="no reason"):
        child(reason=reason)


def test_child_of_itself_is_refused():
    with pytest.raises(ValidationError, match="itself as its parent"):
        child(id="v1")


def formula(*versions):
    return Formula(id="spritz", name="Rhubarb and bay spritz", versions=versions)


def test_formula_finds_its_versions():
    assert formula(SPRITZ, child()).version("v2").parent == "v1"


def test_formula_reads_itself_back():
    whole = formula(SPRITZ, child())

    assert Formula.model_validate_json(whole.model_dump_json()) == whole


def test_missing_version_is_said():
    with pytest.raises(InputError, match="no version 'v9'"):
        formula(SPRITZ).version("v9")


@pytest.mark.parametrize(
    ("versions", "match"),
    [
        ((), "at least one version"),
        ((SPRITZ, SPRITZ), "the id 'v1'"),
        ((SPRITZ, child().model_copy(update={"label": "v1"})), "the label 'v1'"),
        ((child(), SPRITZ), "not an earlier version"),
        ((SPRITZ, version(("water", "1 L"), id="v2")), "has no parent"),
        ((SPRITZ, child(child(), "v3")), "comes from 'v2'"),
    ],
)
def test_formula_that_is_no_tree_is_refused(versions, match):
    with pytest.raises(ValidationError, match=match):
        formula(*versions)
