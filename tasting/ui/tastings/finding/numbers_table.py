"""The numbers of a finding as tables: a finding in, data frames out."""

from collections.abc import Iterator

import pandas as pd

from tasting.insight.findings.evidence import Evidence
from tasting.insight.findings.finding import Finding
from tasting.insight.findings.tally import Tally
from tasting.insight.findings.words import two_decimals
from tasting.stats.binomial import p_value, proportion_interval
from tasting.stats.replicates import variance_inflation
from tasting.stats.results import Estimate, Interval
from tasting.ui.tastings.planning.size_words import share

COLUMNS = ("Quantity", "Value", "95 % interval", "How")
NONE = "–"
STOP = "exact, the sequential stop allowed for; from the answers up to the decision"
Row = tuple[str, str, str, str]


def numbers_table(found: Finding) -> pd.DataFrame:
    """Every number of a finding with its interval and how it was reached."""
    tally, weight = found.tally, found.evidence
    rows = [
        *_test(tally, weight),
        *_share(tally),
        *_noticed(tally, weight),
        *_distance(tally, weight),
        *_similarity(tally, weight),
        *_replicates(tally, weight),
        *_ties(weight),
    ]
    return pd.DataFrame(rows, columns=list(COLUMNS))


def narrow(table: pd.DataFrame) -> pd.DataFrame:
    """The same with the interval behind its value, which a phone shows without scrolling."""
    value, interval = COLUMNS[1:3]
    both = [
        one if two == NONE else f"{one} ({two})"
        for one, two in zip(table[value], table[interval], strict=True)
    ]
    return pd.DataFrame(
        {
            COLUMNS[0]: table[COLUMNS[0]],
            f"{value} ({interval})": both,
            COLUMNS[3]: table[COLUMNS[3]],
        }
    )


def _test(tally: Tally, weight: Evidence) -> Iterator[Row]:
    if weight.p_value is None:
        return
    sides = "one-sided" if tally.sides == 1 else "two-sided"
    how = f"exact binomial, {sides}"
    if tally.by_option:
        how = "Fisher's exact test, one-sided"
    elif tally.method.question_kind == "preference" and tally.clustered:
        how = "exact, whole assessors turned round, two-sided"
    elif tally.clustered:
        how += (
            "; answers of the same people pooled, which is allowed: without a difference each is "
            "a guess, whoever makes it"
        )
    yield "p", _p(weight.p_value), NONE, how


def _share(tally: Tally) -> Iterator[Row]:
    """Two-sided, the share that chose B."""
    if tally.by_option:
        return
    interval = _percents(proportion_interval(tally.count, tally.n))
    how = "exact (Clopper and Pearson 1934)"
    if tally.sequential:
        interval, how = NONE, "all answers, those after the decision too"
    of = f"choices of {tally.b}" if tally.sides == 2 else "answers that count"
    value = f"{tally.count} of {tally.n}, {share(tally.count / tally.n)}"
    yield f"Share of {of}", value, interval, how


def _noticed(tally: Tally, weight: Evidence) -> Iterator[Row]:
    if weight.noticed is None:
        return
    lead = tally.method.question_kind == "preference"
    name = "Lead of one sample" if lead else "Share that noticed, p_d"
    value = share(weight.noticed.value)
    how = STOP if tally.sequential else "exact, from the share above"
    yield name, value, _percents(weight.noticed.interval), how
    if weight.missed is not None:
        how = f"smallest p_d shown with a power of {share(1 - tally.beta)}"
        yield "Could be detected", share(weight.missed), NONE, how


def _distance(tally: Tally, weight: Evidence) -> Iterator[Row]:
    if weight.distance is None:
        return
    value = two_decimals(weight.distance.value)
    if tally.sequential:
        yield "Sensory distance d′", value, _twos(weight.distance.interval), STOP
        return
    if weight.likelihood is None:
        how = "likelihood: all that is at least 1/20 as likely as the best value"
        yield "Sensory distance d′", value, _twos(weight.distance.interval), how
        return
    exact = "exact, never covers less than 95 %"
    yield "Sensory distance d′", value, _twos(weight.distance.interval), exact
    how = "by likelihood, for comparison: narrower, and never covers less than 95 % either"
    yield "The same", value, _twos(weight.likelihood), how


def _similarity(tally: Tally, weight: Evidence) -> Iterator[Row]:
    if weight.p_d_limit is None:
        return
    how = f"one-sided at β = {tally.beta:g}, exact"
    if tally.clustered:
        how = f"one-sided at β = {tally.beta:g}, likelihood of the model of replicates"
    yield "Upper limit of p_d", share(weight.p_d_limit), NONE, how
    if weight.approximate_limit is not None:
        how = "normal formula of the standards, for comparison only"
        yield "The same", share(weight.approximate_limit), NONE, how


def _replicates(tally: Tally, weight: Evidence) -> Iterator[Row]:
    fit = weight.replicates
    if fit is None:
        return
    model = "chance-corrected beta-binomial" if fit.chance else "beta-binomial"
    yield "Mean of the assessors, μ", *_estimate(fit.mu), f"{model}, likelihood"
    how = f"0: all alike, 1: all or none; γ = 0 has p {_p(fit.p_value)}"
    yield "Spread between assessors, γ", *_estimate(fit.gamma), how
    if tally.method.question_kind == "preference":
        inflation = variance_inflation(fit.replicates, fit.gamma.value)
        pooled = p_value(tally.count, tally.n, 0.5, sides=2)
        how = f"not valid: the variance is {inflation:.1f} times what it assumes"
        yield "p if all were pooled", _p(pooled), NONE, how


def _ties(weight: Evidence) -> Iterator[Row]:
    seen = weight.preference
    if seen is None:
        return
    yield "p, no preference left out", _p(seen.dropped_p_value), NONE, "exact; this one is planned"
    yield "p, no preference halved", _p(seen.split_p_value), NONE, "exact, the odd one to the fewer"
    yield "p, no preference modelled", _p(seen.model.p_value), NONE, "Davidson 1970, likelihood"


def contrast_table(found: Finding) -> pd.DataFrame | None:
    """How often each answer was given for sets with and without a difference."""
    tally = found.tally
    if tally.by_option is None:
        return None
    none, some = tally.by_option
    return pd.DataFrame(
        {
            "Answer": [str(option) for option in tally.method.options],
            "Sets without a difference": [str(times) for times in none],
            "Sets with a difference": [str(times) for times in some],
        }
    )


def _p(value: float) -> str:
    return "< 0.0001" if value < 0.0001 else f"{value:.4f}"


def _twos(interval: Interval) -> str:
    return f"{two_decimals(interval.low)} to {two_decimals(interval.high)}"


def _percents(interval: Interval) -> str:
    return f"{100 * interval.low:.0f} to {100 * interval.high:.0f} %"


def _estimate(estimate: Estimate) -> tuple[str, str]:
    return two_decimals(estimate.value), _twos(estimate.interval)
