"""What a session is, in a line, with samples called by their version within one formula."""

from tasting.panel.plan import Plan
from tasting.wording import UNKNOWN, appointment


def in_short(plan: Plan) -> str:
    """Method, samples and panel: "Triangle test · v10 and R · 8 assessors × 2 sets"."""
    method = plan.procedure.name.split(",")[0]
    return shortened(f"{method} · {plan.a.name} and {plan.b.name} · {_panel(plan)}", plan)


def planned_for(plan: Plan) -> str:
    """That it is planned, and for when: "Planned for 28 Nov 2026, 19:30"."""
    said = appointment(plan.taste_on, plan.taste_at)
    return "Planned" if said == UNKNOWN else f"Planned for {said}"


def _panel(plan: Plan) -> str:
    """How many assessors with how many sets."""
    people, sets = len(plan.assessors), plan.replicates
    many = "assessor" if people == 1 else "assessors"
    return f"{people} {many} × {sets} {'set' if sets == 1 else 'sets'}"


def shortened(text: str, plan: Plan) -> str:
    """The text with both samples called by their version, where no other formula is compared."""
    formulas = {one.name.partition(", ")[0] for one in (plan.a, plan.b) if one.kind == "version"}
    if len(formulas) != 1:
        return text
    return text.replace(f"{formulas.pop()}, ", "")
