"""The report room in a real browser: nothing sticks out at phone or desk width, axe finds nothing, the drawer works."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from fruitbody.desk.bench.models import Kind
from fruitbody.desk.people.models import User
from fruitbody.desk.reports.actions import amend
from fruitbody.desk.submissions.models import Submission
from tests.desk.reporting import begun, issued, named, page, white_button

pytestmark = pytest.mark.django_db(transaction=True)
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1440, "height": 900}


@pytest.fixture
def case(submission: Submission, kind: Kind, diagnostician: User) -> Submission:
    white_button(kind, diagnostician)
    named(kind, "Agaricus", diagnostician)
    return submission


@pytest.fixture
def staff(tab: Page, live_server: LiveServer, at_bench: Client) -> Page:
    session = at_bench.cookies["sessionid"].value
    tab.context.add_cookies([{"name": "sessionid", "value": session, "url": live_server.url}])
    return tab


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_every_page_of_the_room_fits_its_width_and_passes_axe(
    staff: Page, live_server: LiveServer, at_bench: Client, case: Submission, diagnostician: User, size: dict[str, int]
) -> None:
    begun(at_bench, case)
    first = issued(at_bench, case)
    amend(case, changed="The size.", why="A slip.", by=diagnostician)
    staff.set_viewport_size({"width": size["width"], "height": size["height"]})
    paths = ["/staff/reports/", page("draft", case.pk), page("version", first.pk)]
    problems = {}
    for path in [*paths, page("amend", case.pk), page("spoken", case.pk)]:
        staff.goto(f"{live_server.url}{path}")
        # The paper in its frame is the browser's own viewer, not a page of ours.
        staff.evaluate("document.querySelectorAll('iframe').forEach((frame) => frame.remove())")
        found = Axe().run(staff)
        wide = staff.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        if found.violations_count or wide > 0:
            problems[path] = (found.generate_report(), wide)
    assert problems == {}


def test_a_press_on_the_drawer_puts_its_text_after_the_answer(
    staff: Page, live_server: LiveServer, at_bench: Client, case: Submission
) -> None:
    begun(at_bench, case)
    staff.goto(f"{live_server.url}{page('draft', case.pk)}")
    staff.get_by_text("Paragraph drawer").click()
    staff.get_by_role("button", name="Foot missing").click()
    answer = staff.locator("#id_answer")
    expect(answer).to_have_value("“A” is Agaricus sp., named to genus.\n\nThe stem was cut above the ground. "
                                 "The foot holds features that decide between groups, some of them dangerous; "
                                 "without it we name no further.")  # fmt: skip


def test_the_paper_is_shown_beside_the_draft_at_desk_width(
    staff: Page, live_server: LiveServer, at_bench: Client, case: Submission
) -> None:
    report = begun(at_bench, case)
    staff.set_viewport_size({"width": DESK["width"], "height": DESK["height"]})
    refused: list[str] = []
    staff.on("console", lambda message: refused.append(message.text))
    with staff.expect_response(lambda answer: answer.url.endswith(page("pdf", report.pk))) as arriving:
        staff.goto(f"{live_server.url}{page('draft', case.pk)}")
    assert arriving.value.status == 200
    expect(staff.locator("iframe.paper")).to_be_visible()
    assert refused == []


def test_a_report_is_issued_by_pressing_its_button(
    staff: Page, live_server: LiveServer, at_bench: Client, case: Submission
) -> None:
    begun(at_bench, case)
    staff.goto(f"{live_server.url}{page('draft', case.pk)}")
    staff.get_by_label("comes after issue").check()
    staff.get_by_role("button", name="Issue as Rosa Exemplar").click()
    expect(staff.get_by_text("Version 1 is issued. Its letters are on their way.")).to_be_visible()
    assert case.messages.get(report__isnull=False).state == "outbox"
