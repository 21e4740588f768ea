"""Labels, ballots and cards to print: everything once, no sample's name, and harmless as HTML."""

import base64
from collections import Counter
from collections.abc import Sequence
from urllib.parse import unquote_to_bytes

import pytest

from tasting.panel.ballots import Slip
from tasting.panel.methods import METHODS
from tasting.panel.session import Session
from tasting.report.cup_labels import (
    cup_labels,
    cup_labels_html,
    label_stacks,
    label_stacks_html,
)
from tasting.report.paper_ballots import paper_ballots_html
from tasting.report.seat_cards import seat_cards, seat_cards_html
from tests.ui.workshop import opened, planned

SCRIPT = "<script>alert(1)</script>"
LINKS = {"P01": "https://tasting.example/?seat=abc", SCRIPT: "https://tasting.example/?seat=def"}


def session(method: str = "triangle", **more: object) -> Session:
    """An open session."""
    directed = METHODS[method].question_kind == "direction"
    asked = {"attribute": "more sour", "expected": "B"} if directed else {}
    return opened(planned("Secret", method, **{**asked, **more}))


def slips(one: Session) -> Sequence[Slip]:
    """Its slips, in the order in which sets are served."""
    method = one.plan.procedure
    marked = method.poured > method.cups
    return [
        Slip(
            served.assessor, served.replicate, served.codes, one.plan.choices(served.codes), marked
        )
        for served in one.sets
    ]


def ballots(one: Session) -> str:
    """Its paper ballots."""
    return paper_ballots_html(one.sealed, one.plan, slips(one))


def test_a_paper_ballot_tells_how_much_alcohol_there_is_in_all() -> None:
    """90 mL at 12 % vol hold 8.52 g: 0.78924 g/mL (OIML R 22, 1975)."""
    page = ballots(session(alcohol_percent_vol=12.0))
    assert "You get 3 cups, 90 mL in all: at most 8.5 g of ethanol, 0.9 standard drinks" in page


@pytest.mark.parametrize("method", METHODS)
def test_there_is_a_label_for_each_cup_that_is_poured(method: str) -> None:
    one = session(method)
    assert len(cup_labels(slips(one))) == 12 * one.plan.procedure.poured


def test_a_label_carries_its_code_large_and_its_tray_small() -> None:
    one = session()
    page = cup_labels_html(one.name, slips(one))
    first = one.sets[0]
    assert f"<b>{first.codes[0]}</b><span>{first.assessor} · set 1</span>" in page


@pytest.mark.parametrize("method", ["triangle", "duo-trio"])
def test_the_labels_of_who_tastes_alone_come_as_two_stacks(method: str) -> None:
    """Each cup has one label, in the stack of its sample; the sides of a sheet lie back to back."""
    one = session(method, assessors=("me",), alone=True, replicates=9)
    sheets = label_stacks(one)
    given = [
        (label.replicate, label.code, sheet.letter)
        for sheet in sheets
        for row in sheet.rows
        for label in row
        if label
    ]
    cups = [
        (set_.replicate, code, set_.sample_of(code)) for set_ in one.sets for code in set_.codes
    ]
    marked = [(set_.replicate, "", set_.reference) for set_ in one.sets if set_.reference]
    assert Counter(given) == Counter([*cups, *marked])
    assert [row[::-1] for row in sheets[0].rows] == list(sheets[0].turned)


def test_no_code_stands_on_the_side_that_is_cut_nor_on_a_screen() -> None:
    one = session(assessors=("me",), alone=True, replicates=3)
    page = label_stacks_html(one)
    before, *sections = page.split("<section")
    codes = {code for served in one.sets for code in served.codes}
    fronts = [part for part in sections if "sheet codes" not in part]
    assert "@media screen { .codes { display: none; } }" in before
    assert not [code for part in fronts for code in codes if code in part]
    assert all(any(code in part for part in sections) for code in codes)


@pytest.mark.parametrize("method", METHODS)
def test_a_ballot_shows_codes_in_serving_order_and_every_choice(method: str) -> None:
    one = session(method)
    page = ballots(one)
    for served in one.sets:
        row = " · ".join(f'<span class="code">{code}</span>' for code in served.codes)
        assert row in page
        for choice in one.plan.choices(served.codes):
            assert choice.replace("+", " + ") in page


@pytest.mark.parametrize("method", METHODS)
def test_no_ballot_names_a_sample_or_the_session(method: str) -> None:
    page = ballots(session(method))
    assert not [name for name in ("Spritz", "spritz", "Secret") if name in page]


def test_a_ballot_asks_and_lets_guess_and_leaves_room() -> None:
    page = ballots(session())
    assert "Which one is the odd one out?" in page
    assert "a guess counts" in page
    assert "Remark (optional)" in page


def test_ballots_begin_with_allergens_alcohol_and_consent() -> None:
    page = ballots(session(allergens=("sulphites",), alcohol_percent_vol=5.5, spit=True))
    for told in (
        "sulphites",
        "up to 5.5 % vol",
        "legal age",
        "Please spit",
        "am taking part voluntarily",
    ):
        assert told in page


def test_ballots_of_two_sessions_are_told_apart_by_their_seal() -> None:
    one = session()
    assert ballots(one).count(one.sealed[:8]) == 12
    assert one.sealed not in ballots(one)


def test_a_card_holds_the_link_and_its_picture() -> None:
    card = seat_cards(LINKS)[0]
    data = card.picture.partition(",")[2]
    picture = base64.b64decode(data) if ";base64" in card.picture else unquote_to_bytes(data)
    assert card.link == LINKS["P01"]
    assert b"<svg" in picture


@pytest.mark.parametrize(
    "page",
    [
        seat_cards_html(SCRIPT, LINKS),
        cup_labels_html(SCRIPT, slips(session(assessors=(SCRIPT,)))),
        ballots(session(assessors=(SCRIPT,))),
        ballots(session("paired", attribute=SCRIPT)),
    ],
    ids=["cards", "labels", "ballots", "question"],
)
def test_what_was_typed_is_text_and_not_markup(page: str) -> None:
    assert "<script" not in page
    assert "&lt;script" in page


@pytest.mark.parametrize("invented", [True, False])
def test_what_is_invented_is_labelled_once_and_no_more_is_said(invented: bool) -> None:
    """The note itself could tell what is in the cups."""
    note = "Made up: v1 against v2" if invented else ""
    one = session().model_copy(update={"invented": note})
    alone = session(assessors=("me",), alone=True).model_copy(update={"invented": note})
    pages = [
        paper_ballots_html(one.sealed, one.plan, slips(one), invented=invented),
        cup_labels_html(one.name, slips(one), invented=invented),
        seat_cards_html(one.name, LINKS, invented=invented),
        label_stacks_html(alone),
    ]

    assert [page.count("Invented data.") for page in pages] == [int(invented)] * 4
    assert not any("v1 against v2" in page for page in pages)
