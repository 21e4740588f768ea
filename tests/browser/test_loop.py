"""The whole loop in a real browser: a host, six phones, one finding."""

import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import SETUP, settle

pytestmark = pytest.mark.browser

PASSPHRASE = "rhubarb and bay"
ASSESSORS = 6
PICTURES = os.environ.get("TASTING_PICTURES")


def picture(page: Page, name: str) -> None:
    """Keep a screenshot for people to look at, when TASTING_PICTURES names a folder."""
    if PICTURES:
        page.screenshot(path=Path(PICTURES) / f"{name}.png")


def go(page: Page, title: str) -> None:
    """Open one of the host's pages from the menu."""
    page.locator(".st-key-menu").get_by_role("link", name=title, exact=True).click()
    settle(page)


def press(page: Page, name: str) -> None:
    """Press a button and wait until the page has settled."""
    page.get_by_role("button", name=name).click()
    settle(page)


def first_start(page: Page, server: str) -> None:
    """Choose the passphrase."""
    page.goto(server)
    page.get_by_label("Setup code").fill(SETUP)
    page.get_by_label("Passphrase, at least").fill(PASSPHRASE)
    page.get_by_label("The same passphrase again").fill(PASSPHRASE)
    page.get_by_role("button", name="Keep it and sign in").click()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()
    settle(page)
    picture(page, "1 dashboard, first start")
