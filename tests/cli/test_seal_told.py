"""`tasting analyse` says that the seal was checked, and refuses one that does not fit."""

import hashlib
import json
from pathlib import Path

from tasting.panel.seal import sealed_text
from tests.cli.conftest import Tasting, workshop


def test_the_seal_is_told_as_it_was_recomputed(tasting: Tasting, document: Path) -> None:
    """SHA-256 of the text that is sealed, by hashlib."""
    session = next(kept for kept in workshop().sessions if kept.id == "acid")
    text = sealed_text(session.id, session.plan, session.sets, session.salt)
    seal = hashlib.sha256(text.encode()).hexdigest()

    assert f"  The seal was checked and fits: {seal}." in tasting("analyse", document).out


def test_a_key_that_was_changed_is_refused(tasting: Tasting, document: Path) -> None:
    changed = json.loads(document.read_text())
    first = changed["sessions"][0]["sets"][0]
    first["order"] = "ABB" if first["order"] != "ABB" else "BAA"
    document.write_text(json.dumps(changed))
    said = tasting("analyse", document)

    assert (said.code, said.out) == (2, "")
    assert "the seal does not fit" in said.err


def test_the_distance_is_told_with_what_its_interval_promises(
    tasting: Tasting, document: Path
) -> None:
    """10 of 12 in a triangle; the ends give scipy's Clopper-Pearson shares 0.516 and 0.979."""
    said = tasting("analyse", document)

    assert "Sensory distance d′ = 3.38 (95 % interval 1.55–5.66)." in said.out
