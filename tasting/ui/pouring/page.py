"""The page for whoever fills the cups, behind a link of its own; it shows the key.

It asks for the host's passphrase or the pourer's code each time, and who looked is put on record.
"""

import pandas as pd
import streamlit as st
from sqlalchemy import Engine

from tasting.errors import InputError, NotFoundError
from tasting.records import now
from tasting.report.cup_labels import cup_labels_html
from tasting.report.pour_sheet import MARGIN, Fill, PourSheet, pour_sheet, pour_sheet_html
from tasting.store import sessions
from tasting.store.access import check_passphrase, check_pourer_code
from tasting.store.paper import slips
from tasting.ui import access
from tasting.ui import page as shared
from tasting.ui.tables import show_table
from tasting.wording import percent, short

HELPED = (
    "The pour sheet tells which code is which sample. Whoever has seen it must not taste, and "
    "should not be the one who hands out the cups. Who opens it is put on record."
)
ALONE = (
    "The pour sheet tells which code is which sample. You taste alone: fill the cups, put the "
    "sheet away, and shuffle until you have lost track. That you opened it is put on record."
)


def ask(engine: Engine, session_id: str, alone: bool) -> None:
    """Ask who it is and for the code; the right one shows the sheet."""
    st.warning(ALONE if alone else HELPED)
    with st.form("sheet", border=False):
        reader = st.text_input(
            "Who are you? A pseudonym will do; it stays on record", key="reader", max_chars=60
        )
        code = st.text_input(
            "Pourer's code, or the host's passphrase", type="password", key="sheet_code"
        )
        asked = st.form_submit_button("Show the pour sheet", type="primary", key="show_sheet")
    if asked:
        with shared.show_errors():
            if not reader.strip():
                raise InputError("say who you are; a pseudonym will do")
            admit(engine, session_id, code)
            key = sessions.pour_sheet(engine, session_id, now(), reader.strip())
            labels = cup_labels_html(key.name, slips(engine, session_id), key.plan.alone)
            show_sheet(pour_sheet(key), labels)


def admit(engine: Engine, session_id: str, code: str) -> None:
    """Raises InputError unless this is the pourer's code or the host's passphrase."""
    if code.strip().isdigit():
        check_pourer_code(engine, session_id, code, now())
    else:
        check_passphrase(engine, code, now(), door=f"pour {session_id}")


def show_sheet(sheet: PourSheet, labels: str) -> None:
    """The sheet as tables, and as pages to print."""
    st.write("Print both, or work from this page. Reloading hides it again.")
    with st.container(horizontal=True):
        offer("Cup labels to cut out", labels, "cup-labels", "download_labels")
        offer("Pour sheet to print", pour_sheet_html(sheet), "pour-sheet", "download_sheet")
    st.header("1. Label the cups")
    under = "underneath" if sheet.alone else "before you fill them"
    st.write(f"{sheet.cups} cups: stick the labels on, or write each code on its cup, {under}.")
    st.header("2. Look at both samples")
    st.write(
        "Pour one cup of each that nobody gets, and compare colour, cloud, foam and bubbles in the "
        "light of the tasting room. If they differ, mask it: dark cups, lids or coloured light."
    )
    st.header("3. Fill the cups")
    st.write(serving(sheet))
    for fill in sheet.fills:
        show_fill(fill)
    st.header("4. Set the trays")
    show_trays(sheet)


def offer(label: str, page: str, name: str, key: str) -> None:
    """A page of its own to print."""
    st.download_button(
        label, page, file_name=f"{name}.html", mime="text/html", on_click="ignore", key=key
    )


def serving(sheet: PourSheet) -> str:
    """How much, how cold and how soon."""
    cold = "" if sheet.serving_celsius is None else f" at {short(sheet.serving_celsius)} °C"
    soon = f", served within {sheet.minutes_open} minutes of opening" if sheet.minutes_open else ""
    return f"{sheet.serving_ml:g} mL in each cup{cold}{soon}, both samples alike."


def show_fill(fill: Fill) -> None:
    """The cups that get one sample, assessor by assessor."""
    st.subheader(f"Sample {fill.letter}: {shared.escape_markdown(fill.name)}")
    st.write(f"{fill.cups} cups; have {fill.volume_ml:.0f} mL ready, {percent(MARGIN)} to spare.")
    rows = [
        {
            "For": row.assessor,
            "Codes": " · ".join(
                [*row.codes, *(f"reference, set {turn}" for turn in row.references)]
            ),
        }
        for row in fill.rows
    ]
    show_table(pd.DataFrame(rows), f"Codes of sample {fill.letter}")


def show_trays(sheet: PourSheet) -> None:
    """The cups of each set, from left to right."""
    if sheet.alone:
        st.write("Put the cups of each set together, and shuffle them until you have lost track.")
    else:
        st.write("Cups from left to right, as the assessor sees them.")
    trays = [
        {
            "For": tray.assessor,
            "Set": tray.replicate,
            "In the set" if sheet.alone else "Left to right": " · ".join(
                [f"reference ({tray.reference})"] * bool(tray.reference) + list(tray.codes)
            ),
        }
        for tray in sheet.trays
    ]
    show_table(pd.DataFrame(trays), "Trays to set, cups from left to right")


def show(engine: Engine, session_id: str) -> None:
    """The page."""
    st.title("Pour sheet")
    try:
        known = sessions.summary(engine, session_id)
    except NotFoundError:
        st.write("This link is not known; ask the host for it.")
        return
    st.write(f"Session: {shared.escape_markdown(known.name)}")
    shared.show_invented(known.invented)
    if known.state != "open":
        st.write("This session is not open, so there is nothing to pour.")
        return
    ask(engine, session_id, known.plan.alone)


show(shared.engine(), access.session_to_pour() or "")
