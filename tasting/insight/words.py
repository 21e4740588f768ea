"""The one place that writes the sentences of a finding.

A test that shows no difference shows just that: the words never call two samples the same.
"""

from tasting.insight.tally import Tally
from tasting.stats.results import Estimate
from tasting.stats.tables import CriticalNumber


def headline(tally: Tally, shown: bool) -> str:
    """The finding in one line."""
    if not shown:
        return _not_shown(tally)
    if tally.method.asks == "difference":
        return f"A difference was shown between {tally.a} and {tally.b}"
    chosen, other = _chosen(tally)
    if tally.method.asks == "preference":
        return f"{chosen} was preferred to {other}"
    return f"{chosen} was found {tally.attribute} than {other}"


def _not_shown(tally: Tally) -> str:
    if tally.method.asks == "difference":
        return f"{tally.a} and {tally.b} were not shown to differ"
    if tally.method.asks == "preference":
        return f"No preference was shown between {tally.a} and {tally.b}"
    if tally.expected:
        chosen, other = _chosen(tally)
        return f"{chosen} was not shown to be {tally.attribute} than {other}"
    return f"Neither {tally.a} nor {tally.b} was shown to be {tally.attribute}"


def _chosen(tally: Tally) -> tuple[str, str]:
    """The sample that was expected, or chosen more often, and the other one."""
    favoured = tally.expected or ("B" if 2 * tally.count >= tally.n else "A")
    return (tally.b, tally.a) if favoured == "B" else (tally.a, tally.b)


def evidence(tally: Tally, critical: CriticalNumber, p_value: float) -> str:
    """Counts, critical number with its source, and the exact p-value."""
    sides = {1: "one-sided", 2: "two-sided"}[tally.sides]
    exact = f"exact {sides} p {_probability(p_value)}"
    return f"{_counts(tally)}; {_needed(tally, critical)} ({exact})."


def _counts(tally: Tally) -> str:
    if tally.method.asks == "difference":
        return f"{tally.count} of {tally.n} answers were correct"
    chosen, _ = _chosen(tally)
    count = tally.count if tally.sides == 1 else tally.extreme
    verb = "preferred" if tally.method.asks == "preference" else f"called {tally.attribute}"
    return f"{chosen} was {verb} in {count} of {tally.n} answers"


def _needed(tally: Tally, critical: CriticalNumber) -> str:
    if critical.value > tally.n:
        return f"with n = {tally.n} no score could show a difference at α = {tally.alpha:g}"
    source = "by the exact binomial"
    if critical.row:
        source = f"{critical.row.source}, row n = {critical.row.n}, α = {critical.row.alpha:g}"
    return f"at least {critical.value} were needed at α = {tally.alpha:g}, n = {tally.n} [{source}]"


def _probability(p_value: float) -> str:
    return "< 0.0001" if p_value < 0.0001 else f"= {p_value:.4f}"


def extent(tally: Tally, noticed: Estimate, shown: bool) -> str:
    """How much was noticed, and what the answers leave open."""
    value, low, high = (
        f"{100 * share:.0f}" for share in (noticed.value, noticed.low, noticed.high)
    )
    interval = f"95 % interval {low} to {high} %, two-sided"
    if tally.method.asks == "preference":
        said = f"The lead of one sample over the other was {value} % of answers ({interval})."
        open_ = f"equal liking: a lead of up to {high} % of answers would fit these answers."
    else:
        said = f"The difference was noticed in about {value} % of tastings ({interval})."
        open_ = f"no difference: one noticed in up to {high} % of tastings would fit these answers."
    return said if shown else f"{said} That is not evidence of {open_}"


def next_step(tally: Tally, shown: bool) -> str:
    """One thing to do next."""
    asks = tally.method.asks
    if not shown and tally.n < tally.planned:
        return "Next: run it again with all the tastings that were planned."
    if not shown:
        return "Next: if a smaller difference matters, plan a session with a smaller p_d."
    if asks == "difference":
        return "Next: ask in which direction with a paired comparison: which one is more sour?"
    if asks == "direction":
        return (
            "Next: move the formula towards the reference by less than this step and taste again."
        )
    return "Next: keep the preferred version as the parent of the next one."


def cautions(tally: Tally) -> tuple[str, ...]:
    """What limits the finding."""
    notes = []
    if tally.n < tally.planned:
        notes.append(
            f"Closed early, with {tally.n} of {tally.planned} planned answers: {tally.early_reason}"
        )
    if tally.assessors == 1:
        notes.append("All answers are by one assessor: this speaks for that person only.")
    elif tally.replicated:
        notes.append(
            f"{tally.assessors} assessors gave {tally.n} answers: repeated answers of one person "
            "are not independent, so the interval speaks for these assessors, not for others."
        )
    if tally.replicated and tally.method.asks == "preference":
        notes.append(
            "Repeated preferences count one person's liking several times: do not read the p-value "
            "as evidence about other people."
        )
    return tuple(notes)
