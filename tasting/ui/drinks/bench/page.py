"""The bench: a glass of a version, added to pinch by pinch, with what is in it after each.

The address names a glass (`id`), or a version of which one is to be poured (`version`).
"""

from collections.abc import Sequence
from html import escape

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.bench import glasses, standing, tasted_ethanol_g
from tasting.drink.cautions import DEFER, cautions
from tasting.drink.composition import Composition, compose
from tasting.drink.formula import Formula, Version
from tasting.drink.label import Reference
from tasting.errors import NotFoundError
from tasting.insight.advice.question import version_name
from tasting.insight.noticing.repeats import Repeats, evidence, headline, repeats
from tasting.records import now
from tasting.store import bench, formulas, notes, session_index
from tasting.store.bench import BenchGlass
from tasting.store.limits import host_limits
from tasting.ui import access, page, pages
from tasting.ui.dashboard.choice import first_reference, versions_of
from tasting.ui.drinks import views
from tasting.ui.drinks.bench import adding, keeping, pouring, step_list, taps
from tasting.ui.drinks.bench.glass_table import glass_table
from tasting.ui.drinks.noticed_change import noticing
from tasting.ui.page import escape_markdown
from tasting.wording import decimals, millilitres, short

# Keys of a widget and of query parameters, in comments because Streamlit prints bare strings: the
# reference to compare with; the id of a glass; that of a version.
_REFERENCE, _ID, _VERSION = "bench-reference", "id", "version"

# For a thumb: whatever can be tapped is at least 44 px high.
_STYLE = """<style>
.st-key-at-bench button, .st-key-at-bench a[data-testid="stPageLink-NavLink"],
.st-key-at-bench [data-testid="stTextInputRootElement"], .st-key-at-bench .stCheckbox label,
.st-key-at-bench [data-testid="stTextInputField"] { min-height: 44px; }
</style>"""


def _show(engine: Engine) -> None:
    """What the address names."""
    page.say()
    kept = formulas.formulas(engine)
    glass = _glass(engine)
    wanted = glass.log.start.id if glass else st.query_params.get(_VERSION, "")
    for formula in kept:
        for version in formula.versions:
            if version.id == wanted:
                return _show_bench(engine, kept, formula, version, glass)
    page.title("No such glass")
    st.write("No glass is saved under this address. Choose a drink, then Bench.")
    st.page_link(pages.DRINKS.script, label="All drinks")


def _glass(engine: Engine) -> BenchGlass | None:
    wanted = st.query_params.get(_ID)
    if not wanted:
        return None
    try:
        return bench.glass(engine, wanted)
    except NotFoundError:
        return None


def _show_bench(
    engine: Engine,
    kept: Sequence[Formula],
    formula: Formula,
    version: Version,
    glass: BenchGlass | None,
) -> None:
    """The glass, or the form that pours one."""
    label = version_name(version.label)
    st.html(_STYLE)
    with st.container(key="at-bench"):
        with st.container(key="head", gap="small"):
            page.title(f"At the bench: {label}" if glass else f"Pour a glass of {label}")
            st.page_link(
                pages.DRINK.script,
                label=escape_markdown(f"{formula.name}, {label}"),
                icon=":material/arrow_back:",
                query_params={"id": formula.id, "version": version.id},
            )
        if glass is None:
            pouring.show(engine, formula, version)
        else:
            _show_glass(engine, kept, formula, glass)
        page.show_invented(formula.invented)


def _show_glass(
    engine: Engine, kept: Sequence[Formula], formula: Formula, glass: BenchGlass
) -> None:
    references = _usual_first(engine, formula)
    reference = _chosen(references)
    told = _told(engine, formula, reference, glass)
    start = version_name(glass.log.start.label)
    left, right = st.columns(2, gap="medium")
    reached = bool(told and told[0].reached)
    with left, st.container(gap="small"):
        _answer(glass, told)
        saved = keeping.offer_comparison(engine, formula, glass)
        if reached and not saved:
            st.caption(
                f"Save it as a version, then compare it blind with {escape_markdown(start)}."
            )
            keeping.show(engine, formula, glass)
        made = _table(glass, reference)
        adding.show(engine, formula, kept, glass)
    with right, st.container(gap="small"):
        if saved or not reached:
            keeping.show(engine, formula, glass)
        step_list.show(glass)
        _alcohol(engine, glass, made)
        _more(engine, formula, glass, references)


def _usual_first(engine: Engine, formula: Formula) -> list[Reference]:
    """All references, the one that was compared with most often in front."""
    known = notes.still_out(engine, formulas.references(engine))
    usual = first_reference(known, session_index.times_compared(engine, versions_of(formula)))
    return sorted(known, key=lambda one: usual is not None and one.id != known[usual].id)


def _chosen(references: Sequence[Reference]) -> Reference | None:
    """The reference that was chosen below, else the usual one."""
    wanted = st.session_state.get(_REFERENCE)
    return next((one for one in references if one.id == wanted), next(iter(references), None))


def _told(
    engine: Engine, formula: Formula, reference: Reference | None, glass: BenchGlass
) -> tuple[Repeats, ...]:
    """How far the glass is from being noticed, where closed sessions say anything."""
    put_in = taps.used(glass.log.steps)
    model = noticing(engine, formula, reference) if put_in else None
    if model is None:
        return ()
    return repeats(model, glass.log.start, adding.version_at(glass), put_in[-1])


def _answer(glass: BenchGlass, told: Sequence[Repeats]) -> None:
    """The answer first: how many more, else what was done last; then what it rests on."""
    start, log = version_name(glass.log.start.label), glass.log
    last = [str(log.steps[place]) for place in standing(log.steps)][-1:]
    poured = f"{millilitres(log.poured_ml)} of {start}, as poured"
    if not told:
        st.html(_said("Last step" if last else "In the glass", *(last or [poured])))
        return
    first, put_in = told[0], taps.used(log.steps)[-1]
    st.html(_said(f"Last in: {put_in.amount} {put_in.ingredient.name}", headline(told)))
    for one in (first, *(other for other in told[1:] if other.reached)):
        st.caption(escape_markdown(evidence(one, start)))


def _said(before: str, sentence: str) -> str:
    """A line and the sentence that it leads to; who listens hears them after every step."""
    return (
        f'<div role="status"><p class="asks">{escape(before)}</p>'
        f'<p class="says">{escape(sentence)}</p></div>'
    )


def _table(glass: BenchGlass, reference: Reference | None) -> Composition:
    """What is in the glass, which is returned."""
    now = adding.version_at(glass)
    st.html(glass_table(now, glasses(glass.log)[0].version, reference))
    return compose(now)


def _alcohol(engine: Engine, glass: BenchGlass, made: Composition) -> None:
    """What was tasted this evening, if it was swallowed; said quietly, and louder above the limit
    that the host has set for an assessor."""
    if made.at_most("alcohol_percent_vol") <= 0:
        return
    tonight = bench.poured_since(engine, now() - pouring.EVENING)
    if glass.id not in [one.id for one in tonight]:
        tonight = (glass,)
    grams = sum(tasted_ethanol_g(one.log) for one in tonight)
    limit = host_limits(engine).ethanol_g
    many = f"{len(tonight)} glasses within 12 hours" if len(tonight) > 1 else "this glass"
    said = "Alcohol adds up over an evening: spit, and do not drive afterwards."
    if grams:
        said += f" Tasted away of {many}: {decimals(grams, 1)} g of alcohol if swallowed."
    if grams > limit:
        st.warning(f"{said} That is above your limit of {short(limit)} g. Continue another day.")
    else:
        st.caption(said)


def _more(
    engine: Engine, formula: Formula, glass: BenchGlass, references: Sequence[Reference]
) -> None:
    """What is looked at now and then: cautions, another reference, other glasses."""
    with st.expander("Cautions, reference, other glasses"):
        for caution in cautions(adding.version_at(glass)):
            st.markdown(f"- {escape_markdown(caution.text)}")
        st.caption(f"Reminders only. No warning does not mean safe. {DEFER}")
        if len(references) > 1:
            views.choose_reference(references, _REFERENCE)
        page.link_here(
            pages.BENCH, "Pour another glass", {_VERSION: glass.log.start.id}, "pour-another"
        )
        pouring.show_earlier(engine, formula, glass.id)


access.require_host()
_show(page.engine())
