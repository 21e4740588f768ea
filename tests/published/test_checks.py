"""Every published value beside the computed one; the sources stand in the tables themselves."""

from collections import Counter

import pytest

from tasting.published.check import PublishedValue
from tasting.published.tables import TABLES, summary, value_row

CHECKS = [check for table in TABLES for check in table()]
OF_TABLE = {
    name: [one for one in CHECKS if one.table == name] for name in {one.table for one in CHECKS}
}


def test_the_tables_are_complete() -> None:
    statuses = Counter(check.status for check in CHECKS)

    assert len(CHECKS) == 2629
    assert statuses == {"seen": 757, "memory": 573, "computed": 1299}
    # The sum of the critical numbers as printed (a dash counts as n + 1).
    assert sum(check.printed for check in OF_TABLE["critical_numbers"]) == 9872


@pytest.mark.parametrize("table", sorted(OF_TABLE))
def test_every_value_agrees(table: str) -> None:
    assert [check for check in OF_TABLE[table] if not check.agrees] == []


def test_what_is_known_to_differ() -> None:
    """Eleven recalled panel sizes (memory or print, which is wrong cannot be told without the
    standard in hand), and five that ISO 5495 Table A.3 prints one stricter, all at β 0.001."""
    off = Counter((check.table, check.status) for check in CHECKS if check.known_to_differ)

    assert off == {("stat_panel_size", "memory"): 11, ("stat_similarity", "seen"): 5}


def test_a_miss_is_seen() -> None:
    made_up = PublishedValue("stat_p_values", "a case", "nobody", "seen", 0.05, 0.04, allowed=0.001)

    assert not made_up.agrees
    assert made_up.deviation == pytest.approx(-0.01)
    assert "MISS" in value_row(made_up)
    assert summary([made_up]) == "1 value computed again: 0 agree, 0 differ as known, 1 miss."
