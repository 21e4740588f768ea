"""The dashboard."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from sample_sessions import documents
from tasting.insight.noticing.drivers import DRIVERS
from tasting.store import formulas
from tasting.store.documents import fill, read_document
from tasting.ui.dashboard.noticed import session_picked
from tasting.ui.dashboard.noticed_chart import CHOSEN, SESSION
from tasting.ui.dashboard.noticed_table import AS_TRIANGLE
from tests.ui.reading import linked, read, tabled
from tests.ui.workshop import answered, closed, keep, opened, planned, some_closed

OpenPage = Callable[[str], AppTest]


def charts(page: AppTest) -> int:
    return len(page.get("vega_lite_chart"))


def section(page: AppTest, name: str) -> AppTest:
    return page.segmented_control(key="section").set_value(name).run()


def test_it_is_the_first_page_after_signing_in(host: AppTest) -> None:
    assert "Dashboard" in read(host.run())


def test_with_nothing_kept_it_begins_with_a_formula(open_page: OpenPage) -> None:
    page = open_page("dashboard")

    assert "Nothing is kept yet" in read(page)
    assert linked(page)["Write the first formula"] == "drinks"
    assert charts(page) == 0
    assert not page.exception


def test_with_formulas_only_it_goes_on_with_a_plan(open_page: OpenPage, engine: Engine) -> None:
    keep(engine)
    page = open_page("dashboard")

    assert linked(page)["Plan a session"] == "new"
    assert "Rhubarb and bay spritz against Reference bottle R" in read(page)
    assert "Run a triangle test of two versions that differ in acid only." in read(page)


def test_with_an_open_session_it_waits_for_its_end(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, answered(opened(planned("now")), 3, 2))
    page = open_page("dashboard")

    assert "What it finds is drawn here once you close it." in read(page)
    assert linked(page)["See how many answers are in"] == "tastings"
    assert not page.exception


def test_a_few_sessions_are_drawn_and_what_they_cannot_tell_is_said(
    open_page: OpenPage, engine: Engine
) -> None:
    keep(engine, *some_closed(), answered(opened(planned("now")), 3, 2))
    page = open_page("dashboard")

    assert "Session acid" in tabled(page)
    assert "Session now" not in tabled(page)
    assert "No triangle test has compared a version with a reference." in read(page)
    assert not page.exception


def test_another_reference_brings_its_own_sessions(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, *some_closed())
    page = open_page("dashboard")
    page.selectbox(key="dashboard_reference-spritz").select_index(1).run()

    assert "Session unknown" in read(page)
    assert "Nothing can be drawn around the reference: the titratable acidity" in read(page)
    assert not page.exception


def test_invented_data_are_labelled_once(open_page: OpenPage, engine: Engine) -> None:
    made_up = [
        closed(planned(id), 9, 3).model_copy(update={"invented": "by a script"})
        for id in ("one", "two")
    ]
    keep(engine, *made_up)

    assert read(open_page("dashboard")).count("Invented data: by a script") == 1


@pytest.fixture
def sample(open_page: OpenPage, engine: Engine) -> AppTest:
    """The dashboard of the sample workshop."""
    fill(engine, *map(read_document, documents()))
    return open_page("dashboard")


def test_the_sample_workshop_tells_steps_in_practice_and_finds_its_truth(sample: AppTest) -> None:
    text = read(sample)

    assert [metric.label for metric in sample.metric] == [
        "Half of assessors notice: acid",
        "Half of assessors notice: sugar",
        "Distance from the reference (d′)",
    ]
    assert [metric.delta.endswith(", extrapolated") for metric in sample.metric] == [1, 1, 0]
    assert "In a triangle test half of assessors detect the step, the others guess." in text
    assert "Dotted contours are extrapolated" in text
    assert "Assumed: d′ grows in proportion to the step. Intervals allow for slower growth" in text
    assert "(up to its power 1.5), and for assessors who come again and differ" in text
    assert "Fit check: deviance " in text
    assert "No sign of more than acid and sugar at work; the check seldom finds a bent" in text
    assert "check_fit" not in [button.key for button in sample.button]
    assert "lemon juice, in a 225 mL serving" in text
    assert charts(sample) == 3
    assert any("10 of 10 stated truths" in one.label for one in sample.expander)
    assert not sample.exception


def test_it_forecasts_two_versions(sample: AppTest) -> None:
    page = section(sample, "Two versions")

    assert "v12 tartaric acid and Reference bottle R: expected distance δ" in read(page).replace(
        "**", ""
    )
    assert page.table[0].value["Method"].tolist()[0] == "Triangle test"
    assert not page.exception


def test_a_next_test_makes_its_version_and_fills_in_the_plan(
    sample: AppTest, engine: Engine
) -> None:
    page = section(sample, "Next test")
    assert page.button(key="plan-1").label == "Make the version and plan the session"
    page.button(key="plan-1").click().run()
    newest = formulas.formulas(engine)[0].versions[-1]

    assert page.title[0].value == "Plan a session"
    assert page.selectbox(key="method").value == "tetrad"
    assert page.selectbox(key="b").value.id == newest.id
    assert page.text_input(key="replicates").value == "3"
    assert "citric acid" in newest.reason


def test_where_to_go_makes_the_child(sample: AppTest, engine: Engine) -> None:
    page = section(sample, "Where to go")
    before = formulas.formulas(engine)[0].versions
    third = before[2]
    page.selectbox(key=f"aim_from-{len(before)}").select_index(len(before) - 3).run()
    page.button(key="make_version").click().run()
    child = formulas.formulas(engine)[0].versions[-1]

    assert child.parent == third.id
    assert child.reason.startswith("Towards least unlike Reference bottle R: +")
    assert "is kept as a child" in page.success[0].value


def test_a_tweak_far_below_a_noticeable_step_is_not_offered(sample: AppTest) -> None:
    """From the latest version it would be 0.09 g of sugar, against a noticeable step of 1.3 g."""
    page = section(sample, "Where to go")

    assert "No step in acid or sugar brings it closer; the rest is character." in read(page)
    assert "make_version" not in [button.key for button in page.button]
    assert not [table for table in page.table if "In a serving" in table.value]


def test_a_driver_that_may_not_be_noticed_has_a_bound_and_no_number(sample: AppTest) -> None:
    page = chosen(sample, "alcohol")
    card, text = page.metric[0], read(page)

    assert card.label == "Half of assessors notice: alcohol"
    assert card.value == "> 0.18 % vol"
    assert card.delta == "if at all; largest step tasted: 0.17 % vol"
    assert "more than 0.18 % vol, if at all; the largest step tasted was 0.17 % vol" in text
    assert "Run a triangle test with a step in alcohol only, larger than 0.17 % vol" in text
    assert "No curve: In a triangle test half of assessors notice a step in alcohol of" in text
    assert "neutral spirit" not in text


def test_a_selected_mark_names_its_session() -> None:
    assert session_picked({"selection": {CHOSEN: [{SESSION: "acid"}]}}) == "acid"
    assert session_picked({"selection": {CHOSEN: []}}) == ""
    assert session_picked(None) == ""


def test_every_closed_session_is_listed_whatever_its_method(sample: AppTest) -> None:
    page = section(sample, "Every session")
    methods = set(page.table[0].value["Method"].str.replace("\N{NO-BREAK SPACE}", " "))
    assert methods == {"Triangle test", "Paired comparison", "Paired preference test"}
    assert len(page.table[0].value) == 23
    assert not page.exception


def every_number(page: AppTest) -> dict[str, str]:
    """By session the share who notice, as every table of the page has it."""
    cells = [
        (line["Session"], line[AS_TRIANGLE].replace("\N{NO-BREAK SPACE}", " "))
        for table in page.table
        if AS_TRIANGLE in table.value
        for line in table.value.to_dict("records")
    ]
    assert len(set(cells)) == len({name for name, _ in cells})
    return dict(cells)


def test_a_tetrad_reads_alike_in_both_sections(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, closed(planned("tetrad", "tetrad", replicates=2), 16, 8), *some_closed())
    page = open_page("dashboard")
    beside, every = every_number(page), every_number(section(page, "Every session"))

    assert beside["Session tetrad"] == every["Session tetrad"]
    assert beside["Session tetrad"].startswith("29 ")
    assert beside["Session acid"] == every["Session acid"]


def test_a_preference_is_said_to_be_in_the_table_only(sample: AppTest) -> None:
    text = read(section(sample, "Every session"))

    assert "of 23 sessions are in the table only" in text
    assert "A preference has a lead instead" in text


def chosen(page: AppTest, *keys: str) -> AppTest:
    return page.multiselect(key="dashboard_drivers").set_value(list(keys)).run()


SECTIONS = ("What is noticed", "Two versions", "Next test", "Where to go", "Every session")


@pytest.mark.parametrize(
    "keys",
    [
        ("sugar",),
        ("alcohol",),
        ("co2", "ph"),
        ("sugar", "sweetness"),
        ("ta", "sugar", "alcohol"),
        tuple(DRIVERS),
    ],
)
def test_any_drivers_can_be_chosen(sample: AppTest, keys: tuple[str, ...]) -> None:
    for name in SECTIONS:
        page = section(chosen(sample, *keys), name)
        assert not page.exception, name


def test_a_chosen_driver_has_a_chart_and_what_needs_acid_and_sugar_says_so(
    sample: AppTest,
) -> None:
    page = chosen(sample, "sugar", "alcohol")
    text = read(page)

    assert "How much alcohol is noticed" in text
    assert "How much titratable acidity is noticed" not in text
    assert "need both of them among the drivers" in text
    assert "stated truths" not in str([one.label for one in page.expander])
    assert "need both of them among the drivers" in read(section(page, "Where to go"))
    assert "share who notice, by step in alcohol" in read(section(page, "Every session")).casefold()


def test_without_a_driver_acid_and_sugar_stay(sample: AppTest) -> None:
    before = [metric.value for metric in sample.metric]

    assert [metric.value for metric in chosen(sample).metric] == before


def test_the_versions_stand_beside_the_label(sample: AppTest) -> None:
    page = section(sample, "Beside the label")
    assert page.subheader[0].value == "Rhubarb and bay spritz against Reference bottle R"
    assert not page.exception
