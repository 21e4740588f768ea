"""What is shown in place of the host's pages when the sign-in has ended: the way to sign in.

The passphrase is asked for by a plain page of the server (`server`): only that can set a cookie.
"""

import streamlit as st

from tasting import settings
from tasting.report.links import SIGN_IN
from tasting.ui import page, single_sign_on


def _offer_login() -> None:
    """Single sign-on, and why it let nobody in."""
    if single_sign_on.standing() == "another":
        address = single_sign_on.address_of(st.user.to_dict()) or "An account without an address"
        st.error(
            f"{page.escape_markdown(address)} is logged in, but is not the verified address of a "
            "host here. Ask whoever runs this app to add it, or use another account."
        )
        st.button("Log out to use another account", on_click=st.logout, key="log_out")
    elif st.button("Sign in with single sign-on", key="log_in", type="primary"):
        with page.show_errors():
            single_sign_on.log_in()


st.title("Sign in as the host")
st.write("Tasting as an assessor? Open the link or scan the QR code that the host gave you.")
if settings.hosts():
    _offer_login()
    st.write("Or with the host's passphrase:")
st.html(f'<p><a href="{SIGN_IN}" target="_self" rel="nofollow">Go to the sign-in page</a></p>')
