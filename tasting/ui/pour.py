"""The page for whoever fills the cups, behind a link of its own; it shows the key.

It asks for the host's passphrase or the pourer's code each time, and who looked is put on record.
"""

import pandas as pd
import streamlit as st
from sqlalchemy import Engine

from tasting.errors import InputError, NotFoundError
from tasting.report.pour_sheet import PourSheet, pour_sheet, pour_sheet_html
from tasting.store import sessions
from tasting.store.access import check_passphrase, check_pourer_code
from tasting.ui import access, shared
from tasting.ui.tables import show_table


def ask(engine: Engine, session_id: str) -> None:
    """Ask who it is and for the code; the right one shows the sheet."""
    st.warning(
        "The pour sheet tells which code is which sample. Whoever has seen it must not taste, and "
        "should not be the one who hands out the cups. Who opens it is put on record."
    )
    with st.form("sheet", border=False):
        reader = st.text_input("Who are you? A pseudonym will do", key="reader", max_chars=60)
        code = st.text_input(
            "Pourer's code, or the host's passphrase", type="password", key="sheet_code"
        )
        asked = st.form_submit_button("Show the pour sheet", type="primary", key="show_sheet")
    if asked:
        with shared.told():
            if not reader.strip():
                raise InputError("say who you are; a pseudonym will do")
            admit(engine, session_id, code)
            show_sheet(
                pour_sheet(sessions.pour_sheet(engine, session_id, shared.now(), reader.strip()))
            )


def admit(engine: Engine, session_id: str, code: str) -> None:
    """Raises InputError unless this is the pourer's code or the host's passphrase."""
    if code.strip().isdigit():
        check_pourer_code(engine, session_id, code, shared.now())
    else:
        check_passphrase(engine, code, shared.now(), door=f"pour {session_id}")


def show_sheet(sheet: PourSheet) -> None:
    """The sheet as tables, and as a page to print."""
    st.download_button(
        "Download to print (A4 or Letter)",
        pour_sheet_html(sheet),
        file_name="pour-sheet.html",
        mime="text/html",
        on_click="ignore",
        key="download_sheet",
    )
    st.header("1. Label the cups and fill them")
    for fill in sheet.fills:
        st.subheader(f"Sample {fill.letter}: {shared.plain(fill.name)}")
        marked = f", {fill.references} of them marked as the reference" if fill.references else ""
        st.write(
            f"{fill.cups} cups of {sheet.serving_ml:g} mL{marked}; have {fill.volume_ml:.0f} mL "
            "ready."
        )
        rows = [{"For": who, "Codes": " · ".join(codes)} for who, codes in fill.codes if codes]
        show_table(pd.DataFrame(rows), f"Codes of sample {fill.letter}")
    st.header("2. Set the trays")
    st.write("Cups from left to right, as the assessor sees them.")
    trays = [
        {
            "Set": tray.replicate,
            "For": tray.assessor,
            "Left to right": " · ".join(
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
    st.write(f"Session: {shared.plain(known.name)}")
    shared.show_invented(known.invented)
    if known.state != "open":
        st.write("This session is not open, so there is nothing to pour.")
        return
    ask(engine, session_id)


show(shared.engine(), access.session_to_pour() or "")
