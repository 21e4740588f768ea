"""The one place that writes the sentences of a finding; `cautions` says what limits it.

A test that shows no difference shows just that: the words never call two samples the same.
"""

from math import ceil

from tasting.insight.findings.evidence import Evidence, Verdict
from tasting.insight.findings.tally import Tally
from tasting.stats.results import Estimate


def headline(tally: Tally, found: Evidence) -> str:
    """The finding in one line."""
    if found.verdict is Verdict.SMALL:
        return (
            f"A difference between {tally.a} and {tally.b} was shown, and that fewer than "
            f"{_percent(tally.p_d)} notice it: small but real"
        )
    if found.verdict is Verdict.SIMILARITY:
        return (
            f"Similarity was shown: fewer than {_percent(tally.p_d)} notice a difference between "
            f"{tally.a} and {tally.b}"
        )
    return _shown(tally) if found.verdict.difference else _not_shown(tally)


def _shown(tally: Tally) -> str:
    if tally.method.question_kind == "difference":
        return f"A difference was shown between {tally.a} and {tally.b}"
    chosen, other = _chosen(tally)
    if tally.method.question_kind == "preference":
        return f"{chosen} was preferred to {other}"
    return f"{chosen} was found {tally.attribute} than {other}"


def _not_shown(tally: Tally) -> str:
    if tally.method.question_kind == "difference":
        return f"{tally.a} and {tally.b} were not shown to differ"
    if tally.method.question_kind == "preference":
        return f"No preference was shown between {tally.a} and {tally.b}"
    if tally.expected:
        chosen, other = _chosen(tally)
        return f"{chosen} was not shown to be {tally.attribute} than {other}"
    return f"Neither {tally.a} nor {tally.b} was shown to be {tally.attribute}"


def _chosen(tally: Tally) -> tuple[str, str]:
    """The sample that was expected, or chosen more often, and the other one."""
    favoured = tally.expected or ("B" if 2 * tally.count >= tally.n else "A")
    return (tally.b, tally.a) if favoured == "B" else (tally.a, tally.b)


def sentences(tally: Tally, found: Evidence) -> tuple[str, ...]:
    """The counts and their test, how much was noticed, what stays open, one next step."""
    parts = (
        _test(tally, found),
        _extent(tally, found),
        _similarity(tally, found),
        _undecided(tally, found),
        _spread(found),
        _next_step(tally, found),
    )
    return tuple(part for part in parts if part)


def _test(tally: Tally, found: Evidence) -> str:
    if tally.sequential:
        return _sequential(tally, found)
    if tally.by_option:
        return _contrast(tally, found)
    tested = _needed(tally, found)
    sides = {1: "one-sided", 2: "two-sided"}[tally.sides]
    return f"{_counts(tally)}; {tested} (exact {sides} p {_probability(found.p_value)})."


def _counts(tally: Tally) -> str:
    if tally.method.question_kind == "difference" or tally.method.directional_b:
        return f"{tally.count} of {tally.n} answers were correct"
    chosen, _ = _chosen(tally)
    count = tally.count if tally.sides == 1 else tally.extreme
    verb = (
        "preferred" if tally.method.question_kind == "preference" else f"called {tally.attribute}"
    )
    return f"{chosen} was {verb} in {count} of {tally.n} answers"


def _needed(tally: Tally, found: Evidence) -> str:
    if found.critical is None:
        return "as people answered more than once, whole people were weighed, not answers"
    if found.critical.value > tally.n:
        return f"with n = {tally.n} no score could show a difference at α = {tally.alpha:g}"
    source, row = "by the exact binomial", found.critical.row
    if row:
        source = f"{row.source}, row n = {row.n}, α = {row.alpha:g}"
    return (
        f"at least {found.critical.value} were needed at α = {tally.alpha:g}, n = {tally.n} "
        f"[{source}]"
    )


def _contrast(tally: Tally, found: Evidence) -> str:
    none, some = tally.by_option or ((), ())
    counts = [
        f"{_saying(tally, row)} of {sum(row)} sets with {what}"
        for row, what in ((some, "a difference"), (none, "none"))
    ]
    return (
        f"A difference was reported for {counts[0]} and for {counts[1]} (Fisher's exact test, "
        f"one-sided p {_probability(found.p_value)}, α = {tally.alpha:g}, n = {tally.n})."
    )


def _saying(tally: Tally, row: tuple[int, ...]) -> int:
    order = tally.method.orders[0]
    return sum(times for option, times in enumerate(row) if tally.method.is_counted(order, option))


def _sequential(tally: Tally, found: Evidence) -> str:
    risks = f"α = {tally.alpha:g}, β = {tally.beta:g}, p_d = {tally.p_d:g}"
    if found.decided_after is None:
        return (
            f"Wald's sequential test ({risks}) had not decided after {tally.n} answers, "
            f"{tally.count} of them correct."
        )
    if found.verdict is Verdict.NEITHER:
        return (
            f"Wald's sequential test ({risks}) reached its line for similarity after "
            f"{found.decided_after} of {tally.n} answers; as people answered more than once, "
            f"similarity is not concluded. {tally.count} of {tally.n} were correct."
        )
    decided = "a difference" if found.verdict.difference else "similarity"
    return (
        f"Wald's sequential test ({risks}) decided for {decided} after {found.decided_after} of "
        f"{tally.n} answers; {tally.count} of {tally.n} were correct."
    )


def _probability(p_value: float | None) -> str:
    if p_value is None:
        return "not given"
    return "< 0.0001" if p_value < 0.0001 else f"= {p_value:.4f}"


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _extent(tally: Tally, found: Evidence) -> str:
    """How much was noticed, and what the answers leave open."""
    said = [_share(tally, found.noticed), _distance(tally, found)]
    if not found.verdict.difference and not found.verdict.similarity:
        said.append(_left_open(tally, found))
    return " ".join(part for part in said if part)


def _share(tally: Tally, noticed: Estimate | None) -> str:
    if noticed is None:
        return ""
    value, low, high = (_percent(part) for part in (noticed.value, noticed.low, noticed.high))
    interval = f"two-sided 95 % interval {low} to {high}"
    if tally.method.question_kind == "preference":
        return f"The lead of one sample over the other was {value} of answers ({interval})."
    return f"The difference was noticed in about {value} of tastings ({interval})."


def _distance(tally: Tally, found: Evidence) -> str:
    """Two-sided, the distance is counted towards the sample that was chosen more often."""
    if found.distance is None:
        return ""
    kind = "likelihood" if tally.by_option else "exact"
    what = (
        "Distance in liking" if tally.method.question_kind == "preference" else "Sensory distance"
    )
    ends = (found.distance.value, found.distance.low, found.distance.high)
    towards = ""
    if tally.sides == 2:
        chosen, _ = _chosen(tally)
        towards = f", counted towards {chosen}"
        ends = ends if chosen == tally.b else (-ends[0], -ends[2], -ends[1])
    value, low, high = map(two_decimals, ends)
    return f"{what} d′ = {value}{towards} (95 % {kind} interval {low} to {high})."


def two_decimals(value: float) -> str:
    """Two decimals; a perfect score has no finite distance."""
    return f"{value + 0.0:.2f}".replace("inf", "∞").replace("-", "\N{MINUS SIGN}")


def _left_open(tally: Tally, found: Evidence) -> str:
    liking = tally.method.question_kind == "preference"
    said = f"That is not evidence of {'equal liking' if liking else 'no difference'}"
    if found.missed is None:
        return f"{said}."
    if liking:
        return f"{said}: a lead of less than {_percent(found.missed)} could well have been missed."
    return (
        f"{said}: this panel could well have missed one that fewer than {_percent(found.missed)} "
        "notice."
    )


def _similarity(tally: Tally, found: Evidence) -> str:
    if found.verdict.similarity and found.p_d_limit is not None:
        most = ceil(100 * found.p_d_limit) / 100  # an upper limit is never rounded down
        return (
            f"With a risk of β = {tally.beta:g}, at most {_percent(most)} notice a "
            f"difference, fewer than the {_percent(tally.p_d)} that were planned."
        )
    if not tally.similarity_aim:
        return ""
    if tally.count < tally.n * tally.method.chance:
        return "Fewer answers were correct than guessing gives: similarity is not concluded."
    return f"Similarity at p_d = {_percent(tally.p_d)}, β = {tally.beta:g} was not shown."


def _undecided(tally: Tally, found: Evidence) -> str:
    if found.preference is None:
        return ""
    seen = found.preference
    return (
        f"{tally.undecided} of {len(tally.given)} answers preferred neither. Leaving them out: "
        f"p {_probability(seen.dropped_p_value)}; halving them: p "
        f"{_probability(seen.split_p_value)}; as an answer of its own (Davidson 1970): p "
        f"{_probability(seen.model.p_value)}."
    )


def _spread(found: Evidence) -> str:
    if found.replicates is None:
        return ""
    gamma = found.replicates.gamma
    return (
        "How much the assessors differ among themselves: γ = "
        f"{gamma.value:.2f} (0 none, 1 all; 95 % interval {gamma.low:.2f} to {gamma.high:.2f})."
    )


def _next_step(tally: Tally, found: Evidence) -> str:
    """One thing to do next."""
    asks = tally.method.question_kind
    if found.verdict is Verdict.SIMILARITY:
        return "Next: keep this version, and write down for which p_d it was shown to be similar."
    if not found.verdict.difference and len(tally.given) < tally.planned:
        return "Next: run it again with all the tastings that were planned."
    if not found.verdict.difference and tally.by_option:
        return "Next: if a smaller difference matters, plan a session with more sets."
    if not found.verdict.difference:
        return "Next: if a smaller difference matters, plan a session with a smaller p_d."
    if asks == "difference":
        return "Next: ask in which direction with a paired comparison: which one is more sour?"
    if asks == "direction":
        return "Next: move the formula towards the reference by less than this step; taste again."
    return "Next: keep the preferred version as the parent of the next one."
