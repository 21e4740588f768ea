"""Every printed critical number against two exact computations."""

import pytest
from scipy.stats import binomtest

from tasting.errors import InputError
from tasting.stats.binomial import critical_number
from tasting.stats.tables import critical, published, table_keys

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
    count = {key: sum(row["table"] == key for row in CELLS) for key in table_keys()}
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


def test_no_two_sided_table_was_read():
    assert published(30, 0.5, 0.05, sides=2) is None


def test_duo_trio_and_paired_comparison_keep_their_own_tables():
    sources = {published(12, 0.5, 0.05, table=key).source[:8] for key in table_keys()[1:]}
    assert sources == {"ISO 1039", "ISO 5495"}


def test_an_unknown_table_is_refused():
    with pytest.raises(InputError, match="there is no table 'a1'; choose from fao-triangle"):
        published(12, 0.5, 0.05, table="a1")


def test_a_table_of_another_chance_is_refused():
    with pytest.raises(InputError, match="fao-triangle is not for a chance of 0.5"):
        critical(12, 0.5, 0.05, table="fao-triangle")
