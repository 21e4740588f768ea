"""What a session is, in a line: used wherever one is listed or headed."""

from tasting.panel.plan import Plan


def in_short(plan: Plan) -> str:
    """Method, samples and panel: "Triangle test · v10 and R · 8 assessors × 2 sets"."""
    method = plan.procedure.name.split(",")[0]
    return f"{method} · {plan.a.name} and {plan.b.name} · {panel_in_short(plan)}"


def panel_in_short(plan: Plan) -> str:
    """How many assessors with how many sets."""
    people, sets = len(plan.assessors), plan.replicates
    many = "assessor" if people == 1 else "assessors"
    return f"{people} {many} × {sets} {'set' if sets == 1 else 'sets'}"
