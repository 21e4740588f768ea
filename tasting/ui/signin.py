"""What is shown in place of the host's pages when the sign-in has ended: the way to sign in.

Signing in itself is a plain page of the server (`server`), because only that can set a cookie.
"""

import streamlit as st

from tasting.ui.access import SIGN_IN

st.title("Sign in as the host")
st.write("Tasting as an assessor? Open the link or scan the QR code that the host gave you.")
st.html(f'<p><a href="{SIGN_IN}" target="_self" rel="nofollow">Go to the sign-in page</a></p>')
