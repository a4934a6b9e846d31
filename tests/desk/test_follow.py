"""*Follow my parcel*: the state around each boundary, and what the finder may and may not see."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.test import Client
from django.utils import timezone

from fruitbody.desk.bench.models import Bag, Determination, Finding, Hold, Kind
from fruitbody.desk.people.models import User
from fruitbody.desk.reports.models import ReportVersion
from fruitbody.desk.submissions.actions import add_photo, ask_finder
from fruitbody.desk.submissions.models import Message, Photo, Submission
from fruitbody.desk.submissions.state import (
    LINK_DAYS_AFTER_CLOSE,
    WORDS,
    Facts,
    State,
    facts_of,
    link_works,
    state_of,
)
from fruitbody.report import caution
from tests.desk.finder import photo_bytes, photo_file

AT = datetime(2026, 10, 5, 9, 0, tzinfo=UTC)


def follow(client: Client, submission: Submission) -> str:
    answer = client.get(f"/follow/{submission.token}/")
    assert answer.status_code == 200
    return answer.content.decode()


# The state, a pure function


@pytest.mark.parametrize(
    ("facts", "state"),
    [
        (Facts(), State.ANNOUNCED),
        (Facts(kinds=1), State.ANNOUNCED),
        (Facts(kinds=1, sent_at=AT), State.ON_ITS_WAY),
        (Facts(kinds=1, sent_at=AT, received_at=AT), State.RECEIVED),
        (Facts(kinds=1, received_at=AT), State.RECEIVED),  # a walk-in was never posted
        (Facts(kinds=1, examined_at=AT), State.EXAMINED),  # photos only: nothing is ever received
        (Facts(kinds=2, received_at=AT, examined_at=AT, kinds_named=1), State.EXAMINED),
        (Facts(kinds=2, received_at=AT, examined_at=AT, kinds_named=2), State.NAMED),
        (Facts(kinds=0, kinds_named=0, received_at=AT), State.RECEIVED),  # no kinds is not "all named"
        (Facts(kinds=2, kinds_named=2, reported_at=AT), State.REPORTED),
        (Facts(kinds=2, kinds_named=1, reported_at=AT), State.REPORTED),
        (Facts(kinds=2, kinds_named=2, reported_at=AT, closed_at=AT), State.CLOSED),
        (Facts(kinds=1, closed_at=AT), State.CLOSED),
    ],
)
def test_the_state_follows_from_the_facts(facts: Facts, state: State) -> None:
    assert state_of(facts) is state


def test_a_new_fact_never_leads_backwards() -> None:
    order = list(State)
    facts = Facts(kinds=1)
    reached = [order.index(state_of(facts))]
    for step in (
        {"sent_at": AT},
        {"received_at": AT},
        {"examined_at": AT},
        {"kinds_named": 1},
        {"reported_at": AT},
        {"closed_at": AT},
    ):
        facts = replace(facts, **step)  # type: ignore[arg-type]
        reached.append(order.index(state_of(facts)))
    assert reached == list(range(7))


def test_every_state_has_its_words() -> None:
    assert set(WORDS) == set(State)


@pytest.mark.parametrize(("seconds", "works"), [(-1, True), (0, False), (1, False)])
def test_a_link_ends_when_its_days_are_over(seconds: int, works: bool) -> None:
    now = AT + timedelta(days=LINK_DAYS_AFTER_CLOSE, seconds=seconds)
    assert link_works(AT, now) is works


# The facts, gathered from rows


def receive(submission: Submission, user: User) -> Bag:
    return Bag.objects.create(
        submission=submission, clinic_number="F26-00001-5", received_at=timezone.now(), received_by=user
    )


def determine(kind: Kind, user: User, name: str = "Panaeolus foenisecii", **more: Any) -> Determination:
    return Determination.objects.create(
        kind=kind, name=name, rank="species", by=user, by_role="diagnostician", at=timezone.now(), **more
    )


def issue(submission: Submission, user: User, version: int = 1, **more: Any) -> ReportVersion:
    report = ReportVersion(
        submission=submission, version=version, opened_at=timezone.now(), opened_by=user, issued_at=timezone.now(),
        issued_by=user, **more,
    )  # fmt: skip
    report.pdf.save(f"v{version}.pdf", ContentFile(f"%PDF version {version}".encode()), save=False)
    report.save()
    return report


def test_what_the_finder_told_is_no_examination(submission: Submission, kind: Kind, front_desk: User) -> None:
    receive(submission, front_desk)
    Finding.objects.create(kind=kind, character="smell", value="honey", by_role="finder", at=timezone.now())
    assert state_of(facts_of(submission)) is State.RECEIVED


def test_a_finding_of_the_clinic_is_an_examination(submission: Submission, kind: Kind) -> None:
    Finding.objects.create(kind=kind, character="smell", value="honey", by_role="diagnostician", at=timezone.now())
    assert state_of(facts_of(submission)) is State.EXAMINED


def test_a_merged_kind_needs_no_name_of_its_own(submission: Submission, kind: Kind, diagnostician: User) -> None:
    Kind.objects.create(submission=submission, finder_label="B", created_at=timezone.now(), merged_into=kind)
    determine(kind, diagnostician)
    assert state_of(facts_of(submission)) is State.NAMED


# What the finder sees


def test_the_page_says_where_it_stands(client: Client, submission: Submission) -> None:
    page = follow(client, submission)
    assert "You have told us about it. Nothing has arrived here yet." in page
    assert caution("not_eating", "en") in page


@pytest.mark.parametrize("token", ["x" * 43, "guess", "K7WM-9PQT"])
def test_a_guessed_link_gets_a_sentence(client: Client, submission: Submission, token: str) -> None:
    answer = client.get(f"/follow/{token}/")
    assert answer.status_code == 404
    assert "There is nothing at this address" in answer.content.decode()


def test_an_expired_link_gets_the_same_sentence(client: Client, submission: Submission) -> None:
    Submission.objects.update(closed_at=timezone.now() - timedelta(days=LINK_DAYS_AFTER_CLOSE + 1))
    assert client.get(f"/follow/{submission.token}/").status_code == 404


def test_a_name_is_not_told_before_a_report_is_issued(
    client: Client, submission: Submission, kind: Kind, diagnostician: User
) -> None:
    determine(kind, diagnostician)
    assert "Panaeolus" not in follow(client, submission)


def test_the_name_stands_there_once_it_is_reported(
    client: Client, submission: Submission, kind: Kind, diagnostician: User
) -> None:
    determine(kind, diagnostician)
    issue(submission, diagnostician)
    assert "Panaeolus foenisecii" in follow(client, submission)


def test_a_blind_second_name_is_never_shown(
    client: Client, submission: Submission, kind: Kind, diagnostician: User
) -> None:
    determine(kind, diagnostician)
    determine(kind, diagnostician, "Psilocybe", blind=True)
    issue(submission, diagnostician)
    assert "Psilocybe" not in follow(client, submission)


def hold(submission: Submission, user: User, **more: Any) -> Hold:
    return Hold.objects.create(
        submission=submission, reason=Hold.Reason.REGULATED, words="x", placed_by=user, placed_at=timezone.now(), **more
    )


def test_a_held_name_is_masked_by_the_fixed_sentence(
    client: Client, submission: Submission, kind: Kind, diagnostician: User
) -> None:
    determine(kind, diagnostician)
    issue(submission, diagnostician)
    hold(submission, diagnostician, kind=kind)
    page = follow(client, submission)
    assert "Panaeolus" not in page
    assert caution("on_hold", "en") in page


def test_a_report_from_before_the_hold_rests(client: Client, submission: Submission, diagnostician: User) -> None:
    issue(submission, diagnostician)
    hold(submission, diagnostician)
    assert client.get(f"/follow/{submission.token}/report/1/").status_code == 403


def test_a_released_name_is_shown_again(
    client: Client, submission: Submission, kind: Kind, diagnostician: User
) -> None:
    determine(kind, diagnostician)
    issue(submission, diagnostician)
    hold(submission, diagnostician, released_at=timezone.now(), released_by=diagnostician)
    assert "Panaeolus foenisecii" in follow(client, submission)


def test_an_issued_report_can_be_fetched(client: Client, submission: Submission, diagnostician: User) -> None:
    issue(submission, diagnostician)
    answer = client.get(f"/follow/{submission.token}/report/1/")
    assert answer.content == b"%PDF version 1"


def test_a_draft_cannot_be_fetched(client: Client, submission: Submission, diagnostician: User) -> None:
    ReportVersion.objects.create(submission=submission, version=1, opened_at=timezone.now(), opened_by=diagnostician)
    assert client.get(f"/follow/{submission.token}/report/1/").status_code == 404


def test_the_first_version_says_replaced_once_there_is_a_second(
    client: Client, submission: Submission, diagnostician: User
) -> None:
    first = issue(submission, diagnostician)
    issue(submission, diagnostician, 2, supersedes=first, changed="The name was wrong.")
    answer = client.get(f"/follow/{submission.token}/report/1/")
    assert answer.status_code == 410
    assert "Version 1 was replaced" in answer.content.decode()
    assert "The name was wrong." in answer.content.decode()
    assert "<strong>replaced</strong>" in follow(client, submission)


def test_a_question_of_the_clinic_stands_on_the_page(client: Client, submission: Submission, front_desk: User) -> None:
    ask_finder(submission, words="Please photograph the foot.", by=front_desk)
    assert "Please photograph the foot." in follow(client, submission)


def test_letters_to_others_are_not_the_finders_to_read(client: Client, submission: Submission) -> None:
    Message.objects.create(
        submission=submission,
        to_email="parks@example.org",
        subject="Bill",
        body="For the office only",
        created_at=timezone.now(),
    )
    assert "For the office only" not in follow(client, submission)


def test_the_finder_can_answer(client: Client, submission: Submission) -> None:
    client.post(f"/follow/{submission.token}/answer", {"words": "It grew on wood."})
    assert Message.objects.get().state == Message.State.RECEIVED
    assert "It grew on wood." in follow(client, submission)


def test_an_empty_answer_gets_a_sentence(client: Client, submission: Submission) -> None:
    page = client.post(f"/follow/{submission.token}/answer", {"words": "  "}, follow=True).content.decode()
    assert "The message was empty" in page
    assert not Message.objects.exists()


def test_what_the_finder_writes_cannot_become_markup(client: Client, submission: Submission) -> None:
    client.post(f"/follow/{submission.token}/answer", {"words": "<script>alert(1)</script>"})
    assert "<script>alert" not in follow(client, submission)


def test_a_photo_can_be_added_later(client: Client, submission: Submission, kind: Kind) -> None:
    client.post(f"/follow/{submission.token}/photo", {"kind": "A", "view": "base", "photo": photo_file()})
    photo = Photo.objects.get()
    assert (photo.kind, photo.view) == (kind, "base")
    assert submission.history.filter(action="photo added").count() == 1


def test_a_bad_photo_later_gets_a_sentence(client: Client, submission: Submission) -> None:
    address = f"/follow/{submission.token}/photo"
    page = client.post(
        address, {"view": "base", "photo": ContentFile(b"nothing", "a.jpg")}, follow=True
    ).content.decode()
    assert "This file is no photo that we can read." in page


def test_photos_of_the_bench_are_not_shown_to_the_finder(
    client: Client, submission: Submission, diagnostician: User
) -> None:
    photo = add_photo(photo_bytes(), view="bench", submission=submission, by=diagnostician)
    assert client.get(f"/follow/{submission.token}/photo/{photo.pk}/").status_code == 404


def test_a_photo_of_another_submission_is_not_shown(client: Client, submission: Submission) -> None:
    other = Submission.objects.create(code="7QJH-BN32", created_at=timezone.now())
    photo = add_photo(photo_bytes(), view="top", submission=other)
    assert client.get(f"/follow/{submission.token}/photo/{photo.pk}/").status_code == 404
    assert client.get(f"/follow/{other.token}/photo/{photo.pk}/").status_code == 200


def test_the_page_is_gathered_in_few_queries(
    client: Client, submission: Submission, django_assert_max_num_queries: Any
) -> None:
    with django_assert_max_num_queries(20):
        follow(client, submission)
