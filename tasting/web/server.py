"""The web server's application: Streamlit's, behind the guard and beside the sign-in page."""

from importlib.util import find_spec

from starlette.middleware import Middleware
from streamlit.starlette import App

from tasting.errors import StoreError
from tasting.web import sign_in_form
from tasting.web.guard import Guard
from tasting.web.streamlit_patches import apply_patches


def script() -> str:
    """Where the script of Streamlit's pages is. Raises StoreError when it is missing."""
    found = find_spec("streamlit_app")
    if found is None or found.origin is None:
        raise StoreError("the app's script streamlit_app.py is missing; install the package again")
    return found.origin


apply_patches()
app = App(script(), routes=list(sign_in_form.ROUTES), middleware=[Middleware(Guard)])
