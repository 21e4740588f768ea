"""The seal: a fingerprint of the key that is published at opening and can be recomputed later.

The text that is fingerprinted names assessors by their place in the plan, so that a pseudonym can
be erased later without breaking the seal. The salt keeps the few possible keys of a small session
from being tried one by one. What the plan leaves at its default is left out, so that a later
program, whose plans can say more, finds the same text.
"""

import hashlib
import json
import secrets
from collections.abc import Sequence

from tasting.panel.plan import Plan
from tasting.panel.serving import ServingSet


def new_salt() -> str:
    """128 random bits from the operating system, as hexadecimal digits."""
    return secrets.token_hex(16)


def sealed_text(session_id: str, plan: Plan, sets: Sequence[ServingSet], salt: str) -> str:
    """What is fingerprinted: the plan without pseudonyms, and every set."""
    fixed = plan.model_dump(mode="json", exclude={"assessors"}, exclude_defaults=True)
    key = [
        [plan.assessors.index(served.assessor), served.replicate, served.order, *served.codes]
        for served in sets
    ]
    sealed = {"session": session_id, "salt": salt, "plan": fixed, "sets": key}
    return json.dumps(sealed, sort_keys=True, separators=(",", ":"), ensure_ascii=True)


def fingerprint(session_id: str, plan: Plan, sets: Sequence[ServingSet], salt: str) -> str:
    """SHA-256 of the sealed text, as hexadecimal digits (FIPS 180-4)."""
    return hashlib.sha256(sealed_text(session_id, plan, sets, salt).encode("ascii")).hexdigest()
