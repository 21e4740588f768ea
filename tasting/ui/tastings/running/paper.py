"""A section of an open session: ballots on paper, and what is typed in from them, still blind."""

import streamlit as st
from sqlalchemy import Engine

from tasting.errors import InputError
from tasting.panel.ballots import SLIP_COLUMNS, TypedAnswer, typed_answers
from tasting.records import checked, now
from tasting.store.paper import enter_typed
from tasting.store.sessions import Summary, seats
from tasting.ui import page
from tasting.ui.tastings.printing import offer_to_print

MOST_BYTES = 500_000


def paper(engine: Engine, known: Summary) -> None:
    """Paper ballots to print, and their answers one by one or as a file."""
    st.write(
        "A session may mix paper and phones. A paper ballot shows codes only; type in what was "
        "ticked. You stay blind."
    )
    offer_to_print("Paper ballots to print", known.id, "ballots")
    with st.expander("Type in an answer"):
        _type_in(engine, known)
    with st.expander("Read answers from a CSV file"):
        _read_file(engine, known)


def _type_in(engine: Engine, known: Summary) -> None:
    """One answer, to the set that comes next."""
    waiting = {
        seat.assessor: seat.answered + 1
        for seat in seats(engine, known.id)
        if seat.answered < seat.planned and not seat.withdrawn
    }
    if not waiting:
        st.write("All answers are in.")
        return
    assessor = st.selectbox("Assessor", list(waiting), key=f"paper-who-{known.id}")
    turn = waiting[assessor]
    with st.form(f"paper-{known.id}", border=False):
        choice = st.text_input(
            f"What was ticked on the ballot of set {turn}",
            key=f"paper-choice-{known.id}-{assessor}-{turn}",
            max_chars=60,
            placeholder="482, or 482 + 517, or the words",
        )
        sent = st.form_submit_button("Save this answer", key=f"paper-keep-{known.id}")
    if sent:
        with page.show_errors():
            typed = checked(TypedAnswer, {"assessor": assessor, "set": turn, "choice": choice})
            enter_typed(engine, known.id, [(None, typed)], now())
            st.rerun()


def _read_file(engine: Engine, known: Summary) -> None:
    """All answers of a file, or none of them."""
    st.write(f"A file with the columns {', '.join(SLIP_COLUMNS)}: all of it is saved, or nothing.")
    st.code(f"{','.join(SLIP_COLUMNS)}\nP01,1,482", language=None)
    with st.form(f"paper-file-{known.id}", border=False, clear_on_submit=True):
        file = st.file_uploader(
            "CSV file", type="csv", key=f"paper-csv-{known.id}", max_upload_size=1
        )
        sent = st.form_submit_button("Save these answers", key=f"paper-read-{known.id}")
    if sent and file is None:
        st.error("Choose a file first.")
    elif sent and file is not None:
        with page.show_errors():
            lines = typed_answers(text_of(file.getvalue()))
            count = enter_typed(engine, known.id, lines, now())
            st.success(f"Saved {count} answers.")


def text_of(data: bytes) -> str:
    """The text of a file. Raises InputError when it is large or no text."""
    if len(data) > MOST_BYTES:
        raise InputError(f"the file is too large: at most {MOST_BYTES // 1000} kB; split it")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError("the file is not UTF-8 text; save it as CSV in UTF-8") from None
