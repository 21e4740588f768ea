"""Where the focus goes on a new screen of the ballot: to its heading.

Streamlit replaces the elements of a screen, and the focus falls back to the page: whoever tastes
with a keyboard or a screen reader would not hear that the next set has come. On a telephone it
brings the top of the new screen into view.
"""

import json
from collections.abc import Iterator
from contextlib import contextmanager

import streamlit as st

SCRIPT = """<script>(() => {
  const screen = %s, said = %s;
  const before = window.tastingScreen;
  window.tastingScreen = screen;
  if (before === undefined || before === screen) return;  // just loaded, or nothing new
  const arrive = (tries) => {
    const heading = document.querySelector(`.st-key-screen-${screen} :is(h1, h2)`);
    if (!heading) return tries && setTimeout(arrive, 50, tries - 1);
    heading.tabIndex = -1;
    heading.setAttribute("aria-description", said);
    heading.focus();
    heading.scrollIntoView({block: "center"});
  };
  arrive(100);
})();</script>"""
# The elements of the new screen are drawn one after the other, so it waits for the heading.


@contextmanager
def screen(name: str, said: str = "") -> Iterator[None]:
    """What is drawn inside is a screen; `said` is read out after its heading, which gets the focus.

    `name` is of letters, digits and hyphens, and another one for each screen.
    """
    with st.container(key=f"screen-{name}"):
        yield
    st.html(SCRIPT % (json.dumps(name), json.dumps(said)), unsafe_allow_javascript=True)
