"""How a new tasting is served, who tastes alone, and care for assessors."""

from collections.abc import Sequence
from math import isnan
from typing import Any

import streamlit as st
from sqlalchemy import Engine
from streamlit.delta_generator import DeltaGenerator

from tasting.panel import care
from tasting.panel.care import HostLimits
from tasting.panel.conduct import Conduct
from tasting.panel.entries import Event
from tasting.panel.plan import Plan
from tasting.records import checked, now
from tasting.store import formulas
from tasting.store.limits import confirmation, host_limits, keep_host_limits
from tasting.ui import fields, page

_ALONE = (
    "You fill the cups, shuffle them until you have lost track, choose a place and only then read "
    "the code under the cup. The session's page gives the steps."
)
_FLAT = "Carbonated: set a time limit under Serving so the fizz doesn't give cups away."
_CONDUCT = {
    "qualification": "How the assessors were chosen and trained",
    "room": "Room and conditions: light, noise, separate places",
    "palate_cleanser": "Palate cleanser between sets",
    "preparation": "How the samples are prepared",
}


def alone() -> bool:
    """Whether one person tastes without a helper."""
    return st.checkbox("I taste alone, without a helper", key="alone", help=_ALONE)


def one_person(who: DeltaGenerator, times: DeltaGenerator) -> tuple[Sequence[str], float]:
    """The pseudonym of who tastes alone, and the number of sets."""
    name = who.text_input("Your pseudonym", "P01", max_chars=60, key="alone_name")
    sets = fields.number("Sets", "alone_sets", 1, 20, 6, whole=True, place=times)
    return (name.strip(),), sets


def serving() -> dict[str, Any]:
    """Volume, temperature, time after opening, rest and spitting, as fields of the plan."""
    volume, cold, soon, rest = st.columns(4, vertical_alignment="bottom")
    serving_ml = fields.number("mL in a cup", "serving_ml", 5, 250, 30, place=volume)
    celsius = fields.optional_number(
        "Temperature in °C", "serving_celsius", 80.0, smallest=-5.0, place=cold
    )
    minutes = fields.optional_number(
        "Serve within (minutes of opening)",
        "minutes_open",
        240,
        "For drinks that lose bubbles or aroma.",
        smallest=1,
        whole=True,
        place=soon,
    )
    seconds = fields.number(
        "Rest between sets, seconds", "pause_seconds", 0, 900, 30, whole=True, place=rest
    )
    return {
        "serving_ml": serving_ml,
        "serving_celsius": celsius,
        "minutes_open": minutes,
        "pause_seconds": seconds,
        "spit": st.checkbox("Assessors spit (spittoons provided)", key="spit"),
    }


def numbers(served: dict[str, Any]) -> list[float | None]:
    """The numbers among what `serving` asked for."""
    return [
        served[name] for name in ("serving_ml", "serving_celsius", "minutes_open", "pause_seconds")
    ]


def conduct() -> Conduct | None:
    """What a report must name beside the design; None where all of it stays empty."""
    with st.expander("For the report: who leads, where, how"):
        led_by = st.text_input("Led by", key="led_by", max_chars=120)
        said = {
            name: st.text_input(label, key=f"conduct_{name}", max_chars=500)
            for name, label in _CONDUCT.items()
        }
    made = checked(Conduct, {"led_by": led_by, **said})
    return made if made != Conduct() else None


def limits(engine: Engine) -> None:
    """The host's country and limit; a change is kept for all sessions to come."""
    kept = host_limits(engine)
    st.markdown(f"**Your limit: {kept.ethanol_g:g} g of ethanol for each assessor**")
    country, grams = st.columns(2)
    countries = list(care.STANDARD_DRINKS)
    place = country.selectbox(
        "Standard drinks as counted in",
        countries,
        index=countries.index(kept.country),
        key="care_country",
    )
    most = fields.number(
        "Limit in grams of ethanol", "care_limit", 0, 100, kept.ethanol_g, place=grams
    )
    drink = care.STANDARD_DRINKS[place]
    st.caption(
        f"{drink.name}: {drink.grams:g} g ({drink.source}). You set this limit; it does not say "
        "what is safe. Local law and health advice come first."
    )
    wanted = kept if isnan(most) else HostLimits(country=place, ethanol_g=most)
    if wanted != kept:
        keep_host_limits(engine, wanted)


def told(plan: Plan, country: str) -> str:
    """What each assessor gets: one sentence."""
    return f"Each assessor gets {care.amount(plan, country)}."


def outlook(engine: Engine, plan: Plan) -> bool:
    """What each assessor gets; whether the host confirmed a plan that is above the limit."""
    drinks = [formulas.drink(engine, sample) for sample in (plan.a, plan.b)]
    if plan.minutes_open is None and care.going_flat(drinks):
        st.info(_FLAT)
    kept = host_limits(engine)
    st.write(page.escape_markdown(told(plan, kept.country)))
    return confirm(plan, kept, "confirm_limit")


def confirm(plan: Plan, kept: HostLimits, key: str) -> bool:
    """Above the limit: say so, and ask for a tick that goes on record."""
    said = care.above_limit(plan, kept)
    if not said:
        return False
    st.warning(
        page.escape_markdown(
            f"Above your limit: {said}. Plan fewer sets, pour less or plan spitting; or tick the "
            "box to go ahead anyway, which goes on record."
        )
    )
    return st.checkbox("I know, and every assessor will be told and may spit", key=key)


def events(engine: Engine, plan: Plan, confirmed: bool) -> tuple[Event, ...]:
    """What to put on record with a plan: that one above the limit was confirmed.

    Raises InputError for a plan above the limit that was not confirmed.
    """
    kept = host_limits(engine)
    care.check_limit(plan, kept, confirmed)
    said = care.above_limit(plan, kept)
    return (confirmation(said, now()),) if said else ()
