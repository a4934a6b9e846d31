"""Pages of kinds in a real browser: accessible at both widths, nothing wider than the window."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page
from pytest_django.live_server_helper import LiveServer

from fruitbody.desk.people.models import User
from fruitbody.report import how_good
from tests.desk.test_bench_in_browser import sign_in
from tests.report.test_how_good import written

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("clinic")]

WIDTHS = (390, 1440)
STAFF = ("/staff/funga/amanita-phalloides/", "/staff/funga/kretzschmaria-deusta/")
PUBLIC = ("/kinds/", "/kinds/?q=death+cap", "/kinds/amanita-phalloides/?lang=es", "/kinds/psilocybe-cyanescens/")


def faults(tab: Page, address: str) -> list[str]:
    """What axe finds against WCAG 2.2 AA at both widths, and pages wider than their window."""
    found = []
    for width in WIDTHS:
        tab.set_viewport_size({"width": width, "height": 900})
        tab.goto(address)
        run = Axe().run(tab, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]})
        found += [f"{width}: {fault['id']} {fault['nodes'][0]['html'][:120]}" for fault in run.response["violations"]]
        if tab.evaluate("document.documentElement.scrollWidth") > width:
            found.append(f"{width}: wider than the window")
    return found


@pytest.mark.parametrize("path", PUBLIC)
def test_public_pages_of_kinds_are_accessible(tab: Page, live_server: LiveServer, path: str) -> None:
    assert faults(tab, f"{live_server.url}{path}") == []


def test_the_packet_is_accessible(tab: Page, live_server: LiveServer, diagnostician: User) -> None:
    sign_in(tab, live_server, diagnostician, "/staff/funga/")
    for path in STAFF:
        assert faults(tab, f"{live_server.url}{path}") == []


def test_the_figures_are_accessible_when_there_are_some(
    tab: Page, live_server: LiveServer, diagnostician: User, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "figures.json"
    file.write_text(json.dumps(written()), encoding="utf-8")
    monkeypatch.setattr(how_good, "FIGURES", file)
    sign_in(tab, live_server, diagnostician, "/staff/funga/")
    assert faults(tab, f"{live_server.url}/staff/funga/how-good/") == []


def test_drawings_show_under_the_content_security_policy(
    tab: Page, live_server: LiveServer, diagnostician: User
) -> None:
    said: list[str] = []
    tab.on("console", lambda message: said.append(message.text))
    sign_in(tab, live_server, diagnostician, "/staff/funga/amanita-phalloides/")
    box = tab.locator("figure.cloud svg").bounding_box()
    assert box is not None
    assert box["width"] > 250
    assert [words for words in said if "Content Security Policy" in words] == []
