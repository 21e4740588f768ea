"""What half of assessors notice, as three numbers and what they are in the glass."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

import streamlit as st

from tasting.drink.label import Reference
from tasting.insight.noticing.model import ThresholdModel
from tasting.insight.noticing.pinches import Pinch
from tasting.insight.noticing.steps import Noticed, StepBound, StepSize
from tasting.insight.noticing.words import amount_in, listed
from tasting.wording import interval, number


@dataclass(frozen=True, slots=True)
class StepCard:
    """A number with its unit, and what it means with its range."""

    number: str
    says: str


def _card(one: Noticed) -> StepCard:
    """A step with what it is in a serving; where it may not be noticed at all, the bound alone."""
    if isinstance(one, StepBound):
        least = amount_in(one.driver, one.difference_threshold.amount)
        tasted = amount_in(one.driver, one.largest_tasted)
        says = f"If it is noticed at all. The largest step tasted was {tasted}."
        return StepCard(f"> {least} {one.driver.short}", says)
    half = one.difference_threshold
    ends = interval(half.amount.low, half.amount.high)
    unit = f" {one.driver.unit}" if one.driver.unit else ""
    amounts = " or ".join(map(_pinch, half.practice))
    inside = f"{amounts} in a {half.practice[0].serving_ml:.0f} mL serving " if amounts else ""
    says = f"{inside}({ends}{unit}{_extrapolated(half)})."
    return StepCard(f"+{amount_in(one.driver, half.amount.value)} {one.driver.short}", says)


def _pinch(pinch: Pinch) -> str:
    """An amount of an ingredient by its first name."""
    return f"{number(pinch.amount.value)} {pinch.unit} {pinch.name.partition(',')[0]}"


def _extrapolated(size: StepSize) -> str:
    if not size.extrapolated["high"]:
        return ""
    return ", extrapolated" if size.extrapolated["value"] else ", upper end extrapolated"


def _gap(noticing: ThresholdModel, reference: Reference | None) -> Iterator[StepCard]:
    gap = noticing.character_gap
    if gap is None or reference is None:
        return
    found = gap.estimate
    alike = listed([driver.short for driver in noticing.drivers])
    says = f"Left after {alike} match (best {number(found.value)})."
    yield StepCard(f"d′ {interval(found.low, found.high)}", says)


def show(noticing: ThresholdModel, reference: Reference | None) -> None:
    """The cards, one below the other: a card for each driver that is known, and one for what is
    left of the distance from the reference."""
    with st.container(border=True, key="half"):
        st.html('<h2 class="asks">Half of assessors notice</h2>')
        found = list(map(_card, noticing.noticed))
        _show(found)
        if not found:
            st.html('<p class="soft">Not known yet: no closed session shows it.</p>')
        left = list(_gap(noticing, reference))
        if reference and left:
            st.html(f'<h2 class="asks">Distance from {escape(reference.name)}</h2>')
            _show(left)


def _show(found: Sequence[StepCard]) -> None:
    for one in found:
        st.html(f'<p class="num">{escape(one.number)}</p><p class="soft">{escape(one.says)}</p>')
