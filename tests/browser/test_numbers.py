"""22,5 typed into every number field of every host page, in a German browser; in an English one on
the page that has most of them, because no field is the browser's own (`type="number"`)."""

import re
from collections.abc import Iterator, Sequence

import pytest
from playwright.sync_api import Locator, Page, Playwright, expect

from tests.browser.conftest import CHROMIUM, FLAGS, settle, sign_in
from tests.browser.test_loop import go, picture

pytestmark = pytest.mark.browser

NUMBERS = (
    'input[autocomplete="off"]:not([role="combobox"]):not([disabled]):not([aria-label="Search"])'
)
IN_FORM = "field => !!field.closest('[data-testid=stForm]')"
SPRITZ = "Rhubarb and bay spritz"
TYPED, READ = "22,5", "(= 22.5)"
PLACES = (
    ("Dashboard", "Predict a test", 1),
    ("Dashboard", "Next session", 1),
    ("Drinks", "Adjust", 2),
    ("Drinks", "Batch", 5),
    ("Drinks", "", 13),
    ("Tastings", "New tasting", 10),
    ("History", "", 0),
)
"""Pages, the section to open there, and how many number fields it has at least."""
MOST = max(PLACES, key=lambda place: place[2])


@pytest.fixture(scope="module", params=["en-US", "de-DE"])
def host(request: pytest.FixtureRequest, driver: Playwright, workshop_app: str) -> Iterator[Page]:
    """A host who has signed in, with a browser in this language."""
    flags = [*FLAGS, f"--lang={request.param}"]
    browser = driver.chromium.launch(executable_path=CHROMIUM, args=flags)
    context = browser.new_context(locale=request.param, viewport={"width": 1280, "height": 1600})
    page = context.new_page()
    page.set_default_timeout(60_000)
    sign_in(page, workshop_app)
    yield page
    browser.close()


def rested(page: Page) -> None:
    """Wait until the script has begun to run, and has run."""
    page.wait_for_timeout(300)
    settle(page)


def unfold(page: Page) -> None:
    """Open every expander."""
    closed = page.locator("details:not([open]) > summary:visible")
    while closed.count():
        closed.first.click()
        rested(page)


def open_spritz(page: Page) -> None:
    """The page of the formula of the sample workshop, and no draft of it."""
    go(page, "Drinks")
    page.get_by_test_id("stMain").get_by_role("link", name=SPRITZ, exact=True).click()
    expect(page.get_by_role("heading", name="What is in it")).to_be_visible()
    settle(page)


def open_place(page: Page, title: str, section: str, least: int = 0) -> None:
    """A page, one of its sections, everything unfolded; it has this many fields at least."""
    if title == "Drinks":
        open_spritz(page)
    else:
        go(page, title)
    if section:
        page.get_by_test_id("stMain").get_by_text(section, exact=True).first.click()
        rested(page)
    unfold(page)
    if least:
        expect(page.locator(NUMBERS).nth(least - 1)).to_be_attached()


def name_of(field: Locator) -> str:
    return field.get_attribute("aria-label") or ""


def typed_into(page: Page, fields: Sequence[Locator], texts: Sequence[str]) -> None:
    for field, text in zip(fields, texts, strict=True):
        if not field.is_visible():  # a fold has closed again
            unfold(page)
        field.fill(text)
        field.press("Tab")
    rested(page)


def told(page: Page, field: Locator) -> list[str]:
    """What is wrong with how a field was read: nothing where it is as it should be."""
    name, wrong = name_of(field), []
    if field.input_value() != TYPED:
        wrong.append(f"{name}: now {field.input_value()!r}")
    if READ not in name:
        wrong.append(f"{name}: not echoed")
    return wrong


def alone(page: Page, together: bool) -> list[str]:
    """The fields outside forms: typed into, all before one is read or each by itself."""
    fields = [one for one in page.locator(NUMBERS).all() if not one.evaluate(IN_FORM)]
    if together:
        return put_back(page, fields)
    # By their names: some fields give way to what is typed in others, and so change their places.
    named = [
        page.locator(f'input[type="text"][aria-label^="{name_of(field)}"]') for field in fields
    ]
    return [one for field in named for one in put_back(page, [field])]


def put_back(page: Page, fields: Sequence[Locator]) -> list[str]:
    before = [field.input_value() for field in fields]
    typed_into(page, fields, [TYPED] * len(fields))
    wrong = [one for field in fields for one in told(page, field)]
    typed_into(page, fields, before)
    return wrong


def in_form(page: Page, form: Locator) -> list[str]:
    """All number fields of a form, which are read when it is sent."""
    for field in form.locator(NUMBERS).all():
        field.fill(TYPED)
    form.get_by_role("button").last.click()
    rested(page)
    return [one for field in form.locator(NUMBERS).all() for one in told(page, field)]


def test_every_number_is_read_as_it_was_typed(host: Page) -> None:
    wrong: list[str] = []
    english = host.evaluate("navigator.language").startswith("en")
    for title, section, least in (MOST,) if english else PLACES:
        open_place(host, title, section, least)
        assert host.locator('input[type="number"]').count() == 0
        forms = f'[data-testid="stForm"]:has({NUMBERS})'
        wrong += [f"{title} {section}: {one}" for one in alone(host, title != "Tastings")]
        for place in range(host.locator(forms).count()):
            wrong += [f"{title}: {one}" for one in in_form(host, host.locator(forms).nth(place))]
        picture(host, f"numbers {title} {section} {host.evaluate('navigator.language')}")

    assert wrong == []


@pytest.mark.parametrize("host", ["de-DE"], indirect=True)
def test_a_whole_number_with_decimals_is_refused_in_a_sentence(host: Page) -> None:
    open_place(host, "Tastings", "New tasting", 10)
    typed_into(host, [host.get_by_label(re.compile("^Sets for each"))], [TYPED])

    expect(host.get_by_text("'22,5' is not a whole number")).to_be_visible()
    expect(host.get_by_text("A number above needs correcting first", exact=False)).to_be_visible()


def test_the_sheet_takes_what_is_typed(host: Page) -> None:
    """The lemon juice goes from 6 mL to 22,5, and each line is understood beside it."""
    open_spritz(host)
    sheet = host.get_by_label("Recipe, one ingredient per line")
    expect(sheet).to_have_value(re.compile("6 mL lemon juice"))
    before = sheet.input_value()
    beside = host.get_by_role("list", name="Understood as").get_by_role("listitem")
    for typed, understood in (
        ("22,5 ml", "22.5 mL lemon juice"),
        ("1 1/2 cl", "1.5 cl lemon juice"),
        ("½ ml", "0.5 mL lemon juice"),
        ("0,75 fl oz", "22.18 mL lemon juice"),
        ("2 dashes", "about 1.8 mL lemon juice"),
        ("abc", "how much?"),
        ("1,000 ml", "can mean 1 or 1000"),
    ):
        sheet.fill(before.replace("6 mL", typed))
        expect(beside.filter(has_text=understood)).to_have_count(1)
    picture(host, "numbers sheet")
    sheet.fill(before)
    expect(beside.filter(has_text="6 mL lemon juice")).to_have_count(1)
    rested(host)


@pytest.mark.parametrize("host", ["de-DE"], indirect=True)
def test_the_table_edits_the_same_draft(host: Page) -> None:
    """The lemon juice in the fourth row, then the same on the sheet."""
    open_spritz(host)
    host.get_by_text("Edit as a table").click()
    table = host.get_by_test_id("data-grid-canvas")
    expect(table).to_be_attached()
    rested(host)
    table.dblclick(position={"x": 260, "y": 157}, force=True)
    host.locator("#portal input, #portal textarea").first.fill("22,5")
    host.keyboard.press("Enter")
    rested(host)
    expect(host.get_by_text("draft saved")).to_be_visible()
    host.get_by_text("Edit as a table").click()
    sheet = host.get_by_label("Recipe, one ingredient per line")
    expect(sheet).to_have_value(re.compile("22,5 mL lemon juice"))
