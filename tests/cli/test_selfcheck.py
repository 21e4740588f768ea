"""`tasting selfcheck` on the command line; the values themselves are in tests/published."""

from dataclasses import replace

import pytest

from tasting.cli import selfcheck
from tasting.published.check import PublishedValue
from tests.cli.conftest import Tasting

AGREES = PublishedValue("a_table", "n 12", "a printed table", "seen", 8.0, 8.0, allowed=0.0)
MISSES = replace(AGREES, case="n 13", computed=9.0)


def only(monkeypatch: pytest.MonkeyPatch, *checks: PublishedValue) -> None:
    """The list of tables is one table of these values."""
    monkeypatch.setattr(selfcheck, "TABLES", (lambda: iter(checks),))


def test_a_miss_is_listed_and_is_exit_code_1(
    tasting: Tasting, monkeypatch: pytest.MonkeyPatch
) -> None:
    only(monkeypatch, AGREES, MISSES)
    said = tasting("selfcheck")

    assert said.code == 1
    assert "MISS" in said.out
    assert "n 12" not in said.out
    assert said.out.endswith("2 values computed again: 1 agrees, 0 differ as known, 1 miss.\n")


def test_without_a_miss_it_is_0_and_all_values_can_be_listed(
    tasting: Tasting, monkeypatch: pytest.MonkeyPatch
) -> None:
    only(monkeypatch, AGREES)
    said = tasting("selfcheck", "--all")

    assert said.code == 0
    assert "n 12" in said.out
    assert "a printed table" in said.out


def test_json_holds_every_value(tasting: Tasting, monkeypatch: pytest.MonkeyPatch) -> None:
    only(monkeypatch, AGREES)
    (value,) = tasting("selfcheck", "--json").json

    assert value["source"] == "a printed table"
    assert (value["printed"], value["computed"], value["deviation"]) == (8, 8, 0)
    assert value["agrees"] is True
