"""What all pages share: the database, and how faults and invented data are shown."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from typing import NoReturn
from urllib.parse import urlsplit

import streamlit as st
from pydantic import ValidationError
from sqlalchemy import Engine

from tasting import settings
from tasting.errors import StoreError, TastingError
from tasting.records import sentence
from tasting.store.database import database
from tasting.store.sessions import Summary


def engine(instead: str = "") -> Engine:
    """The database; when it cannot be opened, the page says why, or `instead`, and stops."""
    with show_store_errors(instead):
        return database()
    st.stop()


def day(moment: datetime | None) -> str:
    """A moment as a day: 3 Nov 2026; nothing as a dash."""
    return f"{moment.day} {moment:%b %Y}" if moment else "–"


def percent(share: float) -> str:
    """A share as whole per cent: 34 %."""
    return f"{100 * share:.0f} %"


@contextmanager
def show_errors() -> Iterator[None]:
    """Turns a fault inside the block into one sentence on the page; the page goes on after it."""
    try:
        yield
    except ValidationError as error:
        st.error(escape_markdown(capital(sentence(error))))
    except TastingError as error:
        st.error(escape_markdown(capital(str(error))))


@contextmanager
def show_store_errors(instead: str = "") -> Iterator[None]:
    """Turns a fault of the database inside the block into one sentence on the page.

    instead: what to say to somebody who can do nothing about it
    """
    try:
        yield
    except StoreError as error:
        st.error(instead or escape_markdown(capital(str(error))))


def capital(text: str) -> str:
    """The text as a sentence begins."""
    return text[:1].upper() + text[1:]


_TOLD = "told"  # key in the browser's session of what is to be said after the next start


def tell(said: str) -> NoReturn:
    """Starts the page again, and says there what was done."""
    st.session_state[_TOLD] = said
    st.rerun()


def show_told() -> None:
    """What was done before the page started again, for a while."""
    if _TOLD in st.session_state:
        said = escape_markdown(st.session_state.pop(_TOLD))
        st.toast(said, icon=":material/check:", duration="long")


def show_invented(note: str) -> None:
    """Says that data on this page are invented, if they are."""
    if note:
        st.info(f"Invented data: {escape_markdown(note)}")


def escape_markdown(text: str) -> str:
    """A text that somebody typed, so that Markdown and HTML in it are shown as they are."""
    special = "\\`*_{}[]()<>#+-.!|~$:&"
    return "".join(f"\\{sign}" if sign in special else sign for sign in text)


def choose_session(known: Sequence[Summary], key: str) -> Summary:
    """Lets the host choose one of these sessions; the first one at first."""
    by_id = {summary.id: summary for summary in known}
    chosen = st.selectbox(
        "Session",
        list(by_id),
        format_func=lambda id_: f"{by_id[id_].name} ({by_id[id_].state})",
        key=key,
    )
    return by_id[chosen]


def base_url() -> str:
    """The address under which assessors reach the app: configured, or the one in this browser."""
    configured = settings.base_url()
    if configured:
        return configured
    address = urlsplit(st.context.url or "http://localhost:8501")
    return f"{address.scheme}://{address.netloc}"
