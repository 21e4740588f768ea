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


def add(page: AppTest, name: str, form: int = 0, **numbers: float) -> AppTest:
    page.text_input(key=f"name-{form}").input(name)
    for field, value in numbers.items():
        page.number_input(key=f"{field}-{form}").set_value(value)
    return page.button(key=f"keep-{form}").click().run()


def test_without_a_reference_the_page_says_what_to_do_first(open_page: Open) -> None:
    page = open_page("references")
    assert not page.exception
    assert "None is kept yet. Take a bottle" in words(page)
    assert "a new label is a new reference" in words(page)


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
    add(page, "Bottle R, lot 12", serving_ml=200.0, alcohol_percent_vol=6.0, ph=3.1)
    assert not page.exception
    (kept,) = formulas.references(engine)
    assert (kept.name, kept.serving_ml, kept.alcohol_percent_vol) == ("Bottle R, lot 12", 200, 6)
    assert (kept.rules, kept.ph) == ("US", 3.1)
    assert (kept.allergens, kept.source_note) == (("sulphites",), "back label")


def test_what_is_left_empty_is_not_declared(engine: Engine, open_page: Open) -> None:
    add(open_page("references"), "Bottle R", serving_ml=200.0, sugar_g_per_100ml=0.0)
    (kept,) = formulas.references(engine)
    assert kept.sugar_g_per_100ml == 0.0
    assert kept.energy_kcal_per_100ml is None
    assert kept.ta_g_per_l is None


def test_after_adding_the_form_is_empty(engine: Engine, open_page: Open) -> None:
    page = add(open_page("references"), "Bottle R", serving_ml=200.0)
    assert page.text_input(key="name-1").value == ""
    assert page.toast[0].value == "Bottle R is kept\\."


@pytest.mark.parametrize(
    ("name", "numbers", "match"),
    [
        (" ", {"serving_ml": 200.0}, "has no name"),
        ("Bottle Q", {}, "serving is missing"),
        ("Bottle Q", {"serving_ml": 0.0}, "serving is missing"),
        ("reference BOTTLE r", {"serving_ml": 200.0}, "already; add the lot"),
    ],
)
def test_a_bad_reference_is_refused_and_stays_in_the_form(
    engine: Engine, open_page: Open, name: str, numbers: dict[str, float], match: str
) -> None:
    formulas.keep_reference(engine, MEASURED)
    page = add(open_page("references"), name, ta_g_per_l=6.1, **numbers)
    assert match in page.error[0].value
    assert page.number_input(key="ta_g_per_l-0").value == 6.1
    assert formulas.references(engine) == (MEASURED,)


def test_invented_data_says_so(engine: Engine, open_page: Open) -> None:
    formulas.keep_reference(engine, MEASURED.model_copy(update={"invented": INVENTED}))
    assert f"Invented data: {INVENTED}" in words(open_page("references"))


@pytest.mark.parametrize("name", ["drinks", "references"])
def test_only_the_host_sees_the_page(app: AppTest, name: str) -> None:
    app.run()
    with pytest.raises(ValueError, match="Could not find a navigation page"):
        app.switch_page(f"tasting/ui/drinks/{name}_page.py")
