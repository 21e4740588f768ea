"""Tables for reading; a cell is shown as it was typed."""

from collections.abc import Sequence

import pandas as pd
import streamlit as st

from tasting.ui.page import escape_markdown


def show_table(table: pd.DataFrame, alt: str, unbroken: Sequence[str] = ()) -> None:
    """Shows a table, with a sentence for those who listen to the page.

    `st.table` reads Markdown in its cells, so what somebody typed into one is escaped. Columns
    that are `unbroken` stay on one line and let the table scroll sideways instead.
    """
    escaped = table.map(lambda cell: escape_markdown(cell) if isinstance(cell, str) else cell)
    for column in unbroken:
        escaped[column] = escaped[column].str.replace(" ", "\N{NO-BREAK SPACE}")
    st.table(escaped, border="horizontal", hide_index=True, alt=alt)
