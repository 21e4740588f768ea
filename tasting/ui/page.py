"""What all pages share: the database, and how faults and invented data are shown."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from mimetypes import guess_type
from typing import NoReturn
from urllib.parse import urlsplit

import streamlit as st
from pydantic import ValidationError
from sqlalchemy import Engine

from tasting import settings
from tasting.errors import StoreError, TastingError
from tasting.records import all_faults, sentence
from tasting.store.database import database
from tasting.ui.pages import AppPage

_TO_SAY = "to_say"


def engine() -> Engine:
    """The database; when it cannot be opened, the page says why and stops."""
    with show_store_errors():
        return database()
    st.stop()


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
def show_store_errors() -> Iterator[None]:
    """Turns a fault of the database inside the block into one sentence on the page."""
    try:
        yield
    except StoreError as error:
        st.error(escape_markdown(capital(str(error))))


def title(text: str) -> None:
    """The heading of the page, and what stands on its tab."""
    st.set_page_config(page_title=f"{text} · Tasting log")
    st.title(escape_markdown(text))


def capital(text: str) -> str:
    """The text as a sentence begins."""
    return text[:1].upper() + text[1:]


def offer_file(
    label: str, make: str | bytes | Callable[[], str | bytes], name: str, key: str
) -> None:
    """A button that downloads a file; a function makes it when it is asked for."""
    kind = guess_type(name)[0]
    st.download_button(
        label, make, file_name=name, mime=kind, on_click="ignore", key=f"download_{key}"
    )


def link_here(to: AppPage, label: str, query: dict[str, str], key: str) -> None:
    """A link from a page to another address of the same page.

    Of `st.page_link` to the page that is open the browser's address does not learn: whatever is
    typed next would open the old one again.
    """
    if st.button(label, key=key, type="tertiary"):
        st.switch_page(to.script, query_params=query)


def say_later(text: str) -> NoReturn:
    """Says it on this page's next run, which begins at once."""
    st.session_state[_TO_SAY] = text
    st.rerun()


def say() -> None:
    """Says what was put off to this run."""
    if _TO_SAY in st.session_state:
        text = escape_markdown(st.session_state.pop(_TO_SAY))
        st.toast(text, icon=":material/check:", duration="long")


def meant(sent: bool, ticked: bool, fault: str = "") -> bool:
    """Whether a form was sent with its box ticked and without a fault; else says what it lacks, all
    at once."""
    faults = [fault] if fault else []
    if not ticked:
        faults.append("tick the box to say that you mean it")
    if sent and faults:
        st.error(escape_markdown(all_faults(faults)))
    return sent and not faults


def show_invented(note: str) -> None:
    """Says that data on this page are invented, if they are."""
    if note:
        st.caption(f"Invented data: {escape_markdown(note)}")


def show_set_aside(sentences: Sequence[str]) -> None:
    """Says which sessions are left out of this page because they are damaged, and why."""
    for told in sentences:
        said = f"Set aside: {told}. Everything else is shown. Run `tasting check` for details."
        st.warning(escape_markdown(said), icon=":material/warning:")


def escape_markdown(text: str) -> str:
    """A text that somebody typed, so that Markdown and HTML in it are shown as they are."""
    special = "\\`*_{}[]()<>#+-.!|~$:&"
    return "".join(f"\\{sign}" if sign in special else sign for sign in text)


def base_url() -> str:
    """The address under which assessors reach the app: configured, or the one in this browser."""
    configured = settings.base_url()
    if configured:
        return configured
    address = urlsplit(st.context.url or "http://localhost:8501")
    return f"{address.scheme}://{address.netloc}"
