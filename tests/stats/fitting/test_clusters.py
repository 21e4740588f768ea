"""Assessors who come again: against the cluster-robust covariance of statsmodels."""

from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from tasting.insight.noticing.attribute_models import fit_attribute
from tasting.insight.noticing.comparisons import Counted, pooled
from tasting.insight.noticing.design import clusters
from tasting.insight.noticing.distance_model import fit_distance
from tasting.stats.fitting.clusters import LEAST_ASSESSORS, inflation
from tests.insight.panels import TA_AND_SUGAR, compared

STEPS = ((0.5, 0), (1.0, 4), (0.2, 10), (-0.4, 8), (0.7, -5))
RIGHT = (9, 11, 6, 5, 10)


def panel(method="paired", people=14, replicates=1):
    """The same people in every session: the first ones are always right."""
    made = []
    for delta, count in zip(STEPS, RIGHT, strict=True):
        one = compared(delta, count, people, method=method)
        right = [min(replicates, max(0, replicates * count - 2 * at)) for at in range(people)]
        counts = [Counted(replicates, k, who) for who, k in enumerate(right)]
        made.append(replace(one, counts=tuple(counts)))
    return made


def unknown(some):
    return [
        replace(one, counts=tuple(each._replace(who=None) for each in one.counts)) for one in some
    ]


def sour(some):
    return fit_attribute("more sour", some, TA_AND_SUGAR, "linear", 0.95)[0]


@pytest.mark.parametrize("evenings", [1, 3])
def test_the_inflation_is_that_of_a_cluster_robust_covariance(evenings):
    """statsmodels: generalized estimating equations, probit, answers of a group as if independent;
    m/(m - 1) and the t distribution by hand. It knows each answer, the model only their sums."""
    some = panel() * evenings
    fitted = sour(some).fitted
    design = np.array([one.delta for one in some for _ in one.counts]) / np.sqrt(2)
    answers = np.array([each.counted for one in some for each in one.counts])
    groups = np.array([each.who for one in some for each in one.counts])
    family = sm.families.Binomial(sm.families.links.Probit())
    found = sm.GEE(answers, design, groups, family=family).fit(scale=1.0, ctol=1e-12)

    m = len(set(groups))
    few = (stats.t.ppf(0.975, m - 1) / stats.norm.ppf(0.975)) ** 2
    ratio = np.diag(found.cov_robust) / np.diag(found.cov_naive) * m / (m - 1)
    assert ratio.max() > 1.2
    expected = np.maximum(ratio, 1.0) * few
    assert fitted.inflation(np.eye(2)) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(("method", "replicates"), [("triangle", 1), ("triangle", 3)])
def test_the_scores_of_all_assessors_add_up_to_that_of_the_likelihood(method, replicates):
    fitted = fit_distance(
        panel(method, replicates=replicates), TA_AND_SUGAR, "linear", (0, 1), 0.95
    )
    found = fitted[0].fitted

    whole = found.each(found.theta[None]).score[0]
    assert found.scores.sum(axis=0) == pytest.approx(whole, rel=1e-6, abs=1e-6)


def test_assessors_who_come_again_and_differ_widen_every_interval():
    again, apart = sour(panel()), sour(unknown(panel()))

    for key in ("ta", "sugar"):
        wide, narrow = again.weights[key].estimate, apart.weights[key].estimate
        assert wide.value == narrow.value
        assert wide.high - wide.low > narrow.high - narrow.low
        assert again.weights[key].p_value > apart.weights[key].p_value


def test_nothing_changes_where_nobody_comes_again_or_it_is_not_known():
    some = panel()
    fresh = [
        replace(
            one, counts=tuple(Counted(1, each.counted, 20 * at + each.who) for each in one.counts)
        )
        for at, one in enumerate(some)
    ]

    assert clusters(pooled(unknown(some))) is None
    for those in (fresh, unknown(some)):
        assert sour(those).fitted.clusters is None
        assert sour(those).fitted.inflation(np.eye(2)).tolist() == [1.0, 1.0]


def test_too_few_assessors_say_nothing_of_how_they_differ():
    few = LEAST_ASSESSORS - 1
    some = [replace(one, counts=tuple(Counted(4, 3, who) for who in range(few))) for one in panel()]

    assert sour(some).fitted.clusters is None


def test_scatter_below_the_expected_one_narrows_nothing():
    alike = inflation(np.zeros((24, 2)), np.eye(2), np.eye(2), 0.95)

    assert alike == pytest.approx((stats.t.ppf(0.975, 23) / stats.norm.ppf(0.975)) ** 2)
