"""What a finding says of d-prime, and of a sequential test that people answered repeatedly."""

import pytest
from scipy.stats import binomtest, norm

from tasting.insight.findings.evidence import evaluate
from tasting.insight.findings.finding import conclude
from tasting.insight.findings.verdict import Verdict
from tasting.panel.methods import A_NOT_A, PAIRED, PREFERENCE, TRIANGLE, Method
from tasting.stats.similarity import approximate_limit
from tests.insight.tallies import contrasted, tally_by_assessor, tally_in_order, tally_of


def extent(method: Method, count: int, n: int, **more: object) -> str:
    return conclude(tally_of(method, count, n, **more)).sentences[1]


def test_the_interval_of_d_prime_is_the_exact_one() -> None:
    """The psychometric function carries scipy's Clopper-Pearson ends of 20 of 30 to these."""
    found = evaluate(tally_of(TRIANGLE, 20, 30))
    ends = binomtest(20, 30).proportion_ci(0.95, "exact")

    assert TRIANGLE.model.function([found.distance.low, found.distance.high]) == pytest.approx(
        [ends.low, ends.high]
    )
    assert found.distance.low < found.likelihood.low < found.likelihood.high < found.distance.high


def test_it_says_which_interval_it_is() -> None:
    assert "d′ = 2.32 (95 % interval 1.32–3.33)." in extent(TRIANGLE, 20, 30)

    contrast = conclude(contrasted(A_NOT_A, (6, 4, 3, 1), (2, 2, 4, 6))).sentences[1]
    assert contrast.startswith("Sensory distance d′ = ")
    assert "(95 % interval " in contrast


@pytest.mark.parametrize(("count", "chosen"), [(20, "v2"), (10, "v1")])
def test_two_sided_it_is_counted_towards_the_sample_chosen_more_often(
    count: int, chosen: str
) -> None:
    """sqrt 2 times the normal quantiles of 2/3 and of scipy's Clopper-Pearson ends."""
    shares = [2 / 3, *binomtest(20, 30).proportion_ci(0.95, "exact")]
    assert [round(2**0.5 * norm.ppf(share), 2) for share in shares] == [0.61, -0.10, 1.33]
    said = (
        f"Sensory distance d′ = 0.61, in favour of {chosen} "
        "(95 % interval \N{MINUS SIGN}0.10 – 1.33)."
    )

    assert said in extent(PAIRED, count, 30)
    assert said.replace("Sensory distance", "Distance in liking") in extent(PREFERENCE, count, 30)


def test_a_perfect_score_has_no_finite_distance() -> None:
    assert "Sensory distance d′ = ∞ (95 % interval 2.71–∞)." in extent(TRIANGLE, 12, 12)


def test_a_score_at_chance_has_none_at_all() -> None:
    assert "Sensory distance d′ = 0.00 (95 % interval 0.00–" in extent(TRIANGLE, 8, 30)


def test_the_standards_formula_stands_beside_the_exact_limit() -> None:
    found = evaluate(tally_of(TRIANGLE, 35, 100))

    assert found.limit.approximate == approximate_limit(35, 100, 1 / 3, 0.2)
    assert found.limit.approximate < found.limit.p_d


def test_for_replicates_there_is_no_such_formula() -> None:
    found = evaluate(tally_by_assessor(TRIANGLE, [(1, 3)] * 20))

    assert found.limit.approximate is None
    assert found.limit.p_d is not None


def sequence(answers: str, people: int):
    tally = tally_in_order(TRIANGLE, answers, sequential=True, similarity_aim=True)
    given = [type(one)(f"P{place % people}", one.counted) for place, one in enumerate(tally.given)]
    return conclude(type(tally)(**{**_fields(tally), "given": tuple(given)}))


def _fields(tally) -> dict[str, object]:
    return {name: getattr(tally, name) for name in type(tally).__slots__ if name != "scores"}


def test_a_sequence_of_repeated_answers_does_not_conclude_similarity() -> None:
    found = sequence("-----+", people=3)

    assert (found.evidence.verdict, found.evidence.decided_after) == (Verdict.NEITHER, 5)
    assert found.sentences[0] == (
        "1 of 6 correct; Wald's sequential test (α = 0.05, β = 0.2, p_d = 0.3) stopped at its "
        "lower line after 5 of 6 answers: as people answered more than once, similarity is not "
        "concluded."
    )


@pytest.mark.parametrize(("answers", "people"), [("-----+", 6), ("-----+", 1), ("++++++", 3)])
def test_otherwise_it_concludes_what_it_decided(answers: str, people: int) -> None:
    found = sequence(answers, people)

    assert found.evidence.verdict is not Verdict.NEITHER
    assert "decided for" in found.sentences[0]


def test_a_plan_for_a_difference_never_concludes_similarity_from_its_lower_line() -> None:
    """0 of 5 (2/3)^5 = 13 % of panels in which nobody notices."""
    found = conclude(tally_in_order(TRIANGLE, "-----", sequential=True))

    assert found.evidence.verdict is Verdict.NEITHER
    assert found.headline == "v1 and v2 were not shown to differ"
    assert "imilar" not in " ".join(found.sentences[1:-1])
    assert "risk β = 0.2 of missing p_d = 30 %" in found.sentences[0]


def test_similarity_below_guessing_is_warned_of() -> None:
    found = conclude(tally_in_order(TRIANGLE, "-----", sequential=True, similarity_aim=True))

    assert found.headline.endswith("at a risk of β = 0.2")
    assert "0 of 5 is below guessing (1.7)." in found.cautions[-1]


def test_a_sequential_test_warns_of_its_estimates() -> None:
    notes = sequence("++++++", people=6).cautions

    assert any("intervals allow for the stop" in note for note in notes)
    assert not any("the stop" in note for note in conclude(tally_of(TRIANGLE, 6, 6)).cautions)


def test_without_a_share_to_plan_by_the_next_step_is_more_sets() -> None:
    found = conclude(contrasted(A_NOT_A, (6, 4, 3, 1), (6, 4, 3, 1)))

    assert found.sentences[-1] == "Next: if less than d′ = 2.8 matters, plan more than 28 sets."
