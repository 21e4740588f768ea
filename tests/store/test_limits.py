"""The host's limits are kept, and going above them is on record."""

from datetime import timedelta

import pytest
from sqlalchemy import Engine, insert

from tasting.errors import LifeCycleError
from tasting.panel.care import HostLimits
from tasting.store import limits, schema, sessions
from tasting.store.database import writing
from tests.ui.workshop import START, keep, opened, planned

LATER = START + timedelta(days=32)


def test_at_first_the_limits_are_the_usual_ones(engine: Engine) -> None:
    assert limits.host_limits(engine) == HostLimits()


def test_the_last_limits_are_kept(engine: Engine) -> None:
    for grams in (30, 8):
        limits.keep_host_limits(engine, HostLimits(country="United Kingdom", ethanol_g=grams))
    assert limits.host_limits(engine) == HostLimits(country="United Kingdom", ethanol_g=8)


def test_limits_of_another_program_give_way_to_the_usual_ones(engine: Engine) -> None:
    row = {"name": limits.LIMITS, "value": '{"country": "Atlantis"}'}
    with writing(engine) as connection:
        connection.execute(insert(schema.setting).values(row))
    assert limits.host_limits(engine) == HostLimits()


def test_a_plan_kept_with_its_confirmation_has_it_on_record(engine: Engine) -> None:
    keep(engine)
    event = limits.confirmation("30 g, above 20 g", LATER)
    plan = planned("one").model_copy(update={"events": (event,)})
    sessions.plan_session(engine, plan)

    assert limits.confirmed_above_limit(engine, "one")
    assert [event.what for event in sessions.events(engine, "one")] == [limits.CONFIRMED, "planned"]


def test_a_planned_session_may_be_confirmed_before_it_is_opened(engine: Engine) -> None:
    keep(engine, planned("one"))
    assert not limits.confirmed_above_limit(engine, "one")
    limits.confirm_above_limit(engine, "one", "30 g, above 20 g", LATER)
    assert limits.confirmed_above_limit(engine, "one")


def test_an_open_session_is_past_confirming(engine: Engine) -> None:
    keep(engine, opened(planned("one")))
    with pytest.raises(LifeCycleError, match="is open, not planned"):
        limits.confirm_above_limit(engine, "one", "30 g", LATER)
