"""The page of a reference, and the form for a new one."""

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.store import formulas, notes
from tests.ui.drinks.opening import drink, html
from tests.ui.reading import tables
from tests.ui.workshop import INVENTED, MEASURED, SPRITZ


def new(host: AppTest) -> AppTest:
    return drink(host, new="reference")


def words(page: AppTest) -> str:
    kinds = (page.markdown, page.caption, page.info)
    return "\n".join(element.value for kind in kinds for element in kind)


def add(page: AppTest, name: str, form: int = 0, **numbers: str) -> AppTest:
    page.text_input(key=f"name-{form}").input(name)
    for field, value in numbers.items():
        page.text_input(key=f"{field}-{form}").input(value)
    return page.button(key=f"save-{form}").click().run()


def test_a_reference_is_listed_with_what_is_known(engine: Engine, host: AppTest) -> None:
    formulas.keep_reference(engine, MEASURED)
    page = drink(host, id="R")
    values = dict(tables(page)[0].to_numpy().tolist())
    assert values["Measured TA, g/L"] == "6.4"
    assert values["Measured pH"] == "not measured"
    assert page.title[0].value == "Reference bottle R"


def test_a_reference_is_added(engine: Engine, host: AppTest) -> None:
    page = new(host)
    page.multiselect(key="allergens-0").set_value(["sulphites"])
    page.text_area(key="source-0").input("back label")
    page.radio(key="rules-0").set_value("US")
    add(page, "Bottle R, lot 12", serving_ml="200.0", alcohol_percent_vol="6.0", ph="3.1")
    assert not page.exception
    (kept,) = formulas.references(engine)
    assert (kept.name, kept.serving_ml, kept.alcohol_percent_vol) == ("Bottle R, lot 12", 200, 6)
    assert (kept.rules, kept.ph) == ("US", 3.1)
    assert (kept.allergens, kept.source_note) == (("sulphites",), "back label")


def test_what_is_left_empty_is_not_declared(engine: Engine, host: AppTest) -> None:
    add(new(host), "Bottle R", serving_ml="200.0", sugar_g_per_100ml="0.0")
    (kept,) = formulas.references(engine)
    assert kept.sugar_g_per_100ml == 0.0
    assert kept.energy_kcal_per_100ml is None
    assert kept.ta_g_per_l is None


def test_after_adding_its_page_is_shown(engine: Engine, host: AppTest) -> None:
    page = add(new(host), "Bottle R", serving_ml="200.0")
    assert page.title[0].value == "Bottle R"
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
    engine: Engine, host: AppTest, name: str, numbers: dict[str, str], match: str
) -> None:
    formulas.keep_reference(engine, MEASURED)
    page = add(new(host), name, ta_g_per_l="6.1", **numbers)
    assert match in page.error[0].value
    assert page.text_input(key="ta_g_per_l-0").value == "6.1"
    assert formulas.references(engine) == (MEASURED,)


def test_all_that_is_wrong_is_said_at_once(engine: Engine, host: AppTest) -> None:
    page = add(new(host), " ", ph="15", brix="ten", density_kg_per_l="1019")
    said = page.error[0].value.replace("\\", "")
    for fault in ("has no name", "serving is missing", "between 0 and 14", "'ten'", "0.7 and 1.6"):
        assert fault in said


def test_how_surely_it_was_measured_is_kept(engine: Engine, host: AppTest) -> None:
    """A value with ± was measured: it has no decimals of a print; left alone it stays."""
    add(
        new(host),
        "Bottle R",
        serving_ml="200",
        ta_g_per_l="6,2 ± 0.15",
        alcohol_percent_vol="5.4±0.2",
    )
    (kept,) = formulas.references(engine)
    assert (kept.ta_g_per_l, kept.alcohol_percent_vol) == (6.2, 5.4)
    assert kept.uncertainty == {"ta_g_per_l": 0.15, "alcohol_percent_vol": 0.2}
    assert kept.decimals == {}
    page = drink(host, id=kept.id)
    assert dict(tables(page)[0].to_numpy().tolist())["Measured TA, g/L"] == "6.2 ± 0.15"
    page.toggle(key=f"correct-{kept.id}-0").set_value(True).run()
    page.text_input(key=f"ph-{kept.id}-0").input("3.05")
    page.text_input(key=f"reason-{kept.id}-0").input("metered")
    page.button(key=f"save-{kept.id}-0").click().run()
    assert formulas.references(engine)[0].uncertainty == kept.uncertainty


def test_invented_data_says_so(engine: Engine, host: AppTest) -> None:
    formulas.keep_reference(engine, MEASURED.model_copy(update={"invented": INVENTED}))
    assert f"Invented data: {INVENTED}" in words(drink(host, id="R"))


def test_values_are_read_as_they_are_printed(engine: Engine, host: AppTest) -> None:
    add(new(host), "Bottle R", serving_ml="200", sugar_g_per_100ml="4,50")
    (kept,) = formulas.references(engine)
    assert (kept.sugar_g_per_100ml, kept.decimals) == (4.5, {"sugar_g_per_100ml": 2})


def test_a_us_label_is_typed_per_serving(engine: Engine, host: AppTest) -> None:
    """130 kcal in a serving of 355 mL are 36.62 in 100 mL (arithmetic)."""
    page = new(host)
    page.radio(key="rules-0").set_value("US")
    asked = page.text_input(key="energy_kcal_per_100ml-0").label
    assert asked == "Declared energy, kcal/100 mL (US: per serving)"
    page = add(page, "Bottle R", serving_ml="355", energy_kcal_per_100ml="130")
    (kept,) = formulas.references(engine)
    assert kept.energy_kcal_per_100ml == pytest.approx(36.6197, abs=1e-4)
    values = dict(tables(page)[0].to_numpy().tolist())
    assert values["Declared energy, kcal per serving"] == "130"


def test_a_reference_is_completed(engine: Engine, host: AppTest) -> None:
    formulas.keep_reference(engine, MEASURED)
    page = drink(host, id="R")
    page.toggle(key="correct-R-0").set_value(True).run()
    assert page.text_input(key="ta_g_per_l-R-0").value == "6.4"
    page.text_input(key="ph-R-0").input("3.05")
    page.text_input(key="reason-R-0").input("metered")
    page.button(key="save-R-0").click().run()
    assert not page.exception
    (kept,) = formulas.references(engine)
    assert (kept.ph, kept.ta_g_per_l, kept.earlier[0].was) == (3.05, 6.4, MEASURED)
    history = tables(page)[1].to_numpy().tolist()
    assert history[0][1:] == ["metered", "Measured pH: 3.05 (before: not measured)"]


def test_what_nobody_touched_stays_to_the_last_digit(engine: Engine, host: AppTest) -> None:
    """36.6197 kcal/100 mL show as 130 a serving; how many decimals a label had is not made up."""
    us = MEASURED.model_copy(
        update={"rules": "US", "serving_ml": 355.0, "energy_kcal_per_100ml": 130 / 3.55}
    )
    formulas.keep_reference(engine, us)
    page = drink(host, id="R")
    page.toggle(key="correct-R-0").set_value(True).run()
    page.text_input(key="ph-R-0").input("3.05")
    page.text_input(key="reason-R-0").input("metered")
    page.button(key="save-R-0").click().run()
    (kept,) = formulas.references(engine)
    assert kept == us.model_copy(update={"ph": 3.05, "earlier": kept.earlier})


def test_a_correction_without_a_reason_is_refused(engine: Engine, host: AppTest) -> None:
    formulas.keep_reference(engine, MEASURED)
    page = drink(host, id="R")
    page.toggle(key="correct-R-0").set_value(True).run()
    page.text_input(key="ph-R-0").input("3.05")
    page.button(key="save-R-0").click().run()
    assert "needs its reason" in page.error[0].value
    assert formulas.references(engine) == (MEASURED,)


def test_the_newest_version_stands_beside_it(engine: Engine, host: AppTest) -> None:
    formulas.keep_reference(engine, MEASURED)
    formulas.keep_formula(engine, SPRITZ)
    page = drink(host, id="R")
    assert not page.exception
    assert "<th scope='col'>v3</th>" in html(page)


def test_a_reference_is_archived(engine: Engine, host: AppTest) -> None:
    formulas.keep_reference(engine, MEASURED)
    drink(host, id="R").button(key="archive").click().run()
    assert notes.archived(engine) == {"R"}
