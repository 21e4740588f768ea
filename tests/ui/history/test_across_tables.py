"""Many sessions together as sentences, tables and a chart."""

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.insight.findings.pooling import adjusted, expected_alarms, repeated
from tasting.insight.findings.ranking import preferred
from tasting.ui.history.across_tables import (
    adjusted_table,
    alarms_sentence,
    differences_table,
    pooled_sentence,
    preferred_chart,
    preferred_sentence,
    repeated_table,
)
from tests.insight.findings.test_ranking import ROUND
from tests.ui.reading import read, tabled
from tests.ui.workshop import closed, keep, planned, some_closed

TWICE = [closed(planned("first"), 7, 5), closed(planned("again"), 9, 3)]

LOOKS = ("False alarms", "Repeated comparisons", "Preferred versions", "Assessors")


def test_the_smallest_p_comes_first() -> None:
    table = adjusted_table(adjusted(some_closed()))

    assert list(table["Session"])[0] == "Session acid"
    assert list(table["p"]) == sorted(table["p"])
    assert all(raw <= holm for raw, holm in zip(table["p"], table["Holm"], strict=True))


def test_what_chance_alone_brings() -> None:
    said = alarms_sentence(expected_alarms(some_closed()))

    assert said.startswith("If none of the differences were real, 0.1 of these 4 tests would")


def test_repeats_in_a_row_and_a_sentence() -> None:
    (group,) = repeated(TWICE)

    assert repeated_table([group])["Counted"][0] == "16 of 24"
    assert pooled_sentence(group).startswith(
        "Spritz, v1 and Spritz, v2 (any difference), 2 sessions together: d′ = "
    )
    assert "not shown to disagree" in pooled_sentence(group)


def test_sessions_that_disagree_are_told() -> None:
    (group,) = repeated([closed(planned("one"), 4, 8), closed(planned("two"), 12, 0)])

    assert "The sessions disagree (p < 0.0001)" in pooled_sentence(group)
    assert "its interval allows for that" in pooled_sentence(group)


def test_the_order_in_chart_text_and_table() -> None:
    chart, text, table = preferred_chart(preferred(ROUND))

    assert list(table["Rank"]) == ["1", "2", "3"]
    assert text.endswith(f"{'; '.join(table['Version'])}.")
    assert "Preferred to an average one, %" in str(chart.to_dict())
    assert float(table["Worth, 1 in all"].astype(float).sum()) == pytest.approx(1, abs=0.02)


def test_the_overall_test_and_the_neighbours_do_not_overclaim() -> None:
    found = preferred(ROUND)

    assert "3 versions in 3 sessions, 36 votes: they " in preferred_sentence(found)
    assert "Bradley and Terry 1952" in preferred_sentence(found)
    assert list(differences_table(found)["Shown"]) == ["no", "no"]


def test_the_history_page_folds_them_away(engine: Engine, open_page) -> None:
    keep(engine, *ROUND, *TWICE)
    page: AppTest = open_page("history")
    assert "tests would still be expected" not in read(page)
    said, tables = [], []
    for look in LOOKS:
        page.session_state["look"] = look
        page.session_state["panel_checks"] = True
        page.run()
        assert not page.exception
        said.append(read(page))
        tables.append(tabled(page))

    for words in ("tests would still be expected", "2 sessions together", "36 votes", "checks"):
        assert words in "\n".join(said)
    assert "16 of 24" in "\n".join(tables)
