"""The page of references."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.store import formulas
from tests.ui.workshop import INVENTED, MEASURED, UNMEASURED

Open = Callable[[str], AppTest]


def words(page: AppTest) -> str:
    kinds = (page.markdown, page.caption, page.info)
    return "\n".join(element.value for kind in kinds for element in kind)


def add(page: AppTest, name: str, form: int = 0, **numbers: str) -> AppTest:
    page.text_input(key=f"name-{form}").input(name)
    for field, value in numbers.items():
        page.text_input(key=f"{field}-{form}").input(value)
    return page.button(key=f"keep-{form}").click().run()


def test_without_a_reference_the_page_says_what_to_do_first(open_page: Open) -> None:
    page = open_page("references")
    assert not page.exception
    assert "None is saved yet. Take a bottle" in words(page)
    assert "its old values stay in its history" in words(page)


def test_a_reference_is_listed_with_what_is_known(engine: Engine, open_page: Open) -> None:
    formulas.keep_reference(engine, MEASURED)
    page = open_page("references")
    values = dict(page.table[0].value.to_numpy().tolist())
    assert values["Measured TA, g/L"] == r"6\.4"
    assert values["Measured pH"] == "not measured"
    assert page.expander[0].label == "Reference bottle R"


def test_each_reference_is_listed(engine: Engine, open_page: Open) -> None:
    formulas.keep_reference(engine, MEASURED)
    formulas.keep_reference(engine, UNMEASURED)
    page = open_page("references")
    assert [listed.label for listed in page.expander] == [MEASURED.name, UNMEASURED.name]


def test_a_reference_is_added(engine: Engine, open_page: Open) -> None:
    page = open_page("references")
    page.multiselect(key="allergens-0").set_value(["sulphites"])
    page.text_area(key="source-0").input("back label")
    page.radio(key="rules-0").set_value("US")
    add(page, "Bottle R, lot 12", serving_ml="200.0", alcohol_percent_vol="6.0", ph="3.1")
    assert not page.exception
    (kept,) = formulas.references(engine)
    assert (kept.name, kept.serving_ml, kept.alcohol_percent_vol) == ("Bottle R, lot 12", 200, 6)
    assert (kept.rules, kept.ph) == ("US", 3.1)
    assert (kept.allergens, kept.source_note) == (("sulphites",), "back label")


def test_what_is_left_empty_is_not_declared(engine: Engine, open_page: Open) -> None:
    add(open_page("references"), "Bottle R", serving_ml="200.0", sugar_g_per_100ml="0.0")
    (kept,) = formulas.references(engine)
    assert kept.sugar_g_per_100ml == 0.0
    assert kept.energy_kcal_per_100ml is None
    assert kept.ta_g_per_l is None


def test_after_adding_the_form_is_empty(engine: Engine, open_page: Open) -> None:
    page = add(open_page("references"), "Bottle R", serving_ml="200.0")
    assert page.text_input(key="name-1").value == ""
    assert page.toast[0].value == "Bottle R is saved\\."


@pytest.mark.parametrize(
    ("name", "numbers", "match"),
    [
        (" ", {"serving_ml": "200.0"}, "has no name"),
        ("Bottle Q", {}, "serving is missing"),
        ("Bottle Q", {"serving_ml": "0.0"}, "serving is missing"),
        ("Bottle Q", {"serving_ml": "200", "ph": "15"}, "not between 0 and 14"),
        ("Bottle Q", {"serving_ml": "200", "brix": "ten"}, "is not a number"),
        ("reference BOTTLE r", {"serving_ml": "200.0"}, "already; add the lot"),
    ],
)
def test_a_bad_reference_is_refused_and_stays_in_the_form(
    engine: Engine, open_page: Open, name: str, numbers: dict[str, str], match: str
) -> None:
    formulas.keep_reference(engine, MEASURED)
    page = add(open_page("references"), name, ta_g_per_l="6.1", **numbers)
    assert match in page.error[0].value
    assert page.text_input(key="ta_g_per_l-0").value == "6.1"
    assert formulas.references(engine) == (MEASURED,)


def test_invented_data_says_so(engine: Engine, open_page: Open) -> None:
    formulas.keep_reference(engine, MEASURED.model_copy(update={"invented": INVENTED}))
    assert f"Invented data: {INVENTED}" in words(open_page("references"))


def test_values_are_read_as_they_are_printed(engine: Engine, open_page: Open) -> None:
    add(open_page("references"), "Bottle R", serving_ml="200", sugar_g_per_100ml="4,50")
    (kept,) = formulas.references(engine)
    assert (kept.sugar_g_per_100ml, kept.decimals) == (4.5, {"sugar_g_per_100ml": 2})


def test_a_us_label_is_typed_per_serving(engine: Engine, open_page: Open) -> None:
    """130 kcal in a serving of 355 mL are 36.62 in 100 mL (arithmetic)."""
    page = open_page("references")
    page.radio(key="rules-0").set_value("US")
    asked = page.text_input(key="energy_kcal_per_100ml-0").label
    assert asked == "Declared energy, kcal/100 mL (US: per serving)"
    page = add(page, "Bottle R", serving_ml="355", energy_kcal_per_100ml="130")
    (kept,) = formulas.references(engine)
    assert kept.energy_kcal_per_100ml == pytest.approx(36.6197, abs=1e-4)
    values = dict(page.table[0].value.to_numpy().tolist())
    assert values["Declared energy, kcal per serving"] == "130"


def test_a_reference_is_completed(engine: Engine, open_page: Open) -> None:
    formulas.keep_reference(engine, MEASURED)
    page = open_page("references")
    page.toggle(key="correct-R-0").set_value(True).run()
    assert page.text_input(key="ta_g_per_l-R-0").value == "6.4"
    page.text_input(key="ph-R-0").input("3.05")
    page.text_input(key="reason-R-0").input("metered")
    page.button(key="save-R-0").click().run()
    assert not page.exception
    (kept,) = formulas.references(engine)
    assert (kept.ph, kept.ta_g_per_l, kept.earlier[0].was) == (3.05, 6.4, MEASURED)
    history = page.table[1].value.to_numpy().tolist()
    assert history[0][1:] == ["metered", r"Measured pH\: 3\.05 \(before\: not measured\)"]


def test_what_nobody_touched_stays_to_the_last_digit(engine: Engine, open_page: Open) -> None:
    """36.6197 kcal/100 mL show as 130 a serving; how many decimals a label had is not made up."""
    us = MEASURED.model_copy(
        update={"rules": "US", "serving_ml": 355.0, "energy_kcal_per_100ml": 130 / 3.55}
    )
    formulas.keep_reference(engine, us)
    page = open_page("references")
    page.toggle(key="correct-R-0").set_value(True).run()
    page.text_input(key="ph-R-0").input("3.05")
    page.text_input(key="reason-R-0").input("metered")
    page.button(key="save-R-0").click().run()
    (kept,) = formulas.references(engine)
    assert kept == us.model_copy(update={"ph": 3.05, "earlier": kept.earlier})


def test_a_correction_without_a_reason_is_refused(engine: Engine, open_page: Open) -> None:
    formulas.keep_reference(engine, MEASURED)
    page = open_page("references")
    page.toggle(key="correct-R-0").set_value(True).run()
    page.text_input(key="ph-R-0").input("3.05")
    page.button(key="save-R-0").click().run()
    assert "needs its reason" in page.error[0].value
    assert formulas.references(engine) == (MEASURED,)


@pytest.mark.parametrize("name", ["drinks", "references"])
def test_only_the_host_sees_the_page(app: AppTest, name: str) -> None:
    app.run()
    with pytest.raises(ValueError, match="Could not find a navigation page"):
        app.switch_page(f"tasting/ui/drinks/{name}_page.py")
