"""Words said by telephone: kept as said, read back or not, and the calls they settle."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client
from django.utils import timezone

from fruitbody.desk.bench.models import Task
from fruitbody.desk.people.models import User
from fruitbody.desk.reports.actions import Talk, say
from fruitbody.desk.reports.errors import ReportError
from fruitbody.desk.submissions.models import Submission
from tests.desk.reporting import now_at_the_desk, page

pytestmark = pytest.mark.django_db


@pytest.fixture
def task(submission: Submission) -> Task:
    now = timezone.now()
    return Task.objects.create(
        submission=submission, what="call", words="Call the finder.", needs_voice=True, opened_at=now, due_at=now
    )


def call(**more: Any) -> dict[str, Any]:
    return {"to_name": "Wren Hollis", "phone": "+16075550142", "at": now_at_the_desk(), "words": "We named it.", **more}


def test_words_are_kept_with_who_when_and_whether_read_back(at_front_desk: Client, submission: Submission) -> None:
    at_front_desk.post(page("spoken", submission.pk), call(reached="on", read_back="on", preliminary="on"))
    spoken = submission.spoken.get()
    assert (spoken.words, spoken.by.username, spoken.reached, spoken.read_back) == (
        "We named it.",
        "juniper",
        True,
        True,
    )
    assert "“We named it.”" in at_front_desk.get(page("spoken", submission.pk)).content.decode()


def test_the_same_form_sent_twice_is_kept_once(at_front_desk: Client, submission: Submission) -> None:
    form = call(reached="on")
    at_front_desk.post(page("spoken", submission.pk), form)
    at_front_desk.post(page("spoken", submission.pk), form)
    assert submission.spoken.count() == 1


def test_a_try_leaves_the_call_due(at_front_desk: Client, submission: Submission, task: Task) -> None:
    at_front_desk.post(page("spoken", submission.pk), call(words="Nobody answered."))
    task.refresh_from_db()
    assert task.done_at is None
    assert not submission.spoken.get().reached


def test_a_call_is_settled_only_by_a_talk_that_reached_somebody(
    at_front_desk: Client, submission: Submission, task: Task
) -> None:
    answer = at_front_desk.post(page("spoken", submission.pk), call(settles=[task.pk]))
    assert answer.status_code == 422
    assert "Nobody was reached, so the call stays due." in answer.content.decode()
    assert "We named it." in answer.content.decode()
    at_front_desk.post(page("spoken", submission.pk), call(settles=[task.pk], reached="on"))
    task.refresh_from_db()
    assert task.done_by is not None
    assert submission.history.filter(action="settled").count() == 1


def test_a_talk_nobody_ticked_settles_nothing(submission: Submission, task: Task, front_desk: User) -> None:
    say(submission, Talk(to_name="Wren Hollis", words="About the postage.", reached=True), by=front_desk)
    task.refresh_from_db()
    assert task.done_at is None


def test_read_back_needs_somebody_who_was_reached(submission: Submission, front_desk: User) -> None:
    said = say(submission, Talk(to_name="Wren", words="Rang out.", reached=False, read_back=True), by=front_desk)
    assert not said.read_back


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"words": " "}, "Say whom you called"),
        ({"to_name": " "}, "Say whom you called"),
        ({"at": timezone.now() + timedelta(hours=2)}, "lies in the future"),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence(
    submission: Submission, front_desk: User, wrong: dict[str, Any], words: str
) -> None:
    given: dict[str, Any] = {"to_name": "Wren", "words": "Said.", "reached": True}
    with pytest.raises(ReportError, match=words):
        say(submission, Talk(**given | wrong), by=front_desk)
    assert not submission.spoken.exists()


def test_a_form_without_words_says_so_and_keeps_the_rest(at_front_desk: Client, submission: Submission) -> None:
    answer = at_front_desk.post(page("spoken", submission.pk), call(words="", to_name="Larch Camp"))
    assert answer.status_code == 422
    assert "Larch Camp" in answer.content.decode()


def test_a_second_reader_does_not_telephone_the_finder(submission: Submission, second_reader: User) -> None:
    with pytest.raises(PermissionDenied):
        say(submission, Talk(to_name="Wren", words="Said.", reached=True), by=second_reader)


def test_the_history_tells_of_a_talk_without_names(submission: Submission, front_desk: User) -> None:
    say(submission, Talk(to_name="Wren Hollis", words="Said.", reached=True), by=front_desk)
    assert "Wren" not in submission.history.get(action="spoke").words
