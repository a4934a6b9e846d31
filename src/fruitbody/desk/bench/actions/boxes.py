"""Parcels as they come through the door: an agent's box with bags of several submissions, and boxes that stay shut."""

from __future__ import annotations

from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from fruitbody.desk.bench.errors import ReceivingError
from fruitbody.desk.bench.models import Box
from fruitbody.desk.bench.seen import BoxSeen, is_covered
from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.people.policy import Act, ensure
from fruitbody.desk.records.actions import next_clinic_number, write_history
from fruitbody.desk.records.models import HistoryEntry
from fruitbody.desk.submissions.models import Submission

FORM_LIVES = timedelta(days=1)
DESTROYED = "Destroyed unopened: "
"""Begins the last line of the note of a box that was destroyed; it stays shut for ever."""


@transaction.atomic
def take_in_box(seen: BoxSeen, *, clinic: Clinic, by: User, submission: Submission | None = None) -> Box:
    """Give a parcel its number. From elsewhere, or from nobody knows where, it stays shut.

    submission: whose parcel it is, where that is known without opening it; a parcel of theirs that is shut already
    comes back instead of a second one. The same form sent twice gives the same box. Raises PermissionDenied.
    """
    ensure(by, Act.RECEIVE)
    Clinic.objects.select_for_update().filter(pk=clinic.pk).first()
    if again := _kept_already(seen.form_key):
        return again
    if submission is not None:
        submission = Submission.objects.select_for_update().get(pk=submission.pk)
        if submission.box and submission.box.shut:
            return submission.box
    shut = not is_covered(seen.origin_region, clinic.region)
    now = timezone.now()
    box = Box.objects.create(
        clinic_number=next_clinic_number(clinic, at=now),
        received_at=now,
        received_by=by,
        carrier=seen.carrier,
        origin_region=seen.origin_region,
        shut=shut,
        note=seen.note,
    )
    if submission is not None:
        submission.box = box
        submission.save(update_fields=["box"])
    fate = "stays shut until a supervisor decides" if shut else "may be opened"
    write_history(
        by=by,
        submission=submission,
        subject=box,
        action="kept shut" if shut else "box received",
        words=f"Box {box.clinic_number} came in and {fate}.",
        data={"form_key": seen.form_key, "origin_region": seen.origin_region, "carrier": seen.carrier},
    )
    return box


def _kept_already(form_key: str) -> Box | None:
    """The box that this very form made before; forms older than a day count as new."""
    recent = HistoryEntry.objects.filter(at__gte=timezone.now() - FORM_LIVES, subject="box", data__form_key=form_key)
    entry = recent.order_by("pk").first()
    return Box.objects.filter(pk=entry.subject_id or 0).first() if entry else None


@transaction.atomic
def release_box(box: Box, *, permit: str, words: str, by: User) -> Box:
    """A supervisor lets a shut box be opened, under a permit whose number is kept.

    Raises PermissionDenied, ReceivingError.
    """
    ensure(by, Act.OPEN_SHUT_BOX)
    locked = _shut_box(box)
    if not permit.strip():
        raise ReceivingError("Write the number of the permit that covers this parcel, or leave the box shut.")
    locked.shut, locked.permit = False, permit.strip()
    locked.save(update_fields=["shut", "permit"])
    _tell(locked, by, "released", f"Box {locked.clinic_number} may be opened under permit {locked.permit}.", words)
    return locked


@transaction.atomic
def destroy_box(box: Box, *, words: str, by: User) -> Box:
    """A supervisor has a shut box destroyed unopened; it stays shut on record.

    Raises PermissionDenied, ReceivingError.
    """
    ensure(by, Act.OPEN_SHUT_BOX)
    ensure(by, Act.DISCARD)
    locked = _shut_box(box)
    if not words.strip():
        raise ReceivingError("Say how it was destroyed and who was there. Both belong on record.")
    locked.note = f"{locked.note}\n{DESTROYED}{words.strip()}".strip()
    locked.save(update_fields=["note"])
    _tell(locked, by, "destroyed", f"Box {locked.clinic_number} was destroyed unopened.", words)
    return locked


def was_destroyed(box: Box) -> bool:
    return box.shut and DESTROYED in box.note


def _shut_box(box: Box) -> Box:
    locked = Box.objects.select_for_update().get(pk=box.pk)
    if was_destroyed(locked):
        raise ReceivingError("This box was destroyed unopened. What was decided stays as it is.")
    if not locked.shut:
        raise ReceivingError("This box is not shut any more. Load the page anew to see what was decided.")
    return locked


def _tell(box: Box, by: User, action: str, words: str, typed: str) -> None:
    """One entry for each submission that waits for this box, in its own history; one if none does."""
    waiting: list[Submission | None] = [*box.submissions.all()] or [None]
    for submission in waiting:
        write_history(by=by, submission=submission, subject=box, action=action, words=words, data={"words": typed})
