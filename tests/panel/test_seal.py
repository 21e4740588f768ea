"""The seal can be recomputed by anyone from the recipe in sample_sessions/README.md."""

import hashlib
import json
from random import Random

import pytest

from tasting.errors import InputError
from tasting.panel.methods import METHODS
from tasting.panel.plan import Plan
from tasting.panel.seal import new_salt, sealed_text
from tasting.panel.session import Session
from tests.panel.sessions import amendment, changed, exclusion
from tests.sources import ROOT
from tests.ui.workshop import START, answered, opened, planned

RUNNING = opened(planned("acid", replicates=2))


def recomputed(session: dict[str, object]) -> str:
    """By the README's recipe, from a session as it stands in a JSON document."""
    defaults = {
        name: field.default for name, field in Plan.model_fields.items() if not field.is_required()
    }
    written = session["plan"]
    fixed = {
        name: list(value) if isinstance(value, tuple) else value
        for name, value in written.items()
        if name != "assessors" and not (name in defaults and _listed(defaults[name]) == value)
    }
    sets = [
        [written["assessors"].index(one["assessor"]), one["replicate"], one["order"], *one["codes"]]
        for one in session["sets"]
    ]
    text = {"session": session["id"], "salt": session["salt"], "plan": fixed, "sets": sets}
    plain = json.dumps(text, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(plain.encode()).hexdigest()


def test_how_it_is_conducted_is_sealed_too() -> None:
    """Inside `conduct` what is empty is left out as well, says the README."""
    session = opened(planned("acid", conduct={"room": "the cellar"}))
    written = session.model_dump(mode="json")
    written["plan"]["conduct"] = {"room": "the cellar"}

    assert recomputed(written) == session.sealed


def _listed(value: object) -> object:
    return list(value) if isinstance(value, tuple) else value


@pytest.mark.parametrize("method", METHODS)
def test_json_and_sha_256_give_the_seal_again(method: str) -> None:
    session = opened(planned("acid", method, alpha=0.1, allergens=("Nüsse",)))

    assert recomputed(session.model_dump(mode="json")) == session.sealed


def test_the_seals_of_the_sample_sessions_are_recomputed_from_their_files() -> None:
    text = (ROOT / "sample_sessions" / "closed_sessions.json").read_text("utf-8")
    sessions = json.loads(text)["sessions"]

    assert len(sessions) == 23
    assert all(recomputed(session) == session["sealed"] for session in sessions)


def test_the_sealed_text_is_this_one_letter_by_letter() -> None:
    """Written down by hand from the README's recipe."""
    session = planned("acid", assessors=("Ann",)).opened(START.replace(month=3), Random(1), "00ff")
    served = session.sets[0]
    codes = ",".join(f'"{code}"' for code in served.codes)

    assert sealed_text("acid", session.plan, session.sets, "00ff") == (
        '{"plan":{"a":{"id":"spritz-1","kind":"version","name":"Spritz, v1"},'
        '"b":{"id":"spritz-2","kind":"version","name":"Spritz, v2"},"method":"triangle"},'
        f'"salt":"00ff","session":"acid","sets":[[0,1,"{served.order}",{codes}]]}}'
    )


def test_what_is_at_its_default_is_left_out_so_that_plans_can_grow() -> None:
    spelt_out = Plan.model_validate(RUNNING.plan.model_dump())
    text = sealed_text("acid", spelt_out, RUNNING.sets, RUNNING.salt)

    assert text == sealed_text("acid", RUNNING.plan, RUNNING.sets, RUNNING.salt)
    assert "alpha" not in text
    assert "Assessor" not in text


def turned(session: Session) -> dict[str, object]:
    """The first set served in another order."""
    first, *rest = session.sets
    order = next(one for one in session.plan.procedure.orders if one != first.order)
    return {"sets": (first.model_copy(update={"order": order}), *rest)}


def recoded(session: Session) -> dict[str, object]:
    """Two codes of the first set changed round."""
    first, *rest = session.sets
    one, two, three = first.codes
    return {"sets": (first.model_copy(update={"codes": (two, one, three)}), *rest)}


def swapped(session: Session) -> dict[str, object]:
    """Two assessors given each other's cups."""
    one, two, *rest = session.sets
    names = {"assessor": two.assessor}, {"assessor": one.assessor}
    return {"sets": (one.model_copy(update=names[0]), two.model_copy(update=names[1]), *rest)}


@pytest.mark.parametrize("change", [turned, recoded, swapped])
def test_a_changed_key_is_refused(change) -> None:
    with pytest.raises(InputError, match="the seal does not fit: the plan or the key was changed"):
        changed(RUNNING, **change(RUNNING))


@pytest.mark.parametrize(
    "more",
    [
        {"alpha": 0.1},
        {"p_d": 0.5},
        {"beta": 0.1},
        {"aim": "similarity", "replicates": 1},
        {"sequential": True},
        {"serving_ml": 20},
        {"allergens": ("milk",)},
        {"spit": True},
        {"a": RUNNING.plan.a.model_copy(update={"name": "Spritz, v9"})},
    ],
    ids=lambda more: next(iter(more)),
)
def test_a_changed_plan_is_refused(more: dict[str, object]) -> None:
    plan = Plan.model_validate({**dict(RUNNING.plan), **more})
    sets = RUNNING.sets[: plan.tastings]
    with pytest.raises(InputError, match="the seal does not fit"):
        changed(RUNNING, plan=plan, sets=sets)


@pytest.mark.parametrize("more", [{"salt": "0" * 32}, {"salt": ""}, {"id": "other"}])
def test_another_salt_or_session_is_refused(more: dict[str, object]) -> None:
    with pytest.raises(InputError, match="the seal does not fit"):
        changed(RUNNING, **more)


def test_erasing_a_pseudonym_keeps_the_seal() -> None:
    names = ("erased 00ff", *RUNNING.plan.assessors[1:])
    plan = RUNNING.plan.model_copy(update={"assessors": names})
    sets = tuple(
        served.model_copy(update={"assessor": names[RUNNING.plan.assessors.index(served.assessor)]})
        for served in RUNNING.sets
    )

    assert changed(RUNNING, plan=plan, sets=sets).sealed == RUNNING.sealed


def test_name_purpose_answers_and_corrections_are_not_under_the_seal() -> None:
    full = answered(RUNNING, 20, 4)
    more = {"amendments": (amendment(full),), "exclusions": (exclusion("Assessor 2"),)}

    assert changed(full, name="Renamed", purpose="typo", **more).sealed == RUNNING.sealed


def test_each_session_has_a_salt_of_128_bits_of_its_own() -> None:
    salts = {new_salt() for _ in range(50)}

    assert len(salts) == 50
    assert {len(bytes.fromhex(salt)) for salt in salts} == {16}
    assert opened(planned("acid")).salt != opened(planned("acid")).salt


def test_the_same_key_with_another_salt_has_another_fingerprint() -> None:
    """So a small key cannot be found by trying all of them."""
    one, two = opened(planned("acid")), opened(planned("acid"))

    assert one.sets == two.sets
    assert one.sealed != two.sealed
