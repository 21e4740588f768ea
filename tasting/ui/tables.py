"""Tables for reading; a cell is shown as it was typed.

Streamlit's own table reads Markdown in each cell, and takes a browser seconds for a thousand cells.
"""

from collections.abc import Sequence

import pandas as pd
import streamlit as st
from markupsafe import Markup


def table_html(table: pd.DataFrame, said: str, unbroken: Sequence[str] = ()) -> str:
    """The table as HTML; see `show_table`."""
    heads = [Markup('<th scope="col">{}</th>').format(name) for name in table.columns]
    whole = [' class="whole"' * (name in unbroken) for name in table.columns]
    rows = [
        Markup("").join(
            Markup("<td{}>{}</td>").format(Markup(css), cell)
            for css, cell in zip(whole, row, strict=True)
        )
        for row in table.itertuples(index=False)
    ]
    return Markup(
        '<div class="reading"><table><caption>{}</caption><thead><tr>{}</tr></thead>'
        "<tbody>{}</tbody></table></div>"
    ).format(
        said, Markup("").join(heads), Markup("").join(Markup("<tr>{}</tr>").format(r) for r in rows)
    )


def show_table(table: pd.DataFrame, said: str, unbroken: Sequence[str] = ()) -> None:
    """Shows a table without its index.

    said: a sentence for those who listen to the page
    unbroken: columns that stay on one line; a table that is too wide scrolls sideways
    """
    st.html(table_html(table, said, unbroken))
