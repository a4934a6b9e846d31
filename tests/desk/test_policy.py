"""The table of who may do what, walked as a whole: written out here a second time, by role."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.test import Client, RequestFactory
from django.urls import reverse

from fruitbody.desk.people.models import Role, User
from fruitbody.desk.people.policy import MAY, Act, ensure, may, requires

EVERYBODY_MAY = {Act.VIEW_STAFF_PAGES, Act.FIND, Act.PREPARE, Act.FLAG}
FRONT_DESK_MAY = EVERYBODY_MAY | {
    Act.RECEIVE, Act.SPLIT, Act.ASK_FINDER, Act.LOG_CALL, Act.SEE_PERSONAL, Act.SEE_RECORDS, Act.PLACE_HOLD,
}  # fmt: skip
SECOND_READER_MAY = EVERYBODY_MAY | {Act.SECOND_READ}
DIAGNOSTICIAN_MAY = FRONT_DESK_MAY | SECOND_READER_MAY | {
    Act.MERGE, Act.DETERMINE, Act.DRAFT_REPORT, Act.ISSUE_REPORT, Act.AMEND_REPORT, Act.CLOSE, Act.SEE_HELD_NAME,
    Act.DISCARD, Act.CHANGE_NAMES,
}  # fmt: skip
MANAGER_MAY = set(Act)
BY_ROLE = {
    Role.FRONT_DESK: FRONT_DESK_MAY,
    Role.DIAGNOSTICIAN: DIAGNOSTICIAN_MAY,
    Role.SECOND_READER: SECOND_READER_MAY,
    Role.MANAGER: MANAGER_MAY,
}


@pytest.mark.parametrize("act", Act)
@pytest.mark.parametrize("role", Role)
def test_each_role_may_do_what_its_list_says_and_nothing_else(role: Role, act: Act) -> None:
    decision = may(User(username="somebody", role=role), act)
    assert bool(decision) is (act in BY_ROLE[role])
    assert decision.reason.endswith(".")


def test_the_table_covers_every_act() -> None:
    assert set(MAY) == set(Act)


def test_every_act_can_be_done_by_somebody() -> None:
    assert all(MAY.values())


@pytest.mark.parametrize("act", Act)
def test_nobody_unknown_may_do_anything(act: Act) -> None:
    assert not may(AnonymousUser(), act)


@pytest.mark.parametrize("act", Act)
def test_a_closed_account_may_do_nothing(act: Act) -> None:
    assert not may(User(username="gone", role=Role.MANAGER, is_active=False), act)


def test_a_superuser_has_the_rights_of_the_role_alone() -> None:
    assert not may(User(username="root", role=Role.FRONT_DESK, is_superuser=True), Act.ISSUE_REPORT)


def test_a_refusal_says_whom_to_ask() -> None:
    decision = may(User(username="juniper", role=Role.FRONT_DESK), Act.ISSUE_REPORT)
    assert decision.reason == "A front desk may not issue a report. Ask a diagnostician or manager."


def test_ensure_raises_with_the_reason() -> None:
    with pytest.raises(PermissionDenied, match="Ask a manager"):
        ensure(User(username="juniper", role=Role.FRONT_DESK), Act.RELEASE_HOLD)


@requires(Act.ISSUE_REPORT)
def _issuing(request: HttpRequest) -> HttpResponse:
    return HttpResponse("issued")


def test_the_decorator_lets_those_through_who_may() -> None:
    request = RequestFactory().get("/")
    request.user = User(username="rosa", role=Role.DIAGNOSTICIAN)
    assert _issuing(request).status_code == 200


def test_the_decorator_sends_strangers_to_the_sign_in_page() -> None:
    request = RequestFactory().get("/staff/reports/?x=1")
    request.user = AnonymousUser()
    answer = _issuing(request)
    assert answer.status_code == 302
    assert answer["Location"] == f"{reverse('people:sign_in')}?next=/staff/reports/%3Fx%3D1"


def test_somebody_who_may_not_gets_a_page_with_the_reason(at_bench: Client, at_second_reading: Client) -> None:
    assert at_bench.get(reverse("records:list")).status_code == 200
    answer = at_second_reading.get(reverse("records:list"))
    assert answer.status_code == 403
    assert "A second reader may not see the history." in answer.content.decode()
