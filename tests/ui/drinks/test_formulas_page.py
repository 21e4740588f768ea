"""The page of formulas."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.drink.composition import compose
from tasting.drink.formula import Formula
from tasting.store import formulas
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks.draft import Draft
from tasting.ui.drinks.own_ingredient import Typed, own_ingredient
from tests.ui.conftest import visit
from tests.ui.workshop import INVENTED, MEASURED, SPRITZ, UNMEASURED, keep

Open = Callable[[str], AppTest]


def shown(page: AppTest) -> str:
    """All words on the page."""
    kinds = (page.title, page.subheader, page.markdown, page.caption, page.info)
    return "\n".join(element.value for kind in kinds for element in kind)


def cells(page: AppTest) -> list[str]:
    """The cells of all tables."""
    return [str(cell) for table in page.table for cell in table.value.to_numpy().ravel()]


def section(page: AppTest, name: str) -> AppTest:
    page.segmented_control(key="section").set_value(name).run()
    return page


def stored(engine: Engine) -> Formula:
    return formulas.formulas(engine)[0]


def test_without_a_formula_the_page_says_what_to_do_first(open_page: Open) -> None:
    page = open_page("drinks")
    assert not page.exception
    assert "No formula is kept yet" in shown(page)
    assert page.text_input(key="formula_name").label == "Name of the formula"


def test_a_new_formula_without_ingredients_is_refused(engine: Engine, open_page: Open) -> None:
    page = open_page("drinks")
    page.text_input(key="formula_name").input("Bay soda")
    page.button(key="keep-new").click().run()
    assert "no ingredient; its last row adds one" in page.error[0].value
    assert page.text_input(key="formula_name").value == "Bay soda"
    assert formulas.formulas(engine) == ()


def test_the_newest_version_is_shown_first(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = open_page("drinks")
    assert not page.exception
    assert page.subheader[0].value == "v3"
    assert page.query_params["version"] == "spritz-3"


def test_the_tree_tells_parent_date_and_reason(engine: Engine, open_page: Open) -> None:
    keep(engine)
    tree = open_page("drinks").radio[0]
    assert tree.options == ["v1", "└\u2002v2", "v3"]
    assert tree.proto.captions[2] == "from v1 · 13 Jan 2026 · More syrup"


def test_the_address_chooses_the_version(engine: Engine, host: AppTest) -> None:
    keep(engine)
    visit(host, "drinks", version="spritz-2")
    assert host.subheader[0].value == "v2"


def test_an_unknown_version_in_the_address_is_said(engine: Engine, host: AppTest) -> None:
    keep(engine)
    visit(host, "drinks", version="<b>nobody</b>")
    assert "No version is kept under the address" in host.warning[0].value
    assert host.subheader[0].value == "v3"


def test_choosing_in_the_tree_shows_that_version(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = open_page("drinks")
    page.radio[0].set_value("spritz-2").run()
    assert page.subheader[0].value == "v2"
    assert "14 mL" in cells(page)
    assert page.query_params["version"] == "spritz-2"


def test_composition_is_shown_with_allergens_and_caution(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = open_page("drinks")
    assert {"°Brix", "TA, as citric acid", "Alcohol by mass"} <= set(cells(page))
    assert "Allergens: none declared." in shown(page)
    assert "rules of your own country" in shown(page)


def test_what_somebody_typed_is_no_markdown(engine: Engine, open_page: Open) -> None:
    keep(engine)
    assert r"\*flat\*" in open_page("drinks").radio[0].proto.captions[1]


def test_a_version_stands_beside_the_label(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = section(open_page("drinks"), "Reference")
    assert not page.exception
    assert page.selectbox(key="reference").value == MEASURED.id
    assert {"Value", "Label can mean", "Verdict", "Tolerance"} <= set(page.table[1].value.columns)
    assert {"Version", "Reference", "Difference"} <= set(page.table[2].value.columns)
    assert len(page.get("vega_lite_chart")) == 2


def test_without_a_reference_the_page_says_where_to_add_one(
    engine: Engine, open_page: Open
) -> None:
    formulas.keep_formula(engine, SPRITZ)
    page = section(open_page("drinks"), "Reference")
    assert "No reference is kept yet" in shown(page)
    assert not page.exception


def test_a_single_version_alone_is_not_charted(engine: Engine, open_page: Open) -> None:
    formulas.keep_formula(engine, SPRITZ.model_copy(update={"versions": SPRITZ.versions[:1]}))
    page = section(open_page("drinks"), "Reference")
    assert "No reference is kept yet" in shown(page)
    assert len(page.get("vega_lite_chart")) == 0


def test_what_the_reference_does_not_declare_is_a_dash(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = section(open_page("drinks"), "Reference")
    page.selectbox(key="reference").set_value(UNMEASURED.id).run()
    table = page.table[2].value.set_index("Figure")
    assert table.loc["TA, g/L", ["Reference", "Difference"]].tolist() == ["–", "–"]


def edited(page: AppTest, parent: str, reason: str, label: str = "v4") -> AppTest:
    """Keeps a new version of the parent under that label."""
    section(page, "New version")
    page.text_area(key=f"reason-{parent}").input(reason)
    page.text_input(key=f"label-{parent}-v4").input(label)
    page.button(key=f"keep-{parent}").click().run()
    asked = [box for box in page.checkbox if str(box.key).startswith("sure-")]
    if asked:
        asked[0].check()
        page.button(key=f"keep-{parent}").click().run()
    return page


def test_an_edit_makes_a_child_and_changes_nothing(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = edited(open_page("drinks"), "spritz-3", "Shaken longer")
    assert not page.exception
    *before, child = stored(engine).versions
    assert tuple(before) == SPRITZ.versions
    assert (child.parent, child.reason, child.label) == ("spritz-3", "Shaken longer", "v4")
    assert child.parts == SPRITZ.versions[2].parts


def test_a_kept_child_is_shown_at_once(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = edited(open_page("drinks"), "spritz-3", "Shaken longer")
    assert page.subheader[0].value == "v4"
    assert page.toast[0].value == "v4 is kept and shown here\\."


def test_servings_belong_to_the_draft(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = section(open_page("drinks"), "New version")
    page.text_input(key="servings-spritz-3").set_value("2.0").run()
    serving = page.table[1].value.iloc[0]
    change = float(serving["Change"].replace("\\", "").replace("−", "-"))
    assert change == pytest.approx(-float(serving["Draft"]), abs=1)
    edited(page, "spritz-3", "For two")
    assert stored(engine).versions[-1].servings == 2.0


def test_an_edit_without_a_reason_is_refused(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = edited(open_page("drinks"), "spritz-3", " ")
    assert "reason is missing" in page.error[0].value
    assert stored(engine) == SPRITZ


def test_a_label_that_is_taken_is_refused_and_the_draft_stays(
    engine: Engine, open_page: Open
) -> None:
    keep(engine)
    page = edited(open_page("drinks"), "spritz-3", "Shaken longer", label="v1")
    assert "two versions have the label 'v1'" in page.error[0].value
    assert page.text_area(key="reason-spritz-3").value == "Shaken longer"
    assert stored(engine) == SPRITZ


def test_a_draft_outlives_a_visit_to_another_page(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = section(open_page("drinks"), "New version")
    page.text_area(key="reason-spritz-3").input("Half a thought").run()
    open_page("references")
    page = section(open_page("drinks"), "New version")
    assert page.text_area(key="reason-spritz-3").value == "Half a thought"


def put_aside(page: AppTest, place: str, draft: Draft) -> AppTest:
    """Opens the editor on a draft that was typed before: AppTest cannot type into its table."""
    page.session_state[f"draft-{place}"] = draft
    return section(page, "New version")


def lemon_draft(lemon_ml: float | str | None) -> Draft:
    """v3 with this much lemon juice."""
    start = drafting.draft_from(SPRITZ.versions[2])
    typed = None if lemon_ml is None else str(lemon_ml)
    start.rows.loc[start.rows["Ingredient"] == "lemon juice", "Amount"] = typed
    return start


def test_the_composition_of_the_draft_stands_below_it(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = put_aside(open_page("drinks"), "spritz-3", lemon_draft(20))
    table = page.table[1].value
    changes = dict(zip(table["Figure"], table["Change"], strict=True))
    # 10 mL more of a juice of 48 g/L (Penniston et al. 2008) in 184 mL of 6.6 g/L: 8.7 g/L.
    assert float(changes["TA, g/L"].replace("\\", "")) == pytest.approx(8.7 - 6.6, abs=0.1)
    assert changes["Alcohol, g/L"] == r"0\.0"


def test_changed_rows_are_kept_in_the_child_only(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = put_aside(open_page("drinks"), "spritz-3", lemon_draft(20))
    edited(page, "spritz-3", "More lemon")
    amounts = [
        [part.amount.quantity for part in version.parts] for version in stored(engine).versions[2:]
    ]
    assert amounts == [[60, 10, 24, 90], [60, 20, 24, 90]]


@pytest.mark.parametrize(("lemon_ml", "match"), [(-3, "above zero"), (None, "amount is missing")])
def test_a_bad_row_is_refused_and_stays_in_the_draft(
    engine: Engine, open_page: Open, lemon_ml: float | None, match: str
) -> None:
    keep(engine)
    page = put_aside(open_page("drinks"), "spritz-3", lemon_draft(lemon_ml))
    edited(page, "spritz-3", "More lemon")
    assert match in page.error[0].value
    assert page.session_state["draft-spritz-3"].rows.equals(lemon_draft(lemon_ml).rows)
    assert stored(engine) == SPRITZ


def test_an_own_ingredient_is_kept_in_the_version(engine: Engine, open_page: Open) -> None:
    keep(engine)
    own = own_ingredient("Our bay vinegar", Typed({"density_kg_per_l": 1.02}, "our scales"))
    start = drafting.draft_from(SPRITZ.versions[2])
    rows = drafting.with_row(start.rows, own.name).fillna({"Amount": "3"})
    page = put_aside(open_page("drinks"), "spritz-3", Draft(rows, own=(own,)))
    edited(page, "spritz-3", "Vinegar for length")
    assert stored(engine).versions[-1].parts[-1].ingredient == own
    assert own.name in drafting.known_ingredients([stored(engine)])


def add_own(page: AppTest, form: str, **figures: float) -> AppTest:
    page.text_input(key=f"own_name-{form}").input("Our bay vinegar")
    page.text_input(key=f"own_source-{form}").input("our titration")
    for figure, value in figures.items():
        page.text_input(key=f"own_{figure}-{form}").set_value(str(value))
    return page.button(key=f"own_add-{form}").click().run()


def test_an_own_ingredient_becomes_a_row_without_amount(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = section(open_page("drinks"), "New version")
    add_own(page, "spritz-3-0", density_kg_per_l=1.02, ta_citric_g_per_100g=5.1)
    assert not page.exception
    assert r"Our bay vinegar\: the amount is missing" in shown(page)


def test_an_own_ingredient_without_density_is_refused(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = section(open_page("drinks"), "New version")
    add_own(page, "spritz-3-0", ta_citric_g_per_100g=5.1)
    assert "density is missing" in page.error[0].value
    assert page.text_input(key="own_name-spritz-3-0").value == "Our bay vinegar"


def test_an_own_ingredient_makes_a_first_version(engine: Engine, open_page: Open) -> None:
    page = open_page("drinks")
    page.text_input(key="formula_name").input("Bay shrub")
    add_own(page, "new-0", density_kg_per_l=1.02)
    page.button(key="keep-new").click().run()
    assert r"Our bay vinegar\: the amount is missing" in page.error[0].value
    assert formulas.formulas(engine) == ()


def test_invented_data_says_so(engine: Engine, open_page: Open) -> None:
    formulas.keep_formula(engine, SPRITZ.model_copy(update={"invented": INVENTED}))
    assert f"Invented data: {INVENTED}" in shown(open_page("drinks"))


def test_a_new_formula_can_be_started_beside_others(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = open_page("drinks")
    page.selectbox(key="formula-1").set_value("new").run()
    page.text_input(key="formula_name").input(SPRITZ.name.upper())
    page.button(key="keep-new").click().run()
    assert not page.exception
    assert "no ingredient; its last row adds one" in page.error[0].value


def test_a_move_is_kept_with_its_reason(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = section(open_page("drinks"), "Adjust")
    page.multiselect(key="allowed-spritz-3").set_value(["lemon juice"]).run()
    assert not page.exception
    page.button(key="move-keep-spritz-3").click().run()
    child = stored(engine).versions[-1]
    assert (child.parent, child.label) == ("spritz-3", "v4")
    assert "g/L: leave out " in child.reason
    assert compose(child).ta_g_per_l == pytest.approx(6.4, abs=0.03)
    assert page.subheader[0].value == "v4"


def test_nothing_that_may_change_is_said_quietly(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = section(open_page("drinks"), "Adjust")
    page.multiselect(key="allowed-spritz-3").set_value([]).run()
    assert "Nothing may change yet" in shown(page)
    assert not page.error


def test_the_batch_sheet_follows_the_size(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = section(open_page("drinks"), "Batch")
    page.radio(key="batch-size-in").set_value("Servings").run()
    page.text_input(key="batch-Servings-spritz-3").set_value("10.0").run()
    assert {"600 mL", "240 mL", "900 mL"} <= set(cells(page))
    page.text_input(key="batch-cylinder").set_value("1000.0").run()
    assert "too little to measure" in page.error[0].value


def test_a_sealed_bottle_has_more_cautions(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = open_page("drinks")
    assert "Rhubarb leaves are poisonous" in shown(page)
    assert "fermentable sugar" not in shown(page)
    page.checkbox(key="sealed").check().run()
    assert "fermentable sugar" in shown(page)


def test_a_measured_lot_takes_its_place_in_the_draft(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = section(open_page("drinks"), "New version")
    page.selectbox(key="lot_of-spritz-3-0").set_value("lemon juice").run()
    page.text_input(key="lot_name-spritz-3-0-lemon juice").input("lemon, Monday")
    page.text_input(key="lot_sample_ml-spritz-3-0").set_value("10.0")
    page.text_input(key="lot_base_ml-spritz-3-0").set_value("85.0")
    page.button(key="lot_add-spritz-3-0").click().run()
    assert not page.error
    assert "Sample titrated, mL: 10; Base used, mL: 85" in page.toast[0].value.replace("\\", "")
    edited(page, "spritz-3", "Titrated")
    assert stored(engine).versions[-1].parts[1].ingredient.name == "lemon, Monday"


def test_a_formula_as_its_own_preparation_is_refused(engine: Engine, open_page: Open) -> None:
    keep(engine)
    page = section(open_page("drinks"), "New version")
    page.button(key="made_add-spritz-3-0").click().run()
    assert "cannot be made from itself" in page.error[0].value
    assert len(page.session_state["draft-spritz-3"].own) == 0


def test_a_version_is_used_as_a_preparation(engine: Engine, open_page: Open) -> None:
    keep(engine)
    first = SPRITZ.versions[0].model_copy(
        update={"id": "syrup-1", "parts": SPRITZ.versions[0].parts[2:3]}
    )
    formulas.keep_formula(engine, Formula(id="syrup", name="Bay cordial", versions=(first,)))
    page = open_page("drinks")
    page.selectbox(key="formula-2").set_value("spritz").run()
    section(page, "New version")
    page.selectbox(key="made_from-spritz-3-0").set_value("syrup-1").run()
    page.button(key="made_add-spritz-3-0").click().run()
    assert not page.error
    assert r"Bay cordial, v1\: the amount is missing" in shown(page)
