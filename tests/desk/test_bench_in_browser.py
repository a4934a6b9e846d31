"""The notebook page in a real browser: keys, what stays typed, accessibility at both widths."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from fruitbody.desk.bench.models import Finding, Kind
from fruitbody.desk.people.models import User
from fruitbody.desk.submissions.models import Submission
from tests.desk.bench_case import found, received

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("clinic")]

PHONE, DESK = {"width": 390, "height": 844}, {"width": 1440, "height": 900}


def sign_in(tab: Page, live_server: LiveServer, user: User, path: str) -> None:
    tab.goto(f"{live_server.url}{path}")
    tab.locator("#id_username").fill(user.username)
    tab.locator("#id_password").fill("seven ruled pages")
    tab.get_by_role("button", name="Sign in").click()
    expect(tab.locator("nav.rooms")).to_be_visible()
    tab.wait_for_load_state("load")  # keys pressed before the page's scripts run would go nowhere


@pytest.fixture
def bag(submission: Submission, diagnostician: User) -> Kind:
    kind = received(submission, diagnostician)
    found(kind, "form cap and stem", by=diagnostician)
    found(kind, "hymenium gills", by=diagnostician)
    return kind


@pytest.fixture
def notebook(tab: Page, live_server: LiveServer, bag: Kind, diagnostician: User) -> Page:
    tab.set_viewport_size({"width": 1440, "height": 900})
    sign_in(tab, live_server, diagnostician, f"/staff/bench/{bag.pk}/")
    return tab


def test_a_key_leads_to_the_entry_line_and_a_finding_is_one_line(notebook: Page, bag: Kind) -> None:
    notebook.keyboard.press("e")
    expect(notebook.locator("#entry")).to_be_focused()
    notebook.keyboard.type("cap width 62")
    notebook.keyboard.press("Enter")
    expect(notebook.locator("#line-cap_width .value")).to_have_text("62 mm")
    expect(notebook.locator("#entry")).to_be_focused()
    expect(notebook.locator("#entry")).to_have_value("")


def test_a_ruler_value_takes_its_digits_and_enter_and_leads_on(notebook: Page, bag: Kind) -> None:
    notebook.locator("#quick-cap_width").focus()
    notebook.keyboard.type("62")
    notebook.keyboard.press("Enter")
    expect(notebook.locator("#line-cap_width .value")).to_have_text("62 mm")
    expect(notebook.locator("#quick-cap_shape")).to_be_focused()


def test_an_impossible_number_stays_typed_with_its_sentence(notebook: Page, bag: Kind) -> None:
    notebook.locator("#quick-cap_width").fill("9000")
    notebook.keyboard.press("Enter")
    expect(notebook.locator("#problem-cap_width")).to_contain_text("cannot be")
    expect(notebook.locator("#quick-cap_width")).to_have_value("9000")
    assert not Finding.objects.filter(character="cap_width").exists()


def test_looking_at_photos_holds_for_every_line(notebook: Page, bag: Kind) -> None:
    notebook.locator("#seen-on").select_option("photo")
    notebook.locator("#quick-ring").fill("none seen")
    notebook.keyboard.press("Enter")
    expect(notebook.locator("#line-ring .value")).to_have_text("none seen")
    assert Finding.objects.get(character="ring").seen_on == "photo"


def test_what_fits_unfolds_and_its_numbers_stand_behind_a_key(notebook: Page, bag: Kind) -> None:
    expect(notebook.locator(".candidates")).to_have_count(0)
    notebook.get_by_role("button", name="Unfold what fits").click()
    expect(notebook.locator(".candidates")).to_be_visible()
    expect(notebook.locator(".standing .numbers").first).to_be_hidden()
    notebook.locator("h1").click()
    notebook.keyboard.press("n")
    expect(notebook.locator(".standing .numbers").first).to_be_visible()


def test_the_whole_form_opens_in_its_line(notebook: Page, bag: Kind) -> None:
    notebook.locator("#line-cap_surface .more").click()
    form = notebook.locator("#line-cap_surface form.whole-line")
    form.get_by_label("powder or grains").check()
    form.get_by_label("like velvet").check()
    form.get_by_role("button", name="Keep").click()
    expect(notebook.locator("#line-cap_surface .value")).to_have_text("powder or grains and like velvet")


def test_lines_of_another_body_come_and_go(notebook: Page, bag: Kind) -> None:
    expect(notebook.locator("#line-ball_inside")).to_be_hidden()
    notebook.locator("#entry").fill("form ball")
    notebook.keyboard.press("Enter")
    expect(notebook.locator("#line-ball_inside")).to_be_visible()
    expect(notebook.locator("#line-cap_shape")).to_be_hidden()


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize("path", ["/staff/bench/", "/staff/bench/{}/", "/staff/bench/{}/line/cap_surface/"])
def test_the_bench_is_accessible_and_fits(
    tab: Page, live_server: LiveServer, bag: Kind, diagnostician: User, path: str, size: Any
) -> None:
    diagnostician.folds_ranking = False
    diagnostician.save()
    tab.set_viewport_size(size)
    sign_in(tab, live_server, diagnostician, path.format(bag.pk))
    assert violations(tab) == []


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize("path", ["/staff/second-reading/", "/staff/second-reading/{}/"])
def test_second_reading_is_accessible_and_fits(
    tab: Page, live_server: LiveServer, bag: Kind, second_reader: User, path: str, size: Any
) -> None:
    tab.set_viewport_size(size)
    sign_in(tab, live_server, second_reader, path.format(bag.pk))
    assert violations(tab) == []


def violations(page: Page) -> list[str]:
    """What axe finds, and a page that is wider than its window."""
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    found = [f"{v['id']}: {v['nodes'][0]['target']}" for v in Axe().run(page).response["violations"]]
    return found + ([f"{wide} px too wide"] if wide > 0 else [])
