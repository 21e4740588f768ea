"""Worths from paired choices and rankings, against print and an independent library."""

import choix
import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.special import softmax, xlogy

from tasting.errors import InputError
from tasting.stats.worths import bradley_terry, davidson

from .published import rows

PUDDING = rows("stat_pudding.csv")
SPRINGALL = rows("stat_springall.csv")

# Bradley and Terry 1952, Biometrika 39:324, p. 333: pork of three feeds, two judges (C, Cp, CP).
JUDGE_1 = np.array([[0, 0, 1], [5, 0, 2], [4, 3, 0]])
JUDGE_2 = np.array([[0, 3, 4], [2, 0, 3], [1, 2, 0]])

# Stigler 1994, Stat Sci 9:94: citations of the row's journal by the column's; own ones left out.
CITATIONS = [[0, 730, 498, 221], [33, 0, 68, 17], [320, 813, 0, 142], [284, 276, 325, 0]]


def tables(lines, k):
    wins, ties = np.zeros((k, k)), np.zeros((k, k))
    for line in lines:
        i, j = int(line["i"]) - 1, int(line["j"]) - 1
        wins[i, j], wins[j, i] = int(line["i_over_j"]), int(line["j_over_i"])
        ties[i, j] = ties[j, i] = int(line["ties"])
    return wins, ties


def standard_error(fit, i, j):
    """Of ln(worth i / worth j)."""
    c = fit.covariance
    return (c[i][i] + c[j][j] - 2 * c[i][j]) ** 0.5


def test_pudding_as_davidson_printed_it():
    # Printed after 7 iterations, so not quite at the maximum: 4 decimals.
    fit = davidson(*tables(PUDDING, 6))
    printed = [0.1388005, 0.1729985, 0.1617420, 0.1653930, 0.1586805, 0.2023855]
    assert fit.worths == pytest.approx(printed, abs=5e-5)
    assert fit.tie_weight.value == pytest.approx(0.7468147, abs=5e-5)


def test_pudding_standard_errors_in_print():
    # Fitted log-worths against the first brand and their errors, printed with the R data package
    # PlackettLuce; residual deviance 1619.4 = -2 log-likelihood of single answers. The printed fit
    # stopped after 7 iterations, up to 2e-4 from the maximum.
    fit = davidson(*tables(PUDDING, 6))
    differences = [fit.difference(j, 0).value for j in range(1, 6)]
    errors = [standard_error(fit, j, 0) for j in range(1, 6)]
    assert differences == pytest.approx([0.2202, 0.153, 0.1753, 0.1339, 0.3771], abs=2e-4)
    assert errors == pytest.approx([0.1872, 0.1935, 0.1882, 0.1927, 0.1924], abs=6e-5)
    assert -2 * fit.log_likelihood == pytest.approx(1619.4, abs=0.05)
    assert fit.covariance[-1][-1] ** 0.5 == pytest.approx(0.0825, abs=6e-5)


def test_pudding_overall_test():
    fit = davidson(*tables(PUDDING, 6))
    assert (fit.statistic, fit.degrees) == (pytest.approx(4.0804321), 5)
    assert fit.p_value == pytest.approx(0.53789, abs=1e-5)
    assert fit.ranking[0] == 5


def test_davidson_by_a_general_optimiser_on_springalls_flavours():
    wins, ties = tables(SPRINGALL, 9)

    def loss(x):
        w, nu = np.exp(np.append(0, x[:8])), np.exp(x[8])
        root = nu * np.sqrt(np.outer(w, w))
        total = w[:, None] + w + root
        log_ties = xlogy(np.triu(ties), root / total).sum()
        return -xlogy(wins, w[:, None] / total).sum() - log_ties

    theirs = minimize(loss, np.zeros(9), method="BFGS", options={"gtol": 1e-7})
    fit = davidson(wins, ties)
    assert fit.log_likelihood == pytest.approx(-theirs.fun, abs=1e-7)
    assert fit.worths == pytest.approx(softmax(np.append(0, theirs.x[:8])), abs=1e-6)


def test_springall_with_ties_halved_by_choix():
    wins, ties = tables(SPRINGALL, 9)
    theirs = choix.mm_pairwise(9, halves(wins + ties / 2), tol=1e-12, max_iter=100_000)
    assert bradley_terry(wins + ties / 2).worths == pytest.approx(softmax(theirs), abs=1e-6)


def halves(wins):
    """Each half win as one comparison: the same worths."""
    pairs = np.argwhere(wins > 0)
    return [tuple(map(int, p)) for p in pairs for _ in range(int(2 * wins[tuple(p)]))]


def test_citations_deviance_in_print():
    # Residual deviance 4.293 is printed with the R data package BradleyTerry2; the coefficients
    # were computed beforehand with a logistic regression.
    fit, table = bradley_terry(CITATIONS), np.array(CITATIONS, float)
    saturated = xlogy(table, table / np.where(table + table.T, table + table.T, 1)).sum()
    assert 2 * (saturated - fit.log_likelihood) == pytest.approx(4.293, abs=5e-4)
    differences = [fit.difference(j, 0).value for j in (1, 2, 3)]
    assert differences == pytest.approx([-2.94907, -0.47957, 0.26895], abs=1e-5)
    errors = [standard_error(fit, j, 0) for j in (1, 2, 3)]
    assert errors == pytest.approx([0.10255, 0.06059, 0.07083], abs=1e-5)


@pytest.mark.parametrize(
    ("wins", "worths", "statistic"),
    [
        (JUDGE_1, [1 / 19, 9 / 19, 9 / 19], 7.3613),
        (JUDGE_2, [0.532427, 0.299311, 0.168262], 2.2153),
        (JUDGE_1 + JUDGE_2, [0.247937, 0.426774, 0.325289], 1.0763),
    ],
)
def test_pork_judges(wins, worths, statistic):
    # Data in print; the fit computed beforehand with choix and scipy.
    fit = bradley_terry(wins)
    assert fit.worths == pytest.approx(worths, abs=1e-6)
    assert (fit.statistic, fit.degrees) == (pytest.approx(statistic, abs=5e-5), 2)


def test_two_products_are_a_logit():
    fit = bradley_terry([[0, 30], [10, 0]])
    assert fit.worths == pytest.approx((0.75, 0.25))
    assert fit.difference(0, 1).value == pytest.approx(np.log(3))
    assert standard_error(fit, 0, 1) == pytest.approx((1 / 30 + 1 / 10) ** 0.5)


def test_intervals_of_log_worths_surround_zero_in_sum():
    fit = davidson(*tables(PUDDING, 6))
    assert sum(estimate.value for estimate in fit.log_worths) == pytest.approx(0, abs=1e-12)
    assert np.sum(fit.covariance[:6], axis=0)[:6] == pytest.approx(np.zeros(6), abs=1e-12)


@pytest.mark.parametrize(
    ("wins", "message"),
    [
        ([[0, 5], [0, 0]], "never, or always, chosen over the others"),
        ([[0, 1, 0], [1, 0, 0], [0, 0, 0]], "or never met them"),
        ([[0, 1, 2], [1, 0, 1]], "wins must be a square table"),
        ([[0, -1], [1, 0]], "counts of 0 or more"),
        ([[3, 1], [1, 0]], "0 on its diagonal"),
    ],
)
def test_bradley_terry_refuses(wins, message):
    with pytest.raises(InputError, match=message):
        bradley_terry(wins)


@pytest.mark.parametrize(
    ("ties", "message"),
    [([[0, 1], [2, 0]], "ties must be a symmetric table"), ([[0, 0], [0, 0]], "there is no tie")],
)
def test_davidson_refuses(ties, message):
    with pytest.raises(InputError, match=message):
        davidson([[0, 3], [4, 0]], ties)
