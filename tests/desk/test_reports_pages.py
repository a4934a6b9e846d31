"""Report pages: who may, what goes wrong, what the list shows."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client

from fruitbody.desk.bench.models import Kind
from fruitbody.desk.people.models import User
from fruitbody.desk.reports.actions import amend, issue, keep_letter, open_draft
from fruitbody.desk.reports.letter import LetterWords
from fruitbody.desk.submissions.models import Submission
from tests.desk.reporting import (
    add_party,
    begun,
    fields,
    found,
    issued,
    named,
    page,
)

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("name", ["draft", "amend", "spoken"])
def test_a_second_reader_neither_writes_nor_issues_nor_learns_who_sent_it(
    at_second_reading: Client, case: Submission, name: str
) -> None:
    assert at_second_reading.get(page(name, case.pk)).status_code == 403
    assert at_second_reading.post(page(name, case.pk), {"do": "open"}).status_code == 403
    assert not case.reports.exists()


def test_the_front_desk_reads_issued_reports_and_writes_none(
    at_bench: Client, at_front_desk: Client, case: Submission
) -> None:
    draft = begun(at_bench, case)
    assert at_front_desk.get(page("pdf", draft.pk)).status_code == 403
    assert at_front_desk.post(page("draft", case.pk), {"do": "issue"}).status_code == 403
    report = issued(at_bench, case)
    assert at_front_desk.get(page("version", report.pk)).status_code == 200


def test_actions_ask_the_policy_themselves(case: Submission, front_desk: User, diagnostician: User) -> None:
    with pytest.raises(PermissionDenied):
        open_draft(case, by=front_desk)
    report = open_draft(case, by=diagnostician)
    with pytest.raises(PermissionDenied):
        keep_letter(report, LetterWords(), by=front_desk)
    with pytest.raises(PermissionDenied):
        issue(report, by=front_desk, second_reading="after")
    with pytest.raises(PermissionDenied):
        amend(case, changed="a", why="b", by=front_desk)


@pytest.mark.parametrize("name", ["draft", "amend", "spoken", "version", "pdf"])
def test_a_visitor_is_asked_to_sign_in(client: Client, case: Submission, name: str) -> None:
    assert "sign-in" in client.get(page(name, case.pk))["Location"]


@pytest.mark.parametrize("name", ["draft", "amend", "spoken", "version", "pdf"])
def test_what_does_not_exist_is_not_found(at_bench: Client, clinic: object, name: str) -> None:
    assert at_bench.get(page(name, 999_999)).status_code == 404


def test_pages_that_only_show_take_no_post(at_bench: Client, case: Submission) -> None:
    report = begun(at_bench, case)
    for name in ("version", "pdf"):
        assert at_bench.post(page(name, report.pk)).status_code == 405


def test_a_file_that_is_gone_is_said_to_be_not_found(at_bench: Client, case: Submission) -> None:
    begun(at_bench, case)
    report = issued(at_bench, case)
    report.pdf.storage.delete(str(report.pdf.name))
    assert at_bench.get(page("pdf", report.pk)).status_code == 404


# --- the list


def test_the_list_shows_what_waits_what_is_written_and_what_is_issued(at_bench: Client, case: Submission) -> None:
    assert [s.code for s in at_bench.get("/staff/reports/").context["due"]] == [case.code]
    report = begun(at_bench, case)
    context = at_bench.get("/staff/reports/").context
    assert (list(context["due"]), list(context["drafts"])) == ([], [report])
    issued(at_bench, case)
    context = at_bench.get("/staff/reports/").context
    assert (list(context["drafts"]), list(context["issued"])) == ([], [report])


def test_a_kind_without_a_name_is_not_ready_to_be_reported(
    at_bench: Client, case: Submission, diagnostician: User
) -> None:
    Kind.objects.create(submission=case, finder_label="B", created_at=case.created_at)
    assert list(at_bench.get("/staff/reports/").context["due"]) == []
    report = open_draft(case, by=diagnostician)
    with pytest.raises(ValueError, match="has no determiner"):
        issue(report, by=diagnostician, second_reading="after")


def test_a_party_without_an_address_gets_it_by_hand(at_bench: Client, case: Submission) -> None:
    add_party(case, "recipient", "Landlord of the meadow")
    begun(at_bench, case)
    issued(at_bench, case)
    task = case.tasks.get(what="send")
    assert task.words == "No e-mail: print version 1 of the report and post it to the recipient of the report."


def test_a_refusal_tells_everything_that_stands_against_it_at_once(at_bench: Client, case: Submission) -> None:
    begun(at_bench, case)
    typed = fields(at_bench, case, answer="It is harmless.", second_reading="waived")
    answer = at_bench.post(page("draft", case.pk), typed | {"do": "issue"}).content.decode()
    assert "waived for a reason" in answer
    assert "“harmless” must not stand in a report" in answer


def test_the_pages_ask_the_database_no_more_for_more_kinds(
    at_bench: Client, case: Submission, diagnostician: User, django_assert_max_num_queries: Any
) -> None:
    begun(at_bench, case)
    for label in "BCDE":
        more = Kind.objects.create(submission=case, finder_label=label, created_at=case.created_at)
        found(more, "cap_colour", "white", by=diagnostician)
        named(more, "Agaricus", diagnostician)
    with django_assert_max_num_queries(22):
        at_bench.get(page("draft", case.pk))
    with django_assert_max_num_queries(8):
        at_bench.get("/staff/reports/")
