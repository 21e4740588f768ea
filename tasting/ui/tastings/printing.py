"""Links to what the server prints for a signed-in host alone, and keeps nowhere."""

import streamlit as st

from tasting.report.links import print_link
from tasting.ui import access


def offer_to_print(label: str, session_id: str, kind: str) -> None:
    """A link to something printed of a session: its labels, cards, ballots or report."""
    st.link_button(label, print_link(session_id, kind, access.print_ticket()))
