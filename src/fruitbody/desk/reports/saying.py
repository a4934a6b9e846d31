"""Words said by telephone, kept as they were said, and the calls that they settle."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone

from fruitbody.desk.people.models import User
from fruitbody.desk.people.policy import Act, ensure
from fruitbody.desk.records.actions import write_history
from fruitbody.desk.reports.errors import ReportError
from fruitbody.desk.reports.models import Spoken
from fruitbody.desk.submissions.models import Submission

CLOCKS_DIFFER = timedelta(minutes=5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Talk:
    """A call as it was made. words: what was said, or that nobody answered; read_back: they said it back to us.

    preliminary: it may still change; at: None for now; settles: ids of open tasks that this talk settles.
    """

    to_name: str
    words: str
    reached: bool
    read_back: bool = False
    preliminary: bool = True
    phone: str = ""
    at: datetime | None = None
    settles: Collection[int] = ()


@transaction.atomic
def say(submission: Submission, talk: Talk, *, by: User) -> Spoken:
    """Keep a talk, or a call that nobody answered. It is tied to the last issued version, if there is one.

    The very same words to the same person at the same moment are kept once. Raises PermissionDenied, ReportError.
    """
    ensure(by, Act.LOG_CALL)
    now = timezone.now()
    at = talk.at or now
    _check(talk, at, now)
    locked = Submission.objects.select_for_update().get(pk=submission.pk)
    name, words = talk.to_name.strip()[:120], talk.words.strip()
    if talk.at and (again := locked.spoken.filter(at=talk.at, by=by, to_name=name, words=words).first()):
        return again
    spoken = Spoken.objects.create(
        submission=locked,
        report=locked.reports.filter(issued_at__isnull=False).order_by("-version").first(),
        to_name=name,
        phone=talk.phone[:20],
        at=at,
        by=by,
        reached=talk.reached,
        words=words,
        read_back=talk.read_back and talk.reached,
        preliminary=talk.preliminary,
    )
    write_history(
        by=by,
        submission=locked,
        subject=spoken,
        action="spoke" if talk.reached else "tried to call",
        words="Somebody was spoken to by telephone." if talk.reached else "A call was tried; nobody was reached.",
        data={"read_back": spoken.read_back, "preliminary": talk.preliminary},
    )
    _settle(spoken, talk.settles, by)
    return spoken


def _check(talk: Talk, at: datetime, now: datetime) -> None:
    if not talk.to_name.strip() or not talk.words.strip():
        raise ReportError("Say whom you called and what was said, or that nobody answered.")
    if at > now + CLOCKS_DIFFER:
        raise ReportError("This call lies in the future. Give the time at which it was made.")
    if talk.settles and not talk.reached:
        raise ReportError("Nobody was reached, so the call stays due. Take the tick at the task away.")


def _settle(spoken: Spoken, tasks: Collection[int], by: User) -> None:
    submission = spoken.submission
    for task in submission.tasks.filter(pk__in=list(tasks), done_at__isnull=True):
        task.done_at, task.done_by, task.done_words = spoken.at, by, "Settled by a talk whose words are kept."
        task.save(update_fields=["done_at", "done_by", "done_words"])
        write_history(
            by=by, submission=submission, subject=task, action="settled", words=f"Settled by voice: {task.words}"
        )
