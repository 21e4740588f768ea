"""Planning with care: how it is served, who tastes alone, and the host's limit."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.panel.care import HostLimits
from tasting.panel.plan import Plan
from tasting.store import limits, sessions
from tasting.ui.tastings.planning.care import told
from tests.ui import workshop
from tests.ui.workshop import planned

OpenPage = Callable[[str], AppTest]


def said(plan: Plan, country: str = "Elsewhere") -> str:
    """What the page says of an intake."""
    return told(plan, country)


def test_without_alcohol_only_the_volume_is_told() -> None:
    assert said(planned("one").plan) == "Each assessor gets 3 cups, 90 mL in all."


def test_alcohol_is_told_in_grams_and_in_drinks_of_the_country() -> None:
    """90 mL at 12 % vol hold 8.52 g: 0.78924 g/mL (OIML R 22, 1975)."""
    plan = planned("one", alcohol_percent_vol=12.0).plan
    assert "at most 8.5 g of ethanol, 1.1 UK units, if all is swallowed" in said(
        plan, "United Kingdom"
    )
    assert "0.6 US standard drinks" in said(plan, "United States")


def test_a_trace_of_alcohol_is_not_told_as_no_drink_at_all() -> None:
    assert "less than 0.1 standard drinks" in said(planned("one", alcohol_percent_vol=0.5).plan)


def test_spitting_is_told() -> None:
    assert "spitting is planned" in said(planned("one", alcohol_percent_vol=12.0, spit=True).plan)


@pytest.fixture
def page(engine: Engine, open_page: OpenPage) -> AppTest:
    """The page with two drinks to compare, of which the reference holds 0.5 % vol."""
    workshop.keep(engine)
    page = open_page("new")
    page.text_input(key="name").input("Careful")
    return page.run()


def keep(page: AppTest) -> AppTest:
    return page.button(key="keep").click().run()


def test_serving_is_part_of_the_plan(engine: Engine, page: AppTest) -> None:
    page.text_input(key="serving_celsius").set_value("6.0")
    page.text_input(key="minutes_open").set_value("20")
    page.text_input(key="pause_seconds").set_value("60")
    page.checkbox(key="spit").check()
    keep(page)
    plan = sessions.summaries(engine)[0].plan
    assert (plan.serving_celsius, plan.minutes_open, plan.pause_seconds) == (6.0, 20, 60)
    assert (plan.spit, plan.alone) == (True, False)


def test_for_a_carbonated_sample_it_asks_how_soon_to_serve(page: AppTest) -> None:
    assert not page.info
    page.selectbox(key="b").select("Rhubarb and bay spritz, v1").run()
    assert "Carbonated: set a time limit" in page.info[0].value
    page.text_input(key="minutes_open").set_value("20").run()
    assert not page.info


def test_who_tastes_alone_needs_one_pseudonym(engine: Engine, page: AppTest) -> None:
    page.checkbox(key="alone").check().run()
    keep(page)
    plan = sessions.summaries(engine)[0].plan
    assert (plan.alone, plan.assessors, plan.replicates) == (True, ("P01",), 6)


def test_above_the_limit_a_plan_is_kept_only_with_a_tick_that_goes_on_record(
    engine: Engine, page: AppTest
) -> None:
    page.text_input(key="care_limit").set_value("0.1").run()
    keep(page)
    assert any("above the limit" in error.value for error in page.error)
    assert sessions.summaries(engine) == ()

    page.checkbox(key="confirm_limit").check()
    keep(page)
    (kept,) = sessions.summaries(engine)
    assert limits.confirmed_above_limit(engine, kept.id)


def test_the_limit_and_the_country_are_kept(engine: Engine, page: AppTest) -> None:
    page.text_input(key="care_limit").set_value("12.0")
    page.selectbox(key="care_country").select("United States").run()
    assert limits.host_limits(engine) == HostLimits(country="United States", ethanol_g=12)
    assert not page.exception
