"""The tidy tables: complete, described, sealed, and enough to find what the findings found."""

import pandas as pd
import pytest
from scipy.stats import binomtest

from tasting.drink.composition import compose
from tasting.errors import SealedError
from tasting.insight.findings.finding import finding
from tasting.report.answers import answers_table
from tasting.report.data_tables import DataTables, data_tables
from tests.ui.workshop import SPRITZ, opened, planned, some_closed

TABLES = data_tables(answers_table(some_closed()), some_closed(), [SPRITZ])


@pytest.mark.parametrize("name", ["answers", "sessions", "versions", "compositions"])
def test_the_dictionary_describes_every_column_in_its_order(name: str) -> None:
    described = TABLES.dictionary.query("table == @name")

    assert list(described["column"]) == list(TABLES.by_name[name].columns)
    assert described["meaning"].str.len().min() > 4


def test_every_column_is_filled_somewhere() -> None:
    for name, table in TABLES.by_name.items():
        filled = table.replace("", None).notna().any()
        empty = set(filled[~filled].index) - {"purpose", "remark", "unit"}
        assert not empty, name


def test_answers_add_up_to_the_counts_of_the_sessions() -> None:
    counted = TABLES.answers.groupby("session_id")["counted"].sum()
    said = TABLES.sessions.set_index("session_id")["count"]

    assert counted.to_dict() == said[said.index != "nobody"].to_dict()


def test_scipy_finds_from_the_tables_what_the_finding_says() -> None:
    (acid, *_) = some_closed()
    row = TABLES.sessions.set_index("session_id").loc["acid"]
    p = binomtest(int(row["count"]), int(row["n"]), 1 / 3, "greater").pvalue

    assert p == pytest.approx(finding(acid).evidence.p_value)
    assert row["verdict"] == "difference"
    assert TABLES.sessions.set_index("session_id").loc["nobody", "verdict"] == ""


def test_a_composition_is_that_of_its_version() -> None:
    second = SPRITZ.versions[1]
    rows = TABLES.compositions.query("version_id == @second.id").set_index("figure")
    made = compose(second)

    assert rows.loc["ta_g_per_l", "value"] == made.ta_g_per_l
    assert rows.loc["ph", "low"] < made.ph < rows.loc["ph", "high"]


def test_amounts_of_a_version_are_rows() -> None:
    rows = TABLES.versions.query("version_id == 'spritz-2'").set_index("ingredient")

    assert rows.loc["lemon juice", ["quantity", "unit"]].tolist() == [14, "mL"]


def test_what_is_open_stays_sealed() -> None:
    with pytest.raises(SealedError, match="close it first"):
        data_tables(answers_table([]), [opened(planned("acid"))], [])


def test_without_anything_the_columns_remain() -> None:
    empty: DataTables = data_tables(answers_table([]), [], [])

    assert all(isinstance(table, pd.DataFrame) for table in empty.by_name.values())
    assert list(empty.sessions.columns) == list(TABLES.sessions.columns)
