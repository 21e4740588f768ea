"""The report holds what a test report must say, of a closed session only, and runs nothing."""

from html.parser import HTMLParser

import pytest

from tasting.drink.formula import Version
from tasting.drink.label import Reference
from tasting.insight.findings.finding import finding
from tasting.panel.conduct import Conduct
from tasting.panel.entries import Amendment, Event, Exclusion
from tasting.panel.session import Session
from tasting.report.session_report import session_report_html, summary
from tests.ui import workshop

DRINKS: dict[str, Version | Reference] = {
    "R": workshop.MEASURED,
    **{version.id: version for version in workshop.SPRITZ.versions},
}
CONDUCT = Conduct(
    led_by="Assessor 12",
    qualification="ten evenings with acid in water",
    room="the cellar, red light",
    palate_cleanser="water and unsalted crackers",
    preparation="stirred for 20 s, 6 °C",
)


def report(session: Session) -> str:
    plan = session.plan
    return session_report_html(session, finding(session), DRINKS[plan.a.id], DRINKS[plan.b.id])


def session(right: int = 10, wrong: int = 2, **plan: object) -> Session:
    return workshop.closed(workshop.planned("one", **plan), right, wrong)


class Words(HTMLParser):
    """The text of a page, and the tags in it."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.said: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.said += [value for name, value in attrs if name == "aria-label" and value]

    def handle_data(self, data: str) -> None:
        self.said.append(data)


def words(html: str) -> str:
    return " ".join(" ".join(Words(html).said).split())


@pytest.mark.parametrize(
    "asked",
    [
        "Purpose: keep the old press?",
        "Triangle test (ISO 4120:2021)",
        "12 assessors × 1 set = 12",
        "ten evenings with acid in water",
        "the cellar, red light",
        "water and unsalted crackers",
        "stirred for 20 s, 6 °C",
        "Led by Assessor 12",
        "60 mL rhubarb juice, 14 mL lemon juice",
        "10 of 12 correct; 8 needed (α = 0.05",
        "FAO document V7180E",
        "10 Feb 2026, 18:00 UTC",
        "Allergens declared milk",
        "after ISO 4120",
    ],
)
def test_it_names_what_the_standards_ask_for(asked: str) -> None:
    """ISO 4120, 5495 and 10399, clause "Test report" (from memory): aim, samples, number and
    qualification of assessors, conditions, results with their test, standard, leader and date."""
    made = session(conduct=CONDUCT, allergens=("milk",))
    made = made.model_copy(update={"purpose": "keep the old press?"})

    assert asked in words(report(made))


def test_the_numbers_are_those_of_the_finding() -> None:
    made = session()
    said, found = words(report(made)), finding(made)

    assert f"{found.headline}." in said
    assert all(sentence in said for sentence in found.sentences)
    assert all(number.value in said for number in found.evidence.numbers(found.tally))
    assert made.sealed in said


def test_what_went_otherwise_is_a_deviation() -> None:
    opened = workshop.answered(workshop.opened(workshop.planned("one")), 8, 4)
    given = opened.answers[0]
    at = given.given_at
    wrong = Amendment(
        assessor=given.assessor, replicate=1, choice=given.choice, reason="misread", made_at=at
    )
    gone = Exclusion(assessor=opened.answers[1].assessor, reason="had a cold", made_at=at)
    event = Event(at=at, what="answer corrected", detail="misread")
    made = Session.model_validate(
        {**dict(opened), "amendments": (wrong,), "exclusions": (gone,), "events": (event,)}
    ).closed(at.replace(day=20))
    said = words(report(made))

    assert f"{given.assessor}, set 1, was corrected: misread" in said
    assert f"{gone.assessor} was excluded before unblinding: had a cold" in said
    assert "answer corrected" in said


def test_nothing_in_it_runs_or_is_fetched() -> None:
    hostile = "<script>alert(1)</script><img src=x>"
    made = session().model_copy(update={"purpose": hostile})
    html = report(made)

    assert {"script", "img", "link", "iframe"}.isdisjoint(Words(html).tags)
    assert hostile in words(html)


def test_invented_data_says_so() -> None:
    made = session().model_copy(update={"invented": "made up for the tests"})

    assert "Invented data: made up for the tests" in words(report(made))
    assert summary(made, finding(made)).startswith("Invented data. Session one: Triangle test")


def test_the_summary_is_one_paragraph_with_the_headline() -> None:
    made = session()
    said = summary(made, finding(made))

    assert "\n" not in said
    assert finding(made).headline in said
    assert "10 of 12 correct; 8 needed" in said
