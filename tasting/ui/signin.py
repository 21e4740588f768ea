"""The page for signing in as the host; at the first start, for choosing the passphrase."""

import streamlit as st
from sqlalchemy import Engine

from tasting.store.access import LEAST_CHARACTERS, has_passphrase
from tasting.ui import access, shared


def first_start(engine: Engine) -> None:
    """Ask for a new passphrase."""
    st.title("Choose the host's passphrase")
    st.write(
        "The host plans sessions, closes them and reads the findings. Assessors never need this: "
        "they get a link. There is no way to recover a lost passphrase, so write it down."
    )
    with st.form("first start", border=False):
        code = ""
        if access.setup_code_wanted():
            code = st.text_input("Setup code, as printed in the terminal", key="setup_code")
        passphrase = st.text_input(
            f"Passphrase, at least {LEAST_CHARACTERS} characters", type="password", key="passphrase"
        )
        again = st.text_input("The same passphrase again", type="password", key="again")
        if st.form_submit_button("Keep it and sign in", type="primary", key="keep"):
            with shared.told():
                access.set_up(engine, passphrase, again, code)
                st.rerun()


def later(engine: Engine) -> None:
    """Ask for the passphrase."""
    st.title("Sign in as the host")
    st.write("Tasting as an assessor? Open the link or scan the QR code that the host gave you.")
    with st.form("sign in", border=False):
        passphrase = st.text_input("Passphrase", type="password", key="passphrase")
        if st.form_submit_button("Sign in", type="primary", key="sign_in"):
            with shared.told():
                access.sign_in(engine, passphrase)
                st.rerun()


database = shared.engine()
if has_passphrase(database):
    later(database)
else:
    first_start(database)
