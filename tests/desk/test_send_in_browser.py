"""The form in a real browser: what was typed survives a reload, a lost connection, a failed upload, a broken server."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import FilePayload, Page, Route, expect
from pytest_django.live_server_helper import LiveServer

from fruitbody.desk.bench.models import Kind
from fruitbody.desk.submissions.models import Photo, Submission
from tests.desk.finder import photo_bytes

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("clinic")]

PHONE, DESK = {"width": 390, "height": 844}, {"width": 1440, "height": 900}


@pytest.fixture
def form(tab: Page, live_server: LiveServer) -> Page:
    tab.goto(f"{live_server.url}/send/")
    return tab


def photo(colour: str = "sienna") -> FilePayload:
    return {"name": f"{colour}.jpg", "mimeType": "image/jpeg", "buffer": photo_bytes(colour)}


def fill(page: Page) -> None:
    page.locator("[name=eaten][value=no]").check()
    page.locator("[name=picked][value=yes]").check()
    page.locator("[name=question][value=tree]").check()
    page.locator("#id_name").fill("Wren Hollis")
    page.locator("#id_email").fill("wren@example.org")
    page.locator("[name=way][value=e-mail]").check()


def send(page: Page) -> None:
    page.locator("#send-button").click()


def arrived(page: Page) -> Submission:
    expect(page.get_by_text("It is here. Thank you.")).to_be_visible()
    return Submission.objects.get()


def test_answering_yes_shows_the_number_to_call_at_once(form: Page) -> None:
    call = form.locator(".when-eaten a.call").first
    expect(call).to_be_hidden()
    form.get_by_label("Yes, a person").check()
    expect(call).to_be_visible()
    expect(call).to_have_attribute("href", "tel:18002221222")


def test_an_animal_is_not_sent_to_the_human_number(form: Page) -> None:
    form.get_by_label("Yes, an animal").check()
    expect(form.locator(".when-eaten").first).to_contain_text("call your vet")
    expect(form.locator(".when-eaten a.call").first).to_be_hidden()


def test_asking_whether_it_can_be_eaten_shows_at_once_that_we_do_not_answer(form: Page) -> None:
    words = form.get_by_text("We do not answer whether it can be eaten.")
    expect(words).to_be_hidden()
    form.get_by_label("Can I eat it?").check()
    expect(words).to_be_visible()


def test_a_form_with_a_photo_arrives_and_the_draft_goes(form: Page, live_server: LiveServer) -> None:
    fill(form)
    form.locator("#id_kind-0-photo_top").set_input_files([photo()])
    send(form)
    submission = arrived(form)
    assert submission.photos.get().kind == submission.kinds.get()
    form.goto(f"{live_server.url}/send/")
    expect(form.locator("#id_name")).to_have_value("")


def test_a_reload_costs_nothing(form: Page) -> None:
    fill(form)
    form.locator("#id_kind-0-photo_top").set_input_files([photo()])
    expect(form.locator("[data-photo]")).to_have_count(1)
    form.locator("#add-kind").click()
    form.locator("#id_kind-1-note").fill("beside the path")
    form.reload()
    expect(form.locator("#id_name")).to_have_value("Wren Hollis")
    expect(form.locator("[name=question][value=tree]")).to_be_checked()
    expect(form.locator("#id_kind-1-note")).to_have_value("beside the path")
    expect(form.locator("[data-photo] img")).to_be_visible()


def test_a_photo_whose_upload_failed_goes_again_by_itself(form: Page) -> None:
    tries = []

    def first_fails(route: Route) -> None:
        tries.append(1)
        if len(tries) == 1:
            route.abort()
        else:
            route.continue_()

    form.route("**/send/photo", first_fails)
    form.locator("#id_kind-0-photo_base").set_input_files([photo()])
    expect(form.locator("[data-photo]")).to_have_count(1)
    assert Photo.objects.get().view == "base"


def test_a_photo_that_never_arrived_goes_after_a_reload(form: Page) -> None:
    form.route("**/send/photo", lambda route: route.abort())
    form.locator("#id_kind-0-photo_side").set_input_files([photo()])
    expect(form.get_by_text("the photo is kept here and goes again by itself")).to_be_visible()
    form.locator("#id_name").fill("Wren Hollis")
    form.unroute_all()
    form.reload()
    expect(form.locator("[data-photo]")).to_have_count(1)
    assert Photo.objects.get().view == "side"


def test_a_form_sent_without_connection_goes_when_it_is_back(form: Page) -> None:
    fill(form)
    form.context.set_offline(True)
    send(form)
    expect(form.locator("#sending")).to_contain_text("All that you typed is kept on this phone")
    form.context.set_offline(False)
    arrived(form)


def test_a_server_that_breaks_loses_nothing_and_keeps_once(form: Page) -> None:
    fill(form)

    def answer_lost(route: Route) -> None:
        route.fetch()  # it arrived, but the answer did not
        route.fulfill(status=502, body="bad gateway")

    form.route("**/send/", answer_lost)
    send(form)
    expect(form.locator("#sending")).to_contain_text("All is kept here")
    form.unroute_all()
    form.reload()
    expect(form.locator("#id_name")).to_have_value("Wren Hollis")
    send(form)
    arrived(form)


def test_a_drawing_is_kept_with_its_kind(form: Page) -> None:
    fill(form)
    section = form.locator("section.kind")
    section.locator("details.drawing summary").click()
    sheet = section.locator("canvas")
    sheet.scroll_into_view_if_needed()
    box = sheet.bounding_box()
    assert box is not None
    form.mouse.move(box["x"] + 40, box["y"] + 40)
    form.mouse.down()
    form.mouse.move(box["x"] + 160, box["y"] + 90, steps=4)
    form.mouse.up()
    section.locator(".keep-drawing").click()
    expect(form.locator("[data-photo]")).to_have_count(1)
    send(form)
    assert arrived(form).photos.get().view == "drawing"


def test_a_mistake_leads_back_to_a_filled_form(form: Page) -> None:
    fill(form)
    form.locator("#id_kind-0-form").select_option("cap-and-stem")
    form.locator("#id_kind-0-width").fill("900")
    send(form)
    expect(form.get_by_text("9000 mm cannot be")).to_be_visible()
    expect(form.locator("#id_name")).to_have_value("Wren Hollis")
    form.locator("#id_kind-0-width").fill("9")
    send(form)
    arrived(form)
    assert Kind.objects.get().findings.get(character="cap_width").value == 90


def violations(page: Page) -> list[str]:
    return [f"{found['id']}: {found['nodes'][0]['target']}" for found in Axe().run(page).response["violations"]]


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize(
    "path", ["/", "/send/", "/staff/sign-in/", "/nowhere/", "/pack/{}/", "/follow/{}/", "/s/K7WM-9PQT/"]
)
def test_every_public_page_is_accessible_and_fits(
    tab: Page, live_server: LiveServer, submission: Submission, path: str, size: Any
) -> None:
    tab.set_viewport_size(size)
    tab.goto(live_server.url + path.format(submission.token))
    assert violations(tab) == []
    assert tab.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")


@pytest.mark.parametrize("path", ["/staff/urgent/", "/staff/clinic/", "/staff/records/", "/staff/records/K7WM-9PQT/"])
def test_the_staff_pages_of_people_and_records_are_accessible(
    tab: Page, live_server: LiveServer, submission: Submission, manager: Any, path: str
) -> None:
    tab.goto(live_server.url + path)
    tab.locator("#id_username").fill(manager.username)
    tab.locator("#id_password").fill("seven ruled pages")
    tab.get_by_role("button", name="Sign in").click()
    expect(tab.locator("nav.rooms")).to_be_visible()
    assert violations(tab) == []
