"""The dashboard."""

import re
from collections.abc import Callable
from html import unescape

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from sample_sessions import documents
from tasting.insight.noticing.drivers import DRIVERS
from tasting.store import formulas, notes
from tasting.store.documents import fill, read_document
from tasting.ui.dashboard.noticed import session_picked
from tasting.ui.dashboard.noticed_chart import CHOSEN, SESSION
from tasting.ui.dashboard.noticed_table import AS_TRIANGLE
from tests.ui.conftest import visit
from tests.ui.reading import linked, read, tabled, tables
from tests.ui.workshop import SPRITZ, answered, closed, keep, opened, planned, some_closed

OpenPage = Callable[[str], AppTest]


def charts(page: AppTest) -> int:
    return len(page.get("vega_lite_chart"))


def section(page: AppTest, name: str) -> AppTest:
    return opened_tab(page, name)


def opened_tab(page: AppTest, name: str) -> AppTest:
    """The page with one of its tabs opened; what is not open is not made."""
    page.session_state["known"] = name
    return page.run()


CURVE, VERSIONS = "How much is noticed", "Versions"


def test_it_is_the_first_page_after_signing_in(host: AppTest) -> None:
    assert "Dashboard" in read(host.run())


def told(page: AppTest) -> str:
    """What stands in boxes of our own, too."""
    boxes = "\n".join(unescape(re.sub("<[^>]+>", "", node.proto.body)) for node in page.get("html"))
    return f"{boxes}\n{read(page)}"


def test_with_nothing_saved_it_begins_with_a_formula(open_page: OpenPage) -> None:
    page = open_page("dashboard")

    assert "Write a formula, then compare" in read(page)
    assert linked(page)["Write the first formula"] == "drink?new=formula"
    assert charts(page) == 0
    assert not page.exception


def test_with_formulas_only_nothing_is_settled_and_a_session_can_be_planned(
    open_page: OpenPage, engine: Engine
) -> None:
    keep(engine)
    page = open_page("dashboard")

    assert page.title[0].value == "Rhubarb and bay spritz"
    assert "against Reference bottle R" in read(page).replace("**", "")
    assert "There yet?\nNot tested yet." in told(page)
    assert "Not known yet: no closed session shows it." in told(page)
    assert page.button(key="answer_0").label == "Test v3 against Reference bottle R (16 tastings)"
    assert page.button(key="answer_2").label.startswith("Make it and plan 24 tastings")
    assert not page.exception


def test_an_answers_button_fills_in_the_new_tasting(open_page: OpenPage, engine: Engine) -> None:
    keep(engine)
    page = open_page("dashboard")
    page.button(key="answer_0").click().run()

    assert page.title[0].value == "New tasting"
    assert {page.selectbox(key="a").value.id, page.selectbox(key="b").value.id} == {"R", "spritz-3"}
    assert not page.exception


def test_an_open_session_comes_next_and_nothing_of_its_key(
    open_page: OpenPage, engine: Engine
) -> None:
    keep(engine, answered(opened(planned("now")), 3, 2))
    page = open_page("dashboard")

    assert "Next\nA session is open: 5 of 12 in." in told(page)
    assert "“Session now”. 7 assessors have not begun." in read(page)
    assert linked(page)["Go to the session"] == "tasting?id=now"
    assert "answer_0" not in [button.key for button in page.button]
    assert not page.exception


def test_a_few_sessions_are_drawn_and_what_they_cannot_tell_is_said(
    open_page: OpenPage, engine: Engine
) -> None:
    keep(engine, *some_closed(), answered(opened(planned("now")), 3, 2))
    page = open_page("dashboard")

    assert "Session acid" in tabled(opened_tab(page, CURVE))
    assert "Session now" not in tabled(page)
    steps = section(page, "Noticeable steps")
    assert "No triangle test has compared a version with a reference." in read(steps)
    assert not page.exception


def test_another_reference_brings_its_own_sessions(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, *some_closed())
    page = open_page("dashboard")
    page.selectbox(key="dashboard_reference-spritz").select_index(1).run()

    assert "The last one tasted against it, v1: nothing was shown (4 of 8)." in read(page)
    assert "Nothing can be drawn around the reference: the TA" in read(page)
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


def test_the_sample_workshop_answers_first(sample: AppTest) -> None:
    text = told(sample)

    assert "Next\nA session is open: 11 of 20 in.\nThere yet?\nBeing tasted now: 11 of 20." in text
    assert "answer_1" not in [button.key for button in sample.button]
    assert "Was the last change noticed?\nNot tested yet." in text
    assert sample.button(key="answer_2").label == "Test v10 against v12 (16 tastings)"
    assert "Half of assessors notice\n+0.9" in text
    assert "Distance from Reference bottle R\nd′ 0–2.7Left after acid and sugar match (best" in text
    assert "lemon juice in a 225 mL serving" in text
    assert charts(sample) == 2
    assert tables(opened_tab(sample, VERSIONS))[-1]["Version"].tolist()[:3] == [
        "v12",
        "v11",
        "v10",
    ]
    assert not sample.exception


def test_the_other_versions_are_shown_on_demand(sample: AppTest) -> None:
    page = opened_tab(sample, VERSIONS).toggle(key="all_versions").set_value(True).run()

    assert len(tables(page)[-1]) == 12


def test_the_curve_is_switched_from_acid_to_sugar(sample: AppTest) -> None:
    opened_tab(sample, CURVE)
    page = sample.segmented_control(key="curve-ta-sugar").set_value("sugar").run()

    assert any("step in sugar" in node.proto.alt for node in page.get("vega_lite_chart"))
    assert charts(page) == 2


def test_the_sample_workshop_finds_its_truth(sample: AppTest) -> None:
    page = section(sample, "Noticeable steps")
    text = read(page)

    assert "In a triangle test half of assessors detect the step, the others guess." in text
    assert "Dotted contours are extrapolated" in text
    assert "Fit check: deviance " in text
    assert (
        "The fit shows no misfit of this model of acid and sugar, which includes what they do not "
        "explain" in text
    )
    assert "of the 6.2 g/L in v12 tartaric acid" in text
    assert any("10 of 10 stated truths" in one.label for one in page.expander)
    assert not page.exception


def test_it_forecasts_two_versions(sample: AppTest) -> None:
    page = section(sample, "Predict a test")

    assert "v12 tartaric acid and Reference bottle R: expected d′" in read(page).replace("**", "")
    assert tables(page)[-1]["Method"].tolist()[0] == "Triangle test"
    assert not page.exception


def test_a_next_test_makes_its_version_and_fills_in_the_plan(
    sample: AppTest, engine: Engine
) -> None:
    page = section(sample, "Next session")
    assert page.button(key="plan-1").label == "Make the version and plan the session"
    page.button(key="plan-1").click().run()
    newest = formulas.formulas(engine)[0].versions[-1]

    assert page.title[0].value == "New tasting"
    assert page.selectbox(key="method").value == "tetrad"
    assert page.selectbox(key="b").value.id == newest.id
    assert page.text_input(key="replicates").value == "3"
    assert "citric acid" in newest.reason


def test_where_to_go_makes_the_child(sample: AppTest, engine: Engine) -> None:
    page = section(sample, "Next version")
    before = formulas.formulas(engine)[0].versions
    third = before[2]
    page.selectbox(key=f"aim_from-{len(before)}").select_index(len(before) - 3).run()
    page.button(key="make_version").click().run()
    child = formulas.formulas(engine)[0].versions[-1]

    assert child.parent == third.id
    assert child.reason.startswith("Towards the closest match to Reference bottle R: +")
    assert "is saved as a child" in page.success[0].value


def test_a_tweak_far_below_a_noticeable_step_is_not_offered(sample: AppTest) -> None:
    """From the latest version it would be 0.09 g of sugar, against a noticeable step of 1.3 g."""
    page = section(sample, "Next version")

    assert "At the computed values no step in acid or sugar brings it closer. Titrate" in read(page)
    assert " of TA: already there, as far as is known." in read(page)
    assert "Go to" not in read(page).partition("Next version")[2]
    assert "make_version" not in [button.key for button in page.button]
    assert not [table for table in tables(page) if "Per serving" in table]


def test_a_driver_that_may_not_be_noticed_has_a_bound_and_no_number(sample: AppTest) -> None:
    page = chosen(sample, "alcohol")
    text = told(page)

    assert re.search(r"> 0\.\d+ % vol alcohol", text)
    assert "If it is noticed at all. The largest step tasted was 0.17 % vol." in text
    curve = told(opened_tab(page, CURVE))
    assert "No curve: In a triangle test half of assessors notice a step in alcohol of" in curve
    assert "neutral spirit" not in text + curve


def test_a_selected_mark_names_its_session() -> None:
    assert session_picked({"selection": {CHOSEN: [{SESSION: "acid"}]}}) == "acid"
    assert session_picked({"selection": {CHOSEN: []}}) == ""
    assert session_picked(None) == ""


def test_every_closed_session_is_listed_whatever_its_method(sample: AppTest) -> None:
    page = section(sample, "All sessions")
    methods = set(tables(page)[-1]["Method"])
    assert methods == {"Triangle test", "Paired comparison", "Paired preference test"}
    assert len(tables(page)[-1]) == 23
    assert not page.exception


def every_number(page: AppTest) -> dict[str, str]:
    """By session the share who notice, as every table of the page has it."""
    cells = [
        (line["Session"], line[AS_TRIANGLE])
        for table in tables(page)
        if AS_TRIANGLE in table
        for line in table.to_dict("records")
    ]
    assert len(set(cells)) == len({name for name, _ in cells})
    return dict(cells)


def test_a_tetrad_reads_alike_in_both_sections(open_page: OpenPage, engine: Engine) -> None:
    keep(engine, closed(planned("tetrad", "tetrad", replicates=2), 16, 8), *some_closed())
    page = opened_tab(open_page("dashboard"), CURVE)
    beside, every = every_number(page), every_number(section(page, "All sessions"))

    assert beside["Session tetrad"] == every["Session tetrad"]
    assert beside["Session tetrad"].startswith("29 ")
    assert beside["Session acid"] == every["Session acid"]


def test_a_preference_is_said_to_be_in_the_table_only(sample: AppTest) -> None:
    text = read(section(sample, "All sessions"))

    assert "of 23 sessions are in the table only" in text
    assert "A preference gives a lead instead" in text


def chosen(page: AppTest, *keys: str) -> AppTest:
    return page.multiselect(key="dashboard_drivers").set_value(list(keys)).run()


SECTIONS = ("Noticeable steps", "Predict a test", "Next session", "Next version", "All sessions")


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

    curve = opened_tab(page, CURVE).segmented_control(key="curve-sugar-alcohol")
    assert curve.options == ["sugar", "alcohol"]
    assert "need both as drivers" in text
    assert "stated truths" not in str([one.label for one in page.expander])
    assert "need both as drivers" in read(section(page, "Next version"))
    assert "share who notice, by step in alcohol" in read(section(page, "All sessions")).casefold()


def test_without_a_driver_acid_and_sugar_stay(sample: AppTest) -> None:
    before = told(sample)

    assert told(chosen(sample)) == before


def test_the_versions_stand_beside_the_label(sample: AppTest) -> None:
    page = section(sample, "Against the label")
    assert page.subheader[0].value == "Rhubarb and bay spritz against Reference bottle R"
    assert not page.exception


@pytest.fixture
def two(engine: Engine) -> None:
    """The spritz, tasted last, and a younger formula."""
    keep(engine, *some_closed())
    first = SPRITZ.versions[0].model_copy(update={"id": "cordial-1"})
    other = {"id": "cordial", "name": "Bay cordial", "versions": (first,)}
    formulas.keep_formula(engine, SPRITZ.model_copy(update=other))


def called(host: AppTest, **query: str) -> str:
    """The heading of the dashboard, which is opened from another page."""
    visit(host, "drinks")
    return str(visit(host, "dashboard", **query).title[0].value)


@pytest.mark.usefixtures("two")
def test_the_address_asks_for_a_formula(host: AppTest) -> None:
    assert called(host) == SPRITZ.name
    assert called(host, id="cordial") == "Bay cordial"
    assert called(host, id="<b>") == SPRITZ.name


@pytest.mark.usefixtures("two")
def test_what_is_put_away_is_not_offered_unless_the_address_asks_for_it(
    engine: Engine, host: AppTest
) -> None:
    notes.archive(engine, SPRITZ.id)
    notes.archive(engine, "R")
    page = visit(host, "dashboard")
    assert page.title[0].value == "Bay cordial"
    assert page.selectbox(key="dashboard_formula").options == ["Bay cordial"]
    assert page.selectbox(key="dashboard_reference-cordial").options == ["Reference bottle S"]
    assert called(host, id=SPRITZ.id) == SPRITZ.name


@pytest.mark.usefixtures("two")
def test_where_all_is_put_away_the_dashboard_shows_it_all_the_same(
    engine: Engine, host: AppTest
) -> None:
    notes.archive(engine, SPRITZ.id)
    notes.archive(engine, "cordial")
    assert visit(host, "dashboard").title[0].value == SPRITZ.name
