"""What is typed into the form of a reference, kept in the database with every change.

So leaving, reloading and another device find it. What this browser typed last wins; where it typed
nothing, it shows what another device saved.
"""

from collections.abc import Mapping
from typing import Any

import streamlit as st
from sqlalchemy import Engine

from tasting.drink.label import Reference
from tasting.store import drafts
from tasting.store.drafts import Draft, KeptDraft
from tasting.ui.drinks import reference_form as typed
from tasting.wording import clock, day, exact

NEW, CORRECTION = "reference-", "correction-"
# What the places of their drafts begin with.
_NAMED_OTHERWISE = {"source_note": "source"}


def _key(field: str, form: str) -> str:
    return f"{_NAMED_OTHERWISE.get(field, field)}-{form}"


def _last(place: str) -> str:
    """Where the values stand that this browser and the database agreed on last."""
    return f"agreed-{place}"


def fill_in(engine: Engine, place: str, form: str) -> KeptDraft | None:
    """Puts the draft of this place into the fields before they are shown; the draft, if any."""
    kept = drafts.draft(engine, place)
    if kept and not _typed_here(place, form):
        for field, value in kept.draft.typed.items():
            st.session_state[_key(field, form)] = value
        st.session_state[_last(place)] = dict(kept.draft.typed)
    return kept


def _typed_here(place: str, form: str) -> bool:
    """Whether the fields say something else than what was agreed on last."""
    last: Mapping[str, Any] = st.session_state.get(_last(place), {})
    now = {field: st.session_state.get(_key(field, form), value) for field, value in last.items()}
    return {**now, **_plain(now)} != last


def _plain(values: Mapping[str, Any]) -> dict[str, Any]:
    """The values as a draft holds them."""
    return {
        name: value if isinstance(value, str) else list(value) for name, value in values.items()
    }


def keep(
    engine: Engine, place: str, values: Mapping[str, Any], known: Reference | None = None
) -> None:
    """Saves what stands in the fields, where it changed; nothing is kept of an untouched form."""
    now = _plain(values)
    if now == st.session_state.get(_last(place), _untouched(known)):
        return
    st.session_state[_last(place)] = now
    if now == _untouched(known):
        drafts.drop_draft(engine, place)
    else:
        drafts.keep_draft(engine, place, Draft(name=now["name"], typed=now))


def _untouched(known: Reference | None) -> dict[str, Any]:
    """What the form begins with."""
    numbers = {field: typed.text(known, field) if known else "" for field in typed.VALUES}
    return {
        "name": known.name if known else "",
        "serving_ml": exact(known.serving_ml) if known else "",
        **numbers,
        "rules": known.rules if known else next(iter(typed.RULES)),
        "kind": known.kind if known else next(iter(typed.KINDS)),
        "allergens": list(known.allergens) if known else [],
        "source_note": known.source_note if known else "",
        **({"reason": ""} if known else {}),
    }


def end(engine: Engine, place: str, form: str) -> None:
    """The draft has become a reference or a correction, or nobody wants it."""
    drafts.drop_draft(engine, place)
    last: Mapping[str, Any] = st.session_state.pop(_last(place), {})
    for field in last:
        st.session_state.pop(_key(field, form), None)


def say_saved(kept: KeptDraft | None) -> None:
    """That what is typed is safe, and since when."""
    if kept is None:
        st.caption("A draft is saved while you write.")
        return
    st.caption(f"Draft saved {day(kept.saved_at)}, {clock(kept.saved_at)}")


def offer_to_discard(engine: Engine, place: str, form: str, kept: KeptDraft | None) -> None:
    """A button that throws the draft away, where there is one."""
    if kept:
        st.button(
            "Discard the draft",
            key=f"discard-{place}",
            on_click=end,
            args=(engine, place, form),
            type="tertiary",
        )
