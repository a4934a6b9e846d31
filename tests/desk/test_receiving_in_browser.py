"""Receiving in a real browser: warned before opening, one press once, keyboard alone, nothing for axe to find."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from fruitbody.desk.bench.models import Bag, Kind
from fruitbody.desk.people.models import User
from tests.desk.conftest import PASSWORD
from tests.desk.finder import photo_bytes

pytestmark = pytest.mark.django_db(transaction=True)

PHONE, DESK = {"width": 390, "height": 844}, {"width": 1440, "height": 900}
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@pytest.fixture
def desk(tab: Page, live_server: LiveServer, manager: User) -> Page:
    """Signed in, on Receiving."""
    tab.goto(f"{live_server.url}/staff/sign-in/")
    tab.locator("[name=username]").fill(manager.username)
    tab.locator("[name=password]").fill(PASSWORD)
    tab.locator("main button").click()
    tab.goto(f"{live_server.url}/staff/receiving/")
    return tab


def test_a_scanner_that_ends_with_enter_opens_the_form(desk: Page, kind: Kind) -> None:
    expect(desk.locator("#code")).to_be_focused()
    desk.keyboard.type(kind.submission.code.lower())
    desk.keyboard.press("Enter")
    expect(desk.get_by_role("heading", name=kind.submission.code)).to_be_visible()


def test_dust_is_warned_of_before_anything_is_sent(desk: Page, live_server: LiveServer, kind: Kind) -> None:
    desk.goto(f"{live_server.url}/staff/receiving/{kind.submission.code}/")
    hood = desk.get_by_text("Stop: under the hood first.")
    expect(hood).to_be_hidden()
    desk.get_by_label("dusty with spores or powder").first.check()
    expect(hood).to_be_visible()
    expect(desk.get_by_text("You said: dusty with spores or powder.")).to_be_visible()
    desk.get_by_role("button", name="Receive it").click()
    assert not Bag.objects.exists()
    desk.get_by_label("It lies under the hood now.").check()
    desk.get_by_role("button", name="Receive it").click()
    expect(desk.get_by_text("Write on the bag")).to_be_visible()
    assert Bag.objects.get().hood


def test_another_state_is_warned_of_before_anything_is_sent(desk: Page, live_server: LiveServer, kind: Kind) -> None:
    desk.goto(f"{live_server.url}/staff/receiving/{kind.submission.code}/")
    warning = desk.get_by_text("Leave it shut and fetch the supervisor.")
    expect(warning).to_be_hidden()
    desk.locator("#id_origin_region").select_option("US-VT")
    expect(warning).to_be_visible()


def test_no_form_takes_label_photo_and_one_press(desk: Page) -> None:
    section = desk.locator("section", has=desk.get_by_role("heading", name="No form"))
    section.get_by_label("Label", exact=True).fill("behind the barn")
    section.locator("input[type=file]").set_input_files(
        {"name": "bag.jpg", "mimeType": "image/jpeg", "buffer": photo_bytes("sienna")}
    )
    section.get_by_role("button", name="Number it").click()
    expect(desk.get_by_text("Write on the bag")).to_be_visible()
    assert Bag.objects.get().finder_label == "behind the barn"
    expect(desk.get_by_alt_text("The bag with its label")).to_be_visible()


def test_a_double_press_numbers_one_bag(desk: Page) -> None:
    desk.get_by_role("button", name="Number it").dblclick()
    expect(desk.get_by_text("Write on the bag")).to_be_visible()
    assert Bag.objects.count() == 1


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_no_page_has_a_fault_that_axe_finds(
    desk: Page, live_server: LiveServer, kind: Kind, size: dict[str, int]
) -> None:
    desk.set_viewport_size(size)  # type: ignore[arg-type]
    desk.goto(f"{live_server.url}/staff/receiving/{kind.submission.code}/")
    desk.get_by_label("cut off above the ground").first.check()
    desk.get_by_role("button", name="Receive it").click()
    expect(desk.get_by_text("Say at once what is missing")).to_be_visible()
    bag = Bag.objects.get()
    paths = (
        "today/", "receiving/", f"receiving/bag/{bag.clinic_number}/", f"receiving/kind/{kind.pk}/split/", "records/",
        f"records/{kind.submission.code}/", "funga/", "funga/amanita-phalloides/",
    )  # fmt: skip
    for path in paths:
        desk.goto(f"{live_server.url}/staff/{path}")
        found = Axe().run(desk, options={"runOnly": WCAG})
        assert found.violations_count == 0, f"{path}: {found.generate_report()}"
        assert desk.evaluate("document.documentElement.scrollWidth") <= size["width"], path
