"""The wrong name, issued: a second reading differs, calls are made, version 2 says so, version 1 is replaced.

Played through the pages that staff and finders use.
"""

from __future__ import annotations

import io

import pypdf
import pytest
from django.test import Client

from fruitbody.desk.bench.models import Kind
from fruitbody.desk.people.models import User
from fruitbody.desk.reports.models import ReportVersion
from fruitbody.desk.submissions.models import Submission
from tests.desk.reporting import add_party, begun, issued, named, now_at_the_desk, page, second_read, white_button

pytestmark = pytest.mark.django_db

EVERYBODY = ["Larch Meadow Camp", "Meadow landlord", "Wren Hollis"]


def words_of(report: ReportVersion) -> str:
    with report.pdf.open("rb") as file:
        return " ".join(" ".join(p.extract_text() for p in pypdf.PdfReader(io.BytesIO(file.read())).pages).split())


def call(client: Client, submission: Submission, words: str, **more: object) -> None:
    form = {"to_name": "Wren Hollis", "at": now_at_the_desk(), "words": words, "preliminary": "on", **more}
    assert client.post(page("spoken", submission.pk), form).status_code == 302


@pytest.fixture
def told(
    submission: Submission, kind: Kind, diagnostician: User, second_reader: User, at_bench: Client
) -> tuple[ReportVersion, ReportVersion]:
    """Friday's report and Saturday's, with everything between them."""
    white_button(kind, diagnostician)
    add_party(submission, "client", "Larch Meadow Camp", "camp@example.org")
    add_party(submission, "recipient", "Meadow landlord", "landlord@example.org")
    named(kind, "Agaricus", diagnostician)
    begun(at_bench, submission)
    first = issued(at_bench, submission, second_reading="after", note="")
    second_read(kind, "Amanita", second_reader)
    call(at_bench, submission, "Rang out.")
    call(at_bench, submission, "A machine; no message left.")
    due = submission.tasks.filter(needs_voice=True, done_at__isnull=True).values_list("pk", flat=True)
    call(at_bench, submission, "It may be an Amanita.", reached="on", read_back="on", settles=list(due))
    named(kind, "Amanita", diagnostician)
    changed = {"changed": "The name is Amanita sp., no longer Agaricus sp.", "why": "A second reader saw free gills."}
    at_bench.post(page("amend", submission.pk), changed)
    return first, issued(at_bench, submission, second_reading="before", note="")


def test_the_disagreement_opens_a_call_that_only_a_voice_settles(
    told: tuple[ReportVersion, ReportVersion], submission: Submission
) -> None:
    task = submission.tasks.get(what="contact")
    assert task.done_at is not None
    assert [spoken.reached for spoken in submission.spoken.all()] == [False, False, True]


def test_mail_alone_leaves_the_call_open(
    submission: Submission, kind: Kind, diagnostician: User, second_reader: User, at_bench: Client
) -> None:
    white_button(kind, diagnostician)
    named(kind, "Agaricus", diagnostician)
    begun(at_bench, submission)
    issued(at_bench, submission, second_reading="after", note="")
    second_read(kind, "Amanita", second_reader)
    named(kind, "Amanita", diagnostician)
    at_bench.post(page("amend", submission.pk), {"changed": "The name.", "why": "A second reading."})
    issued(at_bench, submission, second_reading="before", note="")
    assert submission.tasks.get(what="contact").done_at is None


def test_version_2_says_what_changed_why_and_that_the_call_was_made(
    told: tuple[ReportVersion, ReportVersion],
) -> None:
    paper = words_of(told[1])
    assert "This version replaces version 1" in paper
    assert "The name is Amanita sp., no longer Agaricus sp." in paper
    assert "A second reader saw free gills." in paper
    assert "We called Wren Hollis about it on" in paper
    assert "“A” is Amanita sp., named to genus." in paper


def test_version_1_told_of_no_call_and_of_the_other_name(told: tuple[ReportVersion, ReportVersion]) -> None:
    paper = words_of(told[0])
    assert "“A” is Agaricus sp., named to genus." in paper
    assert "We called" not in paper


def test_everybody_who_has_version_1_is_listed(told: tuple[ReportVersion, ReportVersion], at_bench: Client) -> None:
    listed = at_bench.get(page("version", told[0].pk)).context["received"]
    assert sorted({one.name for one in listed if "letter" in one.way}) == EVERYBODY
    assert [one.name for one in listed if one.way == "by telephone"] == ["Wren Hollis"]


def test_everybody_who_has_version_1_gets_version_2(
    told: tuple[ReportVersion, ReportVersion], submission: Submission
) -> None:
    assert sorted(told[1].messages.values_list("to_name", flat=True)) == EVERYBODY


def test_the_link_to_version_1_shows_that_it_is_replaced(
    told: tuple[ReportVersion, ReportVersion], client: Client, submission: Submission
) -> None:
    answer = client.get(f"/follow/{submission.token}/report/1/")
    assert answer.status_code == 410
    assert "Version 1 was replaced" in answer.content.decode()
    assert client.get(f"/follow/{submission.token}/report/2/")["Content-Type"] == "application/pdf"
    follow = client.get(f"/follow/{submission.token}/").content.decode()
    assert "replaced" in follow
    assert "no longer Agaricus sp." in follow


def test_the_staff_see_version_1_as_replaced(told: tuple[ReportVersion, ReportVersion], at_bench: Client) -> None:
    assert "This version is replaced" in at_bench.get(page("version", told[0].pk)).content.decode()
