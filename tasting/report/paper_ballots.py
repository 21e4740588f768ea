"""Ballots on paper: a slip for each set, with the codes in serving order and no sample's name."""

from collections.abc import Sequence
from itertools import groupby

from tasting.panel.ballots import Slip
from tasting.panel.care import amount, notices
from tasting.panel.plan import Plan
from tasting.report.printing import page


def paper_ballots_html(
    sealed: str,
    plan: Plan,
    slips: Sequence[Slip],
    country: str = "Elsewhere",
    *,
    invented: bool = False,
) -> str:
    """The ballots as an HTML page of its own, assessor by assessor; `country` is the host's.

    The name of the session may tell too much, so the beginning of its seal stands in its place; of
    invented data no more is said than that they are.
    """
    return page(
        "paper_ballots.html",
        mark=sealed[:8],
        question=plan.question,
        preferred=plan.procedure.question_kind == "preference",
        notices=notices(plan.allergens, plan.alcohol_percent_vol),
        gets=amount(plan, country),
        alcohol=plan.alcohol_percent_vol > 0,
        spit=plan.spit,
        invented=invented,
        by_assessor=[(who, tuple(own)) for who, own in groupby(slips, lambda slip: slip.assessor)],
    )
