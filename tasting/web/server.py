"""The web server's application: the plain pages, and Streamlit's behind the guard."""

from contextlib import suppress
from importlib.util import find_spec

from starlette.middleware import Middleware
from streamlit.starlette import App

from tasting.errors import StoreError
from tasting.store.database import database, open_ahead
from tasting.web.guard import Guard


def _script() -> str:
    """Where the script of Streamlit's pages is. Raises StoreError when it is missing."""
    found = find_spec("streamlit_app")
    if found is None or found.origin is None:
        raise StoreError("the app's script streamlit_app.py is missing; install the package again")
    return found.origin


with suppress(StoreError):  # the pages say what is wrong with the database
    open_ahead(database())
app = App(_script(), middleware=[Middleware(Guard)])
