"""Every published value that the program is held to, computed again on this machine."""

from collections.abc import Sequence

import pandas as pd
import streamlit as st
from sqlalchemy import Engine

from tasting.published.check import PublishedValue
from tasting.published.tables import OVERVIEW, TABLES, VALUES, overview, summary, value_row
from tasting.ui.tables import show_table

# What was computed in this browser session.
_FOUND = "published_values"


def show_published(_: Engine) -> None:
    """Computes them when asked, and shows table by table what came out."""
    st.write(
        "Tables of standards and handbooks, worked examples, densities and label rules, each "
        "beside what this program computes now."
    )
    if st.button("Compute them now", key="compute_published"):
        st.session_state[_FOUND] = _compute()
    if _FOUND in st.session_state:
        _show(st.session_state[_FOUND])


def _compute() -> list[PublishedValue]:
    """All values, table after table, with a bar that says how far it is."""
    bar = st.progress(0.0, "Computing published values")
    found: list[PublishedValue] = []
    for done, table in enumerate(TABLES, start=1):
        found += table()
        bar.progress(done / len(TABLES), f"{len(found)} values computed")
    bar.empty()
    return found


def _show(checks: Sequence[PublishedValue]) -> None:
    """What came out: in a sentence, table by table, and one by one where they deviate."""
    told = summary(checks)
    if all(check.agrees for check in checks):
        st.success(told)
    else:
        st.error(told)
    rows = overview(checks)
    table = pd.DataFrame(rows, columns=[name.capitalize() for name in OVERVIEW])
    st.dataframe(table, hide_index=True, height=320, key="published_overview")
    deviating = [value_row(check) for check in checks if check.deviates]
    if deviating:
        names = [name.capitalize() or "Verdict" for name in VALUES]
        show_table(pd.DataFrame(deviating, columns=names), "Values that deviate from print")
    st.caption(
        "seen: read in print; memory: recalled and not verified; computed: by another program. "
        "`tasting selfcheck --all` lists every value."
    )
