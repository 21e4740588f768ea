"""A damaged session: the commands go on, name it on standard error, and end with 1."""

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Tasting
from tests.store.damaging import CUT, spoil


@pytest.fixture
def damaged(tasting: Tasting, document: Path, log: Path) -> Path:
    """The invented workshop with one plan that was cut short."""
    assert tasting("import", document, "--database", log).code == 0
    spoil(log, CUT)
    return log


@pytest.mark.parametrize("more", [(), ("--csv",)])
def test_export_goes_on_without_it(tasting: Tasting, damaged: Path, more: tuple[str, ...]) -> None:
    said = tasting("export", *more, "--database", damaged)

    assert said.code == 1
    assert said.err.startswith("Set aside: the session 'Session acid' (acid) is damaged: ")
    assert "Session syrup" in said.out
    assert "Session acid" not in said.out


def test_notice_goes_on_without_it(tasting: Tasting, damaged: Path) -> None:
    said = tasting("notice", "--json", "--database", damaged)

    assert said.code == 1
    assert "'Session acid' (acid) is damaged" in said.err
    assert json.loads(said.out)["steps"] is not None


def test_it_alone_is_refused(tasting: Tasting, damaged: Path) -> None:
    said = tasting("export", "--session", "acid", "--database", damaged)

    assert (said.code, said.out) == (1, "")
    assert "'Session acid' (acid) is damaged" in said.err


def test_check_names_it(tasting: Tasting, damaged: Path) -> None:
    said = tasting("check", "--database", damaged)

    assert (said.code, said.out) == (1, "")
    assert "Damaged: session 'Session acid' (acid): " in said.err
    machine = tasting("check", "--json", "--database", damaged)
    assert json.loads(machine.out)["misses"][0]["where"] == "session 'Session acid' (acid)"


def test_check_says_that_a_log_is_whole(tasting: Tasting, document: Path, log: Path) -> None:
    tasting("import", document, "--database", log)
    said = tasting("check", "--database", log)

    assert (said.code, said.err) == (0, "")
    assert "is whole" in said.out


def test_a_damaged_copy_is_put_in_place_only_when_asked(
    tasting: Tasting, damaged: Path, tmp_path: Path
) -> None:
    copy, target = tmp_path / "copy", tmp_path / "new.sqlite3"
    assert tasting("backup", copy, "--database", damaged).code == 0
    refused = tasting("restore", copy, "--database", target)

    assert refused.code == 1
    assert "take another copy, or this one with --damaged" in refused.err
    assert not target.exists()
    taken = tasting("restore", copy, "--damaged", "--database", target)
    assert taken.code == 1
    assert "whole" not in taken.out
    assert "Session acid" in taken.err
    assert target.exists()
