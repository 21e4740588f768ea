"""Counts from paper weigh as much as the answers that they count."""

import pytest
from scipy.stats import binomtest

from tasting.errors import InputError
from tasting.insight.findings.finding import conclude
from tasting.insight.findings.tally import Tally
from tasting.panel.design import TestDesign
from tasting.panel.methods import A_NOT_A, PAIRED, SAME_DIFFERENT, TRIANGLE, Method
from tasting.panel.paper_import import paper_counts

HEAD = "assessor,tastings,correct\n"


def test_counts_are_tested_as_the_binomial_says() -> None:
    """p by scipy's binomtest: 12 correct of 20."""
    counts = paper_counts(HEAD + "".join(f"P{seat},1,{int(seat < 12)}\n" for seat in range(20)))
    found = conclude(Tally.of_counts(counts, TestDesign(TRIANGLE)))

    assert (found.tally.count, found.tally.n, found.tally.assessors) == (12, 20, 20)
    assert found.evidence.p_value == pytest.approx(binomtest(12, 20, 1 / 3, "greater").pvalue)


def test_repeated_answers_stay_with_their_people() -> None:
    tally = Tally.of_counts(
        paper_counts(HEAD + "Ann,4,3\nBo,4,0\n"), TestDesign(PAIRED, "A"), attribute="more sour"
    )

    assert tally.scores == ((3, 4), (0, 4))
    assert (tally.design.sides, tally.planned, tally.replicated) == (1, 8, True)


@pytest.mark.parametrize("method", [SAME_DIFFERENT, A_NOT_A])
def test_counts_are_refused_where_they_are_not_enough(method: Method) -> None:
    with pytest.raises(InputError, match="counts are not enough"):
        Tally.of_counts(paper_counts(HEAD + "Ann,4,3\n"), TestDesign(method))
