"""Boxes: what stays shut, what a permit opens, an agent's bags of several submissions."""

from __future__ import annotations

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client
from django.utils import timezone

from fruitbody.desk.bench.actions.boxes import destroy_box, release_box, take_in_box
from fruitbody.desk.bench.actions.receiving import receive
from fruitbody.desk.bench.errors import ReceivingError, ShutError
from fruitbody.desk.bench.models import Bag, Box, Kind
from fruitbody.desk.bench.seen import BagSeen, BoxSeen, KindSeen, is_covered
from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.submissions.models import Submission
from tests.desk.receiving_case import HOME, bag_of, form_for, key, no_form, url


@pytest.mark.parametrize(("region", "covered"), [(HOME, True), ("US-VT", False), ("CA", False), ("", False)])
def test_only_a_parcel_from_the_own_state_may_be_opened_unasked(region: str, covered: bool) -> None:
    assert is_covered(region, HOME) is covered


@pytest.mark.parametrize("region", ["US-VT", "CA", "unknown"])
def test_a_parcel_from_elsewhere_stays_shut(at_front_desk: Client, kind: Kind, region: str) -> None:
    answer = at_front_desk.post(url("receive", kind.submission.code), form_for(kind, origin_region=region), follow=True)
    assert Box.objects.get().shut
    assert not Bag.objects.exists()
    assert "fetch the supervisor" in answer.content.decode()
    assert "A front desk may not decide on a box that stays shut." in answer.content.decode()


def test_the_action_itself_keeps_a_foreign_parcel_shut(kind: Kind, clinic: Clinic, front_desk: User) -> None:
    with pytest.raises(ShutError, match="supervisor"):
        receive(kind.submission, bag_of(kind, origin_region="US-VT"), clinic=clinic, by=front_desk)


def test_no_form_from_elsewhere_stays_shut(at_front_desk: Client, clinic: Clinic) -> None:
    at_front_desk.post(url("no_form"), no_form(origin_region="US-VT"))
    assert Box.objects.get().shut
    assert not Submission.objects.exists()


@pytest.fixture
def shut(kind: Kind, clinic: Clinic, front_desk: User) -> Box:
    return take_in_box(BoxSeen(key(), "US-VT"), clinic=clinic, by=front_desk, submission=kind.submission)


def test_a_shut_box_is_not_opened_by_its_code(at_front_desk: Client, shut: Box, kind: Kind) -> None:
    assert at_front_desk.get(url("receive", kind.submission.code))["Location"] == url("box", shut.clinic_number)


def test_a_supervisor_opens_it_under_a_permit(at_managers_desk: Client, shut: Box, kind: Kind) -> None:
    at_managers_desk.post(url("box", shut.clinic_number), {"decision": "open", "permit": "P-000-TEST", "words": ""})
    shut.refresh_from_db()
    assert (shut.shut, shut.permit) == (False, "P-000-TEST")
    assert "under permit P-000-TEST" in kind.submission.history.get(action="released").words
    at_managers_desk.post(url("receive", kind.submission.code), form_for(kind, origin_region="US-VT"))
    assert Bag.objects.get().box == shut


def test_without_a_permit_it_stays_shut(at_managers_desk: Client, shut: Box) -> None:
    answer = at_managers_desk.post(url("box", shut.clinic_number), {"decision": "open"})
    assert answer.status_code == 400
    assert "Write the number of the permit" in answer.content.decode()


def test_a_destroyed_box_stays_shut_on_record(shut: Box, manager: User) -> None:
    destroy_box(shut, words="Autoclaved, two of us.", by=manager)
    shut.refresh_from_db()
    assert shut.shut
    with pytest.raises(ReceivingError, match="destroyed unopened"):
        release_box(shut, permit="P-1", words="", by=manager)


@pytest.mark.parametrize("role", ["front_desk", "diagnostician", "second_reader"])
def test_nobody_but_the_manager_decides(shut: Box, role: str, request: pytest.FixtureRequest) -> None:
    with pytest.raises(PermissionDenied):
        release_box(shut, permit="P-1", words="", by=request.getfixturevalue(role))


def test_a_later_parcel_from_elsewhere_is_not_covered_by_the_first_permit(
    shut: Box, kind: Kind, clinic: Clinic, manager: User
) -> None:
    release_box(shut, permit="P-1", words="", by=manager)
    receive(kind.submission, bag_of(kind, origin_region="US-VT"), clinic=clinic, by=manager)
    more = BagSeen(key(), (KindSeen("B"),), origin_region="US-VT")
    with pytest.raises(ShutError):
        receive(kind.submission, more, clinic=clinic, by=manager)


def test_an_agents_box_holds_bags_of_several_submissions(at_front_desk: Client, kind: Kind, clinic: Clinic) -> None:
    other = Submission.objects.create(code="OTHR-0001", created_at=timezone.now())
    second = Kind.objects.create(submission=other, finder_label="A", created_at=timezone.now())
    answer = at_front_desk.post(url("box_in"), {"form_key": key(), "origin_region": HOME, "carrier": "county agent"})
    box = Box.objects.get()
    assert answer["Location"] == url("box", box.clinic_number)
    for each in (kind, second):
        at_front_desk.post(url("receive", each.submission.code), form_for(each, box=box.clinic_number))
    assert {bag.submission_id for bag in box.bags.all()} == {kind.submission_id, other.pk}
    assert all({k.submission_id for k in bag.kinds.all()} == {bag.submission_id} for bag in box.bags.all())


def test_a_slip_scanned_at_the_box_goes_into_the_box(
    at_front_desk: Client, submission: Submission, clinic: Clinic
) -> None:
    at_front_desk.post(url("box_in"), {"form_key": key(), "origin_region": HOME})
    number = Box.objects.get().clinic_number
    answer = at_front_desk.get(url("box", number), {"code": submission.code})
    assert answer["Location"] == f"{url('receive', submission.code)}?box={number}"


def test_a_box_form_sent_twice_makes_one_box(at_front_desk: Client, clinic: Clinic) -> None:
    form = {"form_key": key(), "origin_region": HOME}
    at_front_desk.post(url("box_in"), form)
    at_front_desk.post(url("box_in"), form)
    assert Box.objects.count() == 1


def test_a_bag_without_a_form_can_lie_in_a_box(at_front_desk: Client, clinic: Clinic) -> None:
    at_front_desk.post(url("box_in"), {"form_key": key(), "origin_region": HOME})
    box = Box.objects.get()
    at_front_desk.post(url("no_form"), no_form(box=box.clinic_number, origin="agent"))
    assert Bag.objects.get().box == box


@pytest.mark.parametrize("path", ["box", "bag"])
def test_a_number_nobody_gave_is_not_found(at_front_desk: Client, clinic: Clinic, path: str) -> None:
    assert at_front_desk.get(url(path, "F26-99999-X")).status_code == 404
