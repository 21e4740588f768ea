"""A table for reading: what was typed is shown as it was typed."""

import pandas as pd
import pytest

from tasting.ui.tables import table_html
from tests.ui.reading import tables_in
from tests.ui.test_hostile import HOSTILE
from tests.ui.test_linked_table import Parsed

OURS = {"div", "table", "caption", "thead", "tbody", "tr", "th", "td"}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=list(HOSTILE))
def test_what_was_typed_is_text(text: str) -> None:
    found = Parsed(table_html(pd.DataFrame({text: [text], "n": [3]}), text, [text]))

    assert found.tags == OURS
    assert not found.addresses
    assert "".join(found.texts).count(text) == 3


def test_cells_stand_below_their_heads() -> None:
    """As Python's own parser of HTML reads it."""
    table = pd.DataFrame({"Session": ["Acid & bay", "a < b"], "Correct": ["15 of 24", "9 of 24"]})

    (found,) = tables_in(table_html(table, "Two sessions"))

    pd.testing.assert_frame_equal(found, table)
