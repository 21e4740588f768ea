"""Each statistic of a text has its plain sentence behind a help mark."""

import pytest

from tasting.insight.findings.finding import conclude
from tasting.panel.methods import PAIRED, PREFERENCE, TRIANGLE
from tasting.ui.terms import explained
from tests.insight.tallies import tally_by_assessor, tally_of


@pytest.mark.parametrize(
    ("text", "begins"),
    [
        ("one-sided p = 0.0032", "p: "),
        ("13 needed (α = 0.05)", "α, "),
        ("at a risk of β = 0.05", "β, "),
        ("at 80 % power", "Power: "),
        ("p_d = 30 %", "Share who notice"),
        ("Lead: 0 % of answers", "Lead: "),
        ("d′ = 1.2", "d′, "),
        ("(95 % interval 1.32–3.33)", "95 % interval: "),
        ("tested over 9 assessors (18 answers)", "Tested over assessors: two answers"),
        ("Holm's p", "Holm's p: "),
        ("γ = 0.24", "γ: "),
        ("Wald's sequential test", "Sequential: "),
        ("ρ −0.30", "ρ: "),
    ],
)
def test_a_statistic_is_explained(text: str, begins: str) -> None:
    said = explained(text)

    assert said is not None
    assert begins in said


def test_a_text_without_a_statistic_has_no_help_mark() -> None:
    assert explained("Go to 6.2 g/L of TA.") is None


def test_each_is_explained_once() -> None:
    assert str(explained("α = 0.05; α = 0.1")).count("α, ") == 1


@pytest.mark.parametrize("method", [TRIANGLE, PAIRED, PREFERENCE])
def test_every_sign_of_a_finding_is_explained(method) -> None:
    expected = "B" if method is PAIRED else None
    said = " ".join(conclude(tally_of(method, 15, 24, expected=expected)).sentences)
    meanings = str(explained(said))

    for sign in ("α", "β", "γ", "d′", "p_d"):
        assert (sign in said) <= (sign in meanings), sign


def test_repeated_answers_have_their_spread_explained() -> None:
    said = " ".join(conclude(tally_by_assessor(TRIANGLE, [(3, 3)] * 7 + [(0, 3)] * 13)).sentences)

    assert "γ" in said
    assert "0 = alike" in str(explained(said))
