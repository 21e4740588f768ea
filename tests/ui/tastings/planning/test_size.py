"""The plan page's questions about what is to be shown."""

from collections.abc import Callable

import pytest
from scipy.stats import binom
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.store import sessions
from tests.ui import workshop
from tests.ui.reading import read, tables

OpenPage = Callable[[str], AppTest]


@pytest.fixture
def page(engine: Engine, open_page: OpenPage) -> AppTest:
    """The page with some drinks to compare."""
    workshop.keep(engine)
    return open_page("new")


def panel(page: AppTest, people: int) -> None:
    """So many assessors with one set each."""
    page.text_input(key="people").set_value(str(people)).run()
    page.text_input(key="replicates").set_value("1").run()


def kept(engine: Engine, page: AppTest):
    page.text_input(key="name").input("Planned")
    page.button(key="keep").click().run()
    (found,) = sessions.summaries(engine)
    return found.plan


def test_a_similarity_by_distance_is_kept_by_its_share(engine: Engine, page: AppTest) -> None:
    """d-prime 1.5 is p_d 0.2597 in a triangle."""
    page.radio(key="question").set_value("Are they similar?").run()
    page.radio(key="size_by").set_value("Sensory distance, d′").run()
    page.text_input(key="d_prime").set_value("1.5").run()

    assert "that fewer than 26 % notice (d′ = 1.5): actual β = " in read(page)
    plan = kept(engine, page)
    assert (plan.aim, plan.p_d) == ("similarity", pytest.approx(0.259684, abs=1e-6))


def test_a_sequential_session_may_aim_at_similarity_with_a_beta_of_its_own(
    engine: Engine, page: AppTest
) -> None:
    page.radio(key="question").set_value("Are they similar?").run()
    page.checkbox(key="sequential").check().run()
    panel(page, 33)

    assert "it can stop, with a difference or with similarity, at a risk of β = 0.05." in read(page)
    plan = kept(engine, page)
    assert (plan.sequential, plan.aim, plan.beta) == (True, "similarity", 0.05)
    assert (plan.first_look, plan.look_every) == (9, 5)


def test_a_sequential_plan_for_a_difference_says_that_it_concludes_no_similarity(
    engine: Engine, page: AppTest
) -> None:
    page.checkbox(key="sequential").check().run()
    panel(page, 13)

    assert "tastings on average if nobody notices" in read(page)
    assert "at each look it can stop, with a difference or without one." in read(page)
    assert "It never concludes similarity" in page.checkbox(key="sequential").help
    assert kept(engine, page).sequential is True


def test_looks_are_fixed_with_the_plan(engine: Engine, page: AppTest) -> None:
    page.checkbox(key="sequential").check().run()
    page.text_input(key="p_d-0.5").set_value("0.3").run()
    panel(page, 30)
    first, every = (
        next(one for one in page.text_input if one.key.startswith(key))
        for key in ("first-look", "look-every")
    )
    assert (first.value, every.value) == ("13", "5")
    every.set_value("8").run()

    assert "looks after 13 answers, then after every 8 more" in read(page)
    assert "The last look comes after 29 answers; later ones count for the estimates" in read(page)
    plan = kept(engine, page)
    assert (plan.first_look, plan.look_every) == (13, 8)


def test_a_panel_too_small_for_the_first_look_is_not_kept(engine: Engine, page: AppTest) -> None:
    page.checkbox(key="sequential").check().run()
    page.text_input(key="p_d-0.5").set_value("0.3").run()
    panel(page, 8)
    page.text_input(key="name").input("Planned")
    page.button(key="keep").click().run()

    assert "The first look comes after 13 answers: plan at least that many." in read(page)
    assert "but 8 are planned; plan more tastings or an earlier look" in page.error[0].value
    assert sessions.summaries(engine) == ()


def test_repeated_sets_with_a_direction_are_warned_of(page: AppTest) -> None:
    page.radio(key="question").set_value("Which is more …?").run()
    page.text_input(key="replicates").set_value("3").run()

    assert any("counts assessors, not answers" in warning.value for warning in page.warning)


def test_a_preference_is_planned_by_its_lead(page: AppTest) -> None:
    page.radio(key="question").set_value("Which is preferred?").run()

    assert page.text_input(key="beta").label == "β: risk of missing a lead this large"
    (lead,) = (one for one in page.text_input if one.label.startswith("Lead of one sample"))
    assert "notice" not in lead.help


def test_a_small_panel_is_told_how_often_it_misses(page: AppTest) -> None:
    panel(page, 8)
    assert "A difference that 50 % notice would be missed " in read(page)


def test_a_preference_may_offer_no_preference(engine: Engine, page: AppTest) -> None:
    page.radio(key="question").set_value("Which is preferred?").run()
    page.checkbox(key="no_preference").check().run()

    assert not [radio for radio in page.radio if radio.key in ("size_by",)]
    assert kept(engine, page).no_preference is True


def test_a_contrast_is_planned_by_distance_alone(page: AppTest) -> None:
    page.selectbox(key="method").select("same-different").run()

    assert "there is no p_d: plan by" in read(page)
    assert any("more than 400 sets" in error.value.casefold() for error in page.error)
    page.text_input(key="d_prime").set_value("2.0").run()
    assert "You need 60 sets" in read(page)
    assert not page.exception


def test_a_method_that_needs_a_direction_takes_b_as_the_stronger(
    engine: Engine, page: AppTest
) -> None:
    page.radio(key="question").set_value("Which is more …?").run()
    page.selectbox(key="method").select("3-afc").run()

    assert "Sample B must be the one that you expect to have more" in read(page)
    assert kept(engine, page).expected == "B"


def test_the_table_of_methods_begins_with_what_the_plan_needs(page: AppTest) -> None:
    """Not with d′ = 1, for which the plan's own method would need 202 instead of 16."""
    methods = next(one for one in tables(page) if "Tastings" in one and "Cups" in one)
    chosen = methods[methods["Method"] == "Triangle test (chosen)"]

    assert "You need 16 tastings" in read(page)
    assert chosen["Tastings"].tolist() == ["16"]


def test_repeated_sets_are_said_to_be_counted_as_independent(page: AppTest) -> None:
    """8 assessors with 2 sets each are proposed; as 8 tastings they have a power of 47 % (scipy's
    binomial tail with 6 correct needed)."""
    assert "This counts all 16 answers as independent" in read(page)
    assert f"power would be {100 * binom.sf(5, 8, 2 / 3):.0f} %." in read(page)


def test_looks_that_raise_a_risk_are_warned_of(page: AppTest) -> None:
    page.checkbox(key="sequential").check().run()
    panel(page, 13)

    (warning,) = [one.value for one in page.warning if "raise a risk" in one.value]
    assert "α = 0.059 instead of 0.05" in warning
    assert "actual risks" not in read(page)
