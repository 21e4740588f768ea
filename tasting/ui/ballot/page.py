"""The assessor's page: one set at a time, forced choice, no way back.

The database knows where the assessor is; nothing that matters is kept in the browser's session, and
the keys of all widgets hold the number of the set, so that an old choice never answers a new set.
"""

import streamlit as st
from sqlalchemy import Engine

from tasting.errors import NotFoundError
from tasting.panel.care import notices
from tasting.records import now
from tasting.store import ballots
from tasting.store.ballots import Ballot
from tasting.ui import access, page
from tasting.ui.ballot.focus import screen
from tasting.ui.ballot.late_answer import answered_elsewhere, answered_here, tell_if_late

STYLE = """<style>
.stMainBlockContainer button {border-width: 2px; border-color: currentColor;}
.stMainBlockContainer [data-testid="stCaptionContainer"] p {opacity: 1; color: inherit;}
.stMainBlockContainer [data-testid="stCaptionContainer"] {opacity: 1; color: inherit;}
.stMainBlockContainer button:focus-visible {outline: 4px solid #1a6fd6; outline-offset: 2px;}
.stMainBlockContainer [data-testid="stPills"] button {min-height: 2.9rem; padding: 0 1rem;}
.stMainBlockContainer .stCheckbox label {padding: 0.75rem 0;}
.stMainBlockContainer .stCheckbox label > div:first-of-type {
  border: 2px solid currentColor; width: 1.5rem; height: 1.5rem; flex-shrink: 0;}
.stCheckbox label:has(:focus-visible) {outline: 4px solid #1a6fd6; outline-offset: 2px;}
.stMainBlockContainer [data-testid="stTextInputRootElement"] {border: 2px solid currentColor;}
.st-key-choices button {min-height: 5rem; padding: 0.25rem;}
.st-key-choices button p {font-size: clamp(1.5rem, 7.5vw, 1.9rem); font-weight: 700;}
.st-key-choices .stElementContainer {flex: 1 1 0; min-width: 0;}
:is(.st-key-choices, .st-key-words) button p span {white-space: nowrap;}
.st-key-choices button p span {display: block;}
:is(.st-key-choices, .st-key-words) button:has(p span) {
  background: #0b4a8f !important; color: #fff !important; border-color: #0b4a8f !important;}
.stMainBlockContainer h1 {font-size: clamp(1.7rem, 8vw, 2.75rem); padding-top: 0;}
.stMainBlockContainer h2 {font-size: clamp(1.4rem, 6.5vw, 2.25rem); padding-top: 0.5rem;}
.stMainBlockContainer :is(h1, h2):focus {outline: 3px solid #1a6fd6; outline-offset: 2px;}
.stMainBlockContainer :is(h1, h2):focus:not(:focus-visible) {outline: none;}
.st-key-words button {min-height: 3.8rem;}
.st-key-words button p {font-size: 1.3rem; font-weight: 600;}
.st-key-go button {min-height: 3.5rem;}
.st-key-go button p {font-size: 1.15rem; font-weight: 600;}
</style>"""
# Made for wet hands and bright light: wide edges, full contrast, a focus that can be seen.
CHOSEN = " :small[✓ chosen]"
# A button of another type would be another element, and the focus would be lost with the first.
FAILED = (
    "The host's computer does not answer as it should, and nothing of this tap was kept. Wait a "
    "moment and try again; if it stays so, tell the host."
)
SURENESS = {"I am sure": True, "I am guessing": False}


def begin(engine: Engine, token: str, shown: Ballot) -> None:
    """The first screen: what is in the samples, consent, and the right to stop."""
    st.title("Before you taste", anchor=False)
    with st.container(border=True):
        told = (*notices(shown.allergens, shown.alcohol_percent_vol), f"You get {shown.gets}.")
        for notice in told:
            st.write(f":material/warning: {page.escape_markdown(notice)}")
    sets = "1 set" if shown.planned == 1 else f"{shown.planned} sets, one after the other"
    spit = " Please spit out what you taste." if shown.spit else ""
    st.write(
        f"You are **{page.escape_markdown(shown.assessor)}**. You get {sets}. Taste the cups from "
        "left to right; you may go back to a cup within the set. If you are not sure, choose all "
        f"the same: a guess counts.{spit} Do not talk about the samples before the host closes "
        "the session."
    )
    adult = " I am of legal age to drink alcohol." if shown.alcohol_percent_vol else ""
    agreed = st.checkbox(f"I have read this and taste of my own will.{adult}", key="agreed")
    with st.container(key="go"):
        if st.button("Start tasting", key="begin", type="primary", width="stretch"):
            if agreed:
                with page.show_errors(), page.show_store_errors(FAILED):
                    ballots.consent(engine, token, now())
                    st.rerun()
            else:
                st.error("Tick the box first, or tell the host that you do not want to taste.")


@st.fragment(run_every=1)
def rest(until: float) -> None:
    """The pause between two sets, counted down; at its end the page goes on by itself."""
    left = int(until - now().timestamp()) + 1
    if left <= 0:
        st.rerun()
    st.header("Rest your palate", anchor=False)
    st.write("Take some water, and a plain cracker if there is one.")
    st.metric("The next set comes in", f"{left} s")


def heading(shown: Ballot) -> None:
    """Where the assessor is, and the question."""
    st.caption(f"{page.escape_markdown(shown.assessor)} · set {shown.replicate} of {shown.planned}")
    st.header(page.escape_markdown(shown.question), anchor=False)


def choose(shown: Ballot) -> str | None:
    """A large button for each choice, codes in serving order."""
    if shown.reference:
        st.write("First the cup that is marked as the reference, then from left to right:")
    else:
        st.write("Your cups from left to right:")
    cups = tuple(choice for choice in shown.choices if choice in shown.codes)
    if not cups:
        st.subheader(" · ".join(shown.codes), anchor=False)
    others = tuple(choice for choice in shown.choices if choice not in cups)
    for key, choices in (("choices", cups), ("words", others)):
        if choices:
            with st.container(key=key, horizontal=key == "choices"):
                _offer(shown, choices)
    return _chosen(shown)


def _offer(shown: Ballot, choices: tuple[str, ...]) -> None:
    for choice in choices:
        label = choice.replace("+", " + ")
        st.button(
            f"{label}{CHOSEN}" if choice == _chosen(shown) else label,
            key=f"code-{_place(shown)}-{choice}",
            width="stretch",
            on_click=_choices().__setitem__,
            args=(_place(shown), choice),
        )


def _chosen(shown: Ballot) -> str | None:
    chosen = _choices().get(_place(shown))
    return chosen if chosen in shown.choices else None


def _choices() -> dict[str, str]:
    """The choices made on this screen, by set.

    A plain dictionary: before Streamlit writes into its session state, it drops the present run if
    another tap has come, and with it the choice.
    """
    kept: dict[str, str] = st.session_state.setdefault("choices-made", {})
    return kept


def _place(shown: Ballot) -> str:
    return f"{shown.session_id}-{shown.replicate}"


def confirm(engine: Engine, token: str, shown: Ballot, choice: str | None) -> None:
    """Sureness and remark, and the button that records the answer for good."""
    if choice is None:
        st.info("Tap your choice. You have to choose; a guess counts.")
        return
    st.info(f"You chose **{page.escape_markdown(choice)}**. You may still change that.")
    sure = _sureness(shown)
    remark = st.text_input("Remark, if you like", key=f"remark-{_place(shown)}", max_chars=500)
    told = st.container()  # above the button, where it is in sight on a telephone
    with st.container(key="go"):
        sent = st.button(
            "Record this and go on",
            key=f"record-{_place(shown)}",
            type="primary",
            width="stretch",
        )
    st.caption("After this the answer cannot be changed.")
    if sent:
        with told:
            _record(engine, token, shown, choice, remark, sure)


def _record(
    engine: Engine, token: str, shown: Ballot, choice: str, remark: str, sure: bool | None
) -> None:
    with page.show_errors(), page.show_store_errors(FAILED):
        number = shown.replicate
        answered_here(shown)
        if not ballots.record_answer(
            engine, token, number, choice, now(), remark=remark, sure=sure
        ):
            answered_elsewhere(shown)
        st.rerun()


def _sureness(shown: Ballot) -> bool | None:
    if any("sure" in choice for choice in shown.choices):
        return None
    said = st.pills("How sure are you? (if you like)", list(SURENESS), key=f"sure-{_place(shown)}")
    return SURENESS[said] if said else None


def choose_place(engine: Engine, token: str, shown: Ballot) -> None:
    """For who tastes alone: the place of the chosen cup, before its code is looked at."""
    st.write("You do not know the codes: they are under the cups. Tap the place of your choice.")
    with st.container(key="choices", horizontal=True):
        for number in range(1, len(shown.codes) + 1):
            if st.button(f"{number}", key=f"place-{_place(shown)}-{number}", width="stretch"):
                with page.show_errors(), page.show_store_errors(FAILED):
                    answered_here(shown)
                    if not ballots.record_position(engine, token, shown.replicate, number, now()):
                        answered_elsewhere(shown)
                    st.rerun()


def choose_alone(engine: Engine, token: str, shown: Ballot) -> None:
    """For who tastes alone: first the place of the chosen cup, then the code under it."""
    if shown.position is None:
        choose_place(engine, token, shown)
        return
    st.write(f"You chose cup {shown.position}. Now lift it and type the code under it.")
    with st.form(f"under-{_place(shown)}", border=False):
        code = st.text_input("Code under the cup", key=f"under-code-{_place(shown)}", max_chars=3)
        sure = _sureness(shown)
        remark = st.text_input("Remark, if you like", key=f"remark-{_place(shown)}", max_chars=500)
        told = st.container()
        with st.container(key="go"):
            sent = st.form_submit_button("Record this and go on", type="primary", width="stretch")
    st.caption("After this the answer cannot be changed.")
    if sent:
        with told:
            _record(engine, token, shown, code.strip(), remark, sure)


def offer_to_stop(engine: Engine, token: str) -> None:
    """The right to stop: what was given stays, nothing more is asked."""
    with st.expander("I want to stop"):
        st.write("You may stop at any time. The answers that you gave are kept.")
        if st.button("Stop this tasting", key="stop"):
            with page.show_errors(), page.show_store_errors(FAILED):
                ballots.withdraw(engine, token, now())
                st.rerun()


def finished(shown: Ballot) -> None:
    """The last screen: nothing about right or wrong."""
    st.title("Thank you", anchor=False)
    if shown.state != "open":
        st.write("This session takes no more answers.")
        return
    if shown.withdrawn:
        st.write("You stopped this tasting; the answers that you gave are kept.")
        return
    st.write("All your answers are in. You may close this page.")
    st.write("Please do not talk about the samples before the host closes the session.")


def taste(engine: Engine, token: str, shown: Ballot) -> None:
    """The set that comes next, or the rest before it."""
    until, number = shown.rest_until, shown.replicate
    if until and until > now():
        with screen(f"rest-{number}"):
            rest(until.timestamp())
        return
    with screen(*_screen_of(shown)):
        heading(shown)
        if shown.alone:
            choose_alone(engine, token, shown)
        else:
            confirm(engine, token, shown, choose(shown))
    offer_to_stop(engine, token)


def _screen_of(shown: Ballot) -> tuple[str, str]:
    """The name of a set's screen, and what is read out after its heading."""
    if shown.position is not None:
        return f"under-{shown.replicate}", f"You chose cup {shown.position}"
    return f"set-{shown.replicate}", f"set {shown.replicate} of {shown.planned}"


def show(engine: Engine, token: str) -> None:
    """The page for the seat with this token."""
    try:
        shown = ballots.ballot(engine, token)
    except NotFoundError:
        st.title("This link is not known")
        st.write("Ask the host for your link or scan the QR code again.")
        return
    tell_if_late(shown)
    if not shown.codes:
        with screen("end"):
            finished(shown)
    elif not shown.consented:
        with screen("begin"):
            begin(engine, token, shown)
    else:
        taste(engine, token, shown)


st.html(STYLE)
with page.show_store_errors(FAILED):
    show(page.engine(FAILED), access.seat_token() or "")
