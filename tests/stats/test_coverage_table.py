"""The kept tables of coverage, size and power hold what they promise, row by row."""

from pathlib import Path

import pytest

FOLDER = Path(__file__).parents[1] / "benchmarks"


def table(name: str) -> dict[str, tuple[str, float, float]]:
    """Nominal value, worst case, and Monte-Carlo error (0 where exact) by name."""
    text = (FOLDER / name).read_text("utf-8")
    lines = [line.strip("| \n").split(" | ") for line in text.splitlines()]
    return {
        what: (nominal, float(worst), 0.0 if error == "exact" else float(error[1:]))
        for what, nominal, worst, _, error in (line for line in lines if len(line) == 5)
        if what != "what"
    }


COVERAGE, TESTS = table("stat_coverage.md"), table("stat_size.md")


@pytest.mark.parametrize("what", COVERAGE)
def test_an_interval_covers_as_often_as_it_says_within_the_error(what: str) -> None:
    nominal, worst, error = COVERAGE[what]

    assert nominal == ">= 0.95"
    assert worst >= 0.95 - error


@pytest.mark.parametrize("what", TESTS)
def test_a_test_keeps_its_promise_within_its_error(what: str) -> None:
    nominal, worst, error = TESTS[what]
    sign, bound = nominal.split()

    if sign == "<=":
        assert what.startswith("size")
        assert worst <= float(bound) + error
    elif sign == ">=":
        assert worst >= float(bound) - error
    else:
        assert worst > float(bound) + error


def test_every_kind_of_interval_is_in_it() -> None:
    said = " ".join(COVERAGE)

    for part in ("Clopper-Pearson", "p_d", "upper limit", "d-prime, exact", "d-prime, likelihood",
                 "mean mu", "spread gamma", "same-different", "A-not-A", "three answers",
                 "four answers", "pooled", "difference of the d-primes", "log-worths", "tie weight",
                 "ties modelled", "sequential"):  # fmt: skip
        assert part in said


def test_every_test_is_in_it_for_what_is_there_and_for_what_is_not() -> None:
    for part in ("spread", "replicated preference", "preference, undecided", "sequential",
                 "similarity", "homogeneity", "comparison", "worths",
                 "Friedman", "rank sums", "position", "serving-order", "half", "assessors",
                 "contrast"):  # fmt: skip
        kinds = {what.split(":")[0] for what in TESTS if part in what}
        assert kinds == {"size", "power"}, part
