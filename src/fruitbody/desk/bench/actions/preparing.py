"""Preparations, and what a reader has unfolded: started, read, noted; one transaction each with its history entry."""

from __future__ import annotations

from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from fruitbody.desk.bench.laying import HOURS, KINDS
from fruitbody.desk.bench.models import Kind, Preparation, RankingSeen
from fruitbody.desk.bench.notebook_errors import NotebookError
from fruitbody.desk.people.models import User
from fruitbody.desk.people.policy import Act, ensure
from fruitbody.desk.records.actions import write_history

TWICE_WITHIN = timedelta(minutes=2)


@transaction.atomic
def start_preparation(
    kind: Kind, *, what: str, by: User, hours: float | None = None, fruit_body: str = "", place: str = ""
) -> Preparation:
    """Lay or start something that needs time. Pressed twice within two minutes, it is started once.

    what: a key of KINDS; hours: until it can be read, else the usual. Raises PermissionDenied, NotebookError.
    """
    ensure(by, Act.PREPARE)
    if what not in KINDS:
        raise NotebookError(f"“{what}” is no preparation. Choose one of {', '.join(KINDS)}.")
    now = timezone.now()
    locked = Kind.objects.select_for_update().get(pk=kind.pk)
    running = locked.preparations.filter(
        what=what, fruit_body=fruit_body, done_at__isnull=True, started_at__gte=now - TWICE_WITHIN
    ).first()
    if running:
        return running
    preparation = Preparation.objects.create(
        kind=locked, what=what, fruit_body=fruit_body[:8], place=place[:80], started_at=now, started_by=by,
        due_at=now + timedelta(hours=HOURS[what] if hours is None else hours),
    )  # fmt: skip
    write_history(
        by=by, submission=locked.submission, subject=preparation, action="started",
        words=f"{locked}: {KINDS[what]} started.", data={"due_at": preparation.due_at},
    )  # fmt: skip
    return preparation


@transaction.atomic
def finish_preparation(preparation: Preparation, *, result: str, by: User) -> Preparation:
    """Say what came of it. What was said first stays. Raises PermissionDenied, NotebookError for an empty result."""
    ensure(by, Act.PREPARE)
    locked = Preparation.objects.select_for_update().select_related("kind__submission").get(pk=preparation.pk)
    if locked.done_at is not None:
        return locked
    if not result.strip():
        raise NotebookError("Say what came of it, also when nothing did: “none in 8 hours”.")
    locked.result, locked.done_at = result.strip()[:1000], timezone.now()
    locked.save(update_fields=["result", "done_at"])
    write_history(
        by=by, submission=locked.kind.submission, subject=locked, action="read",
        words=f"{locked.kind}: {KINDS.get(locked.what, locked.what)} read: {locked.result}",
    )  # fmt: skip
    return locked


@transaction.atomic
def note_ranking_seen(kind: Kind, *, by: User) -> RankingSeen:
    """Keep that this reader saw what fits, the first time. Raises PermissionDenied."""
    ensure(by, Act.FIND)
    locked = Kind.objects.select_for_update().get(pk=kind.pk)
    seen = RankingSeen.objects.filter(kind=locked, by=by).first()
    if seen is None:
        seen = RankingSeen.objects.create(kind=locked, by=by, at=timezone.now())
        write_history(
            by=by, submission=locked.submission, subject=locked, action="unfolded",
            words=f"{locked}: what fits was seen.",
        )  # fmt: skip
    return seen
