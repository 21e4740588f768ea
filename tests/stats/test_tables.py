"""Every printed critical number against two exact computations."""

from collections import Counter

import pytest
from scipy.stats import binomtest

from tasting.panel.methods import METHODS
from tasting.stats.binomial import critical_number
from tasting.stats.tables import critical

from .published import SHIPPED, ratio, read, rows

CELLS = read(SHIPPED)
RECALLED = rows("stat_critical_memory.csv")


def by_binomtest(n, chance, alpha):
    """Smallest count that scipy's one-sided binomial test finds at alpha; None if there is none."""
    counts = range(int(n * chance), n + 1)
    found = (x for x in counts if binomtest(x, n, chance, "greater").pvalue <= alpha)
    return next(found, None)


def cell(row):
    printed = int(row["critical"]) if row["critical"] else None
    return int(row["n"]), ratio(row["chance"]), float(row["alpha"]), printed


def test_the_shipped_tables_are_complete():
    count = Counter(row["table"] for row in CELLS)
    assert count == {"fao-triangle": 176, "iso-10399-a1": 200, "iso-5495-a1": 115}
    assert sum(int(row["critical"] or 0) for row in CELLS) == 9800


def test_only_what_was_seen_in_print_is_shipped():
    assert {row["status"] for row in CELLS} == {"seen"}


@pytest.mark.parametrize("table", ["fao-triangle", "iso-10399-a1", "iso-5495-a1"])
def test_every_printed_cell_agrees_with_scipys_binomial_test(table):
    for n, chance, alpha, printed in (cell(row) for row in CELLS if row["table"] == table):
        assert by_binomtest(n, chance, alpha) == printed, (n, alpha)


def test_a_method_is_given_its_own_table():
    found = critical(30, 1 / 3, 0.05, table="fao-triangle")
    assert (found.value, found.row.table, found.row.n) == (15, "fao-triangle", 30)


def test_beyond_the_table_the_number_is_exact():
    found = critical(150, 1 / 3, 0.05, table="fao-triangle")
    assert (found.value, found.row) == (critical_number(150), None)


def test_a_printed_dash_is_a_score_out_of_reach():
    found = critical(3, 1 / 3, 0.01, table="fao-triangle")
    assert (found.value, found.row.critical) == (4, None)


def test_without_a_table_nothing_is_cited():
    assert critical(30, 1 / 3, 0.05).row is None


def test_a_method_cites_a_table_of_its_own_chance_and_standard():
    cited = {method.table: method for method in METHODS.values() if method.table}
    for row in CELLS:
        method = cited[row["table"]]
        assert method.chance == pytest.approx(ratio(row["chance"]))
        assert row["sides"] == "1"
    sources = {key: critical(12, cited[key].chance, table=key).row.source[:9] for key in cited}
    assert sources == {
        "fao-triangle": "FAO docum",
        "iso-10399-a1": "ISO 10399",
        "iso-5495-a1": "ISO 5495:",
    }
