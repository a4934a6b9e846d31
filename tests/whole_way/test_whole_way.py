"""The whole way in a real browser: from the finder's phone to the signed PDF in the finder's mail. Pages are checked for
accessibility as they come by."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader

from fruitbody.desk.demo import play
from tests.whole_way.conftest import PASSWORD, Desk

PHONE, TABLE = {"width": 390, "height": 844}, {"width": 1440, "height": 900}
PHOTOS = sorted(play.MAIN.glob("*.jpg"))


class Person:
    """Somebody at a screen: every page they come to is checked for accessibility."""

    def __init__(self, page: Page, address: str) -> None:
        self.page, self.address = page, address

    def go(self, path: str) -> None:
        self.page.goto(path if path.startswith("http") else self.address + path)
        self.look()

    def look(self) -> None:
        self.page.wait_for_load_state()
        found = Axe().run(self.page)
        assert found.violations_count == 0, f"{self.page.url}\n{found.generate_report()}"
        width = self.page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert width <= 0, f"{self.page.url} is wider than the screen by {width} px"

    def press(self, words: str | re.Pattern[str]) -> None:
        self.page.get_by_role("button", name=words).first.click()
        self.look()

    def sign_in(self, username: str) -> None:
        self.go("/staff/")
        self.page.locator("input[name=username]").fill(username)
        self.page.locator("input[name=password]").fill(PASSWORD)
        self.page.keyboard.press("Enter")
        self.page.wait_for_load_state()
        self.look()


@pytest.fixture
def person(chromium: Browser, desk: Desk) -> Iterator[object]:
    """Makes people: `person(PHONE)` opens a screen of that size."""
    contexts = []

    def make(size: dict[str, int]) -> Person:
        context = chromium.new_context(viewport=size)  # type: ignore[arg-type]
        contexts.append(context)
        return Person(context.new_page(), desk.address)

    yield make
    for context in contexts:
        context.close()
