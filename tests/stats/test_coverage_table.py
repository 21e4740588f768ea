"""The kept table of coverage and size holds what it promises, row by row."""

from pathlib import Path

import pytest

TABLE = Path(__file__).parents[1] / "benchmarks" / "stat_coverage.md"


def table() -> dict[str, tuple[str, float, float, float]]:
    """Nominal value, worst and mean case, and Monte-Carlo error (0 where exact) by name."""
    lines = [line.strip("| \n").split(" | ") for line in TABLE.read_text("utf-8").splitlines()]
    return {
        what: (nominal, float(worst), float(mean), 0.0 if error == "exact" else float(error[1:]))
        for what, nominal, worst, mean, error in (line for line in lines if len(line) == 5)
        if what != "what"
    }


@pytest.mark.parametrize("what", table())
def test_a_row_keeps_its_promise_within_its_error(what: str) -> None:
    nominal, worst, mean, error = table()[what]
    sign, _, bound = nominal.partition(" ")

    if sign == ">=":
        assert worst >= float(bound) - error
    elif sign == "<=":
        assert worst <= float(bound) + error
    else:
        assert nominal == "0.95 on average"
        assert mean >= 0.95


def test_every_kind_of_interval_and_test_is_in_it() -> None:
    said = " ".join(table())

    for part in ("Clopper-Pearson", "p_d", "d-prime, exact", "replicates", "same-different",
                 "A-not-A", "pooled", "log-worths", "Friedman", "sequential", "similarity",
                 "preference", "position", "serving-order", "assessors"):  # fmt: skip
        assert part in said
