"""The page for whoever fills the cups; as it shows the key, it asks for the passphrase again."""

import streamlit as st
from sqlalchemy import Engine

from tasting.report.pour_sheet import PourSheet, pour_sheet, pour_sheet_html
from tasting.store import sessions
from tasting.store.access import is_passphrase
from tasting.ui import access, shared


def ask(engine: Engine, session_id: str) -> None:
    """Ask for the passphrase; the right one shows the sheet, and that is put on record."""
    st.warning(
        "The pour sheet tells which code is which sample. Whoever has seen it must not taste, and "
        "should not be the one who hands out the cups. Each time it is shown is put on record."
    )
    with st.form("sheet", border=False):
        passphrase = st.text_input("The host's passphrase", type="password", key="sheet_passphrase")
        if not st.form_submit_button("Show the pour sheet", type="primary", key="show_sheet"):
            return
    if not is_passphrase(engine, passphrase):
        st.error("That is not the passphrase; check capitals and try again.")
        return
    with shared.told():
        show_sheet(pour_sheet(sessions.pour_sheet(engine, session_id, shared.now())))


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
        st.write(
            f"{fill.cups} cups of {sheet.serving_ml:g} mL; have {fill.volume_ml:.0f} mL ready."
        )
        rows = [{"For": who, "Codes": " · ".join(codes)} for who, codes in fill.codes if codes]
        st.table(rows, hide_index=True)
    st.header("2. Set the trays")
    st.write("Cups from left to right, as the assessor sees them.")
    trays = [
        {"Set": tray.replicate, "For": tray.assessor, "Left to right": " · ".join(tray.codes)}
        for tray in sheet.trays
    ]
    st.table(trays, hide_index=True)


def show(engine: Engine) -> None:
    """The page."""
    st.title("Pour sheet")
    opened = [known for known in sessions.summaries(engine) if known.state == "open"]
    if not opened:
        st.write("No session is open. The serving orders are drawn when a session is opened.")
        st.page_link("tasting/ui/run.py", label="Run a session")
        return
    chosen = shared.choose_session(opened, key="session_to_pour")
    shared.show_invented(chosen.invented)
    views = sessions.sheet_views(engine, chosen.id)
    seen = ", ".join(f"{moment:%d %b %H:%M} UTC" for moment in views) or "never"
    st.caption(f"This sheet was shown: {seen}.")
    ask(engine, chosen.id)


access.require_host()
show(shared.engine())
