"""What goes into the glass and out of it: one tap, or one line; and what it tasted like."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Final

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.bench import Added, BenchStep, Tasted, TastedAway, Undone, glasses, standing
from tasting.drink.bench_line import BenchLine, read_step
from tasting.drink.formula import Formula, Part, Version
from tasting.drink.shelf import shelf
from tasting.errors import TastingError
from tasting.records import checked
from tasting.store import bench
from tasting.store.bench import BenchGlass
from tasting.store.formulas import new_id
from tasting.ui import page
from tasting.ui.dashboard.choice import versions_of
from tasting.ui.drinks import draft as drafting
from tasting.ui.drinks.bench import taps

_ASKED, _FAULT, _EDITION = "bench-asked", "bench-fault", "bench-edition"
# Behind these keys stand a line that was not understood, what went wrong with a tap, and the
# edition of the two fields, which start empty under another one.

_STYLE: Final = """<style>
.st-key-taps > div { flex: 1 1 45%; }
.st-key-taps button { min-height: 56px; width: 100%; }
.st-key-taps button p { font-weight: 600; }
</style>"""


def show(engine: Engine, formula: Formula, kept: Sequence[Formula], glass: BenchGlass) -> None:
    """The buttons, the line and the note, and what went wrong last."""
    st.html(_STYLE)
    _taps(engine, formula, glass)
    _undo(engine, glass)
    _line(engine, kept, glass)
    fault = st.session_state.pop(_FAULT, "")
    if fault:
        st.error(page.escape_markdown(page.capital(f"{fault.rstrip('.')}.")))
    _ask(engine, kept, glass)
    _note(engine, glass)


def _taps(engine: Engine, formula: Formula, glass: BenchGlass) -> None:
    """The pinches used last, and a sip."""
    steps = glass.log.steps
    offered = taps.pinches(steps, _earlier(engine, formula, glass.id))
    with st.container(horizontal=True, gap="xsmall", key="taps"):
        for name, part in zip(taps.names(offered), offered, strict=True):
            _tap(engine, glass, name, Added(part=part), taps.key_of(part))
        sip = TastedAway(volume_ml=taps.sip_ml(steps))
        _tap(engine, glass, str(sip), sip, "sip")


def _tap(engine: Engine, glass: BenchGlass, name: str, step: BenchStep, key: str) -> None:
    st.button(
        page.escape_markdown(name),
        key=f"tap-{key}",
        on_click=_make,
        args=(engine, glass, step),
    )


def _earlier(engine: Engine, formula: Formula, without: str) -> list[Part]:
    """What went into the last other glass of this formula that anything went into."""
    for one in bench.poured(engine, versions_of(formula)):
        if one.id != without and one.steps:
            known = taps.used(bench.glass(engine, one.id).log.steps)
            if known:
                return known
    return []


def _make(engine: Engine, glass: BenchGlass, step: BenchStep) -> None:
    """Keep a step; what goes wrong is said on the page."""
    _keep(engine, glass, step)


def _keep(engine: Engine, glass: BenchGlass, step: BenchStep) -> bool:
    """The same; whether it was kept."""
    st.session_state.pop(_ASKED, None)
    try:
        bench.add_step(engine, glass.id, step, len(glass.log.steps))
    except TastingError as error:
        st.session_state[_FAULT] = str(error)
        return False
    return True


def _undo(engine: Engine, glass: BenchGlass) -> None:
    """The last step that stands, and the button that takes it back."""
    stand = standing(glass.log.steps)
    if not stand:
        return
    last = glass.log.steps[stand[-1]]
    st.button(
        f"Undo {page.escape_markdown(str(last))}",
        key="undo",
        on_click=_make,
        args=(engine, glass, Undone()),
        type="tertiary",
        icon=":material/undo:",
        help="For a wrong entry. What is in the glass stays in it.",
    )


def _key(field: str, glass: BenchGlass) -> str:
    return f"{field}-{glass.id}-{st.session_state.get(_EDITION, '')}"


def _line(engine: Engine, kept: Sequence[Formula], glass: BenchGlass) -> None:
    """One line to type."""
    key = _key("bench-line", glass)
    with _one_line("bench-line"):
        st.text_input(
            "Add, or taste away",
            key=key,
            placeholder="2 mL lemon juice",
            autocomplete="off",
            max_chars=200,
        )
        st.form_submit_button(
            "Add", type="primary", on_click=_typed, args=(engine, kept, glass, key)
        )


@contextmanager
def _one_line(form: str) -> Iterator[None]:
    """A form of one field with its button beside it."""
    with (
        st.form(form, border=False),
        st.container(horizontal=True, vertical_alignment="bottom", gap="small"),
    ):
        yield


def _typed(engine: Engine, kept: Sequence[Formula], glass: BenchGlass, key: str) -> None:
    """Make the step that was typed; what was not understood stays in its field."""
    _read(engine, kept, glass, str(st.session_state.get(key, "")))


def _read(engine: Engine, kept: Sequence[Formula], glass: BenchGlass, text: str) -> None:
    """Make the step of a line, or keep what is asked about it."""
    known = drafting.known_ingredients(kept, parts=glass.log.start.parts)
    found = read_step(text, shelf(known), glasses(bench.glass(engine, glass.id).log)[-1])
    if found.step is None:
        st.session_state[_ASKED] = found
    elif _keep(engine, glass, found.step):
        st.session_state[_EDITION] = new_id()


def _ask(engine: Engine, kept: Sequence[Formula], glass: BenchGlass) -> None:
    """What is not clear of the line, and buttons that settle it."""
    asked: BenchLine | None = st.session_state.get(_ASKED)
    if asked is None:
        return
    st.error(page.escape_markdown(page.capital(f"{asked.asked.rstrip('.')}.")))
    with st.container(horizontal=True, gap="small"):
        for offer in asked.offers:
            st.button(
                page.escape_markdown(offer.name),
                key=f"offer-{offer.line}",
                on_click=_read,
                args=(engine, kept, glass, offer.line),
            )


def _note(engine: Engine, glass: BenchGlass) -> None:
    """What it tastes like now; it is no evidence."""
    key = _key("bench-note", glass)
    with _one_line("bench-note"):
        st.text_input(
            "How does it taste now?",
            key=key,
            max_chars=2000,
            autocomplete="off",
            placeholder="sharper, still thin",
            help="You know what you taste here, so it proves nothing.",
        )
        st.form_submit_button("Note", on_click=_noted, args=(engine, glass, key))


def _noted(engine: Engine, glass: BenchGlass, key: str) -> None:
    text = str(st.session_state.get(key, "")).strip()
    if not text:
        st.session_state[_FAULT] = "the note is empty; write what you tasted"
    elif _keep(engine, glass, checked(Tasted, {"note": text})):
        st.session_state[_EDITION] = new_id()


def version_at(glass: BenchGlass) -> Version:
    """What is in the glass now."""
    return glasses(glass.log)[-1].version
