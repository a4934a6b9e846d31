"""Bags and kinds as they come in. A form sent twice is kept once; what must stay shut stays shut."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from datetime import datetime

from django.db import IntegrityError, transaction
from django.utils import timezone

from fruitbody.desk.bench.errors import ReceivingError, ShutError
from fruitbody.desk.bench.models import Bag, Box, Kind
from fruitbody.desk.bench.promise import working_days_after
from fruitbody.desk.bench.seen import BagSeen, KindSeen, Unannounced, check_bag, check_origin, needs_hood
from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.people.policy import Act, ensure
from fruitbody.desk.records.actions import next_clinic_number, write_history
from fruitbody.desk.records.in_force import load
from fruitbody.desk.records.models import HistoryEntry
from fruitbody.desk.submissions.actions import new_code
from fruitbody.desk.submissions.models import Origin, Party, Submission

AT_THE_DESK = (Origin.WALK_IN, Origin.PAPER, Origin.MAIL, Origin.TELEPHONE, Origin.AGENT)
"""How something can come without the web form."""


@transaction.atomic
def receive(submission: Submission, seen: BagSeen, *, clinic: Clinic, by: User, box: Box | None = None) -> Bag:
    """Open a bag of an announced submission: the bag and each kind in it get their clinic numbers.

    box: the parcel it lay in; without one, the parcel that was kept shut for this submission and has been released.
    The same form (`form_key`) sent twice gives the same bag.
    Raises PermissionDenied, ShutError where it has to stay shut, ReceivingError where a kind is another submission's.
    """
    ensure(by, Act.RECEIVE)
    locked = Submission.objects.select_for_update().get(pk=submission.pk)
    if again := _kept_already(locked, seen.form_key):
        return again
    if box is None and not locked.bags.exists():
        box = locked.box
    _may_be_opened(box, seen.origin_region, clinic)
    check_bag(load(), seen)
    return _open_bag(locked, seen, clinic=clinic, by=by, box=box)


def receive_without_form(told: Unannounced, *, clinic: Clinic, by: User, box: Box | None = None) -> Bag:
    """Something unannounced gets its numbers in one step; who sent it may be told later. Sent twice, kept once.

    Raises PermissionDenied, ShutError, ReceivingError.
    """
    ensure(by, Act.RECEIVE)
    if told.origin not in AT_THE_DESK:
        raise ReceivingError("Say how it came: brought in, on paper, by e-mail, by telephone or in an agent's box.")
    try:
        return _receive_without_form(told, clinic, by, box)
    except IntegrityError:
        # The same form arrived twice at the same time and the other one was first.
        return Bag.objects.get(submission__form_key=told.bag.form_key)


@transaction.atomic
def _receive_without_form(told: Unannounced, clinic: Clinic, by: User, box: Box | None) -> Bag:
    seen = told.bag
    if kept := Bag.objects.filter(submission__form_key=seen.form_key).order_by("pk").first():
        return kept
    _may_be_opened(box, seen.origin_region, clinic)
    check_bag(load(), seen)
    submission = Submission.objects.create(
        code=new_code(),
        form_key=seen.form_key,
        origin=told.origin,
        created_at=timezone.now(),
        region=seen.origin_region,
        picked=True,
        box=box,
    )
    write_history(
        by=by, submission=submission, subject=submission, action="opened without a form",
        words=f"Submission {submission.code} was opened at the desk without a form; it may be announced later.",
        data={"origin": told.origin},
    )  # fmt: skip
    return _open_bag(submission, seen, clinic=clinic, by=by, box=box)


@transaction.atomic
def announce_later(submission: Submission, *, sender: Party, question: str, county: str, by: User) -> Submission:
    """Who sent what came without a form, and what they ask. Once told, a correction is made in the records.

    sender: an unsaved party with name, e-mail and telephone. Raises PermissionDenied, ReceivingError.
    """
    ensure(by, Act.RECEIVE)
    ensure(by, Act.SEE_PERSONAL)
    locked = Submission.objects.select_for_update().get(pk=submission.pk)
    if locked.parties.exists():
        raise ReceivingError("Who sent it is known already. Nothing was changed.")
    sender.submission = locked
    sender.role = Party.Role.SUBMITTER
    sender.save()
    locked.question = question
    locked.county = county
    locked.save(update_fields=["question", "county"])
    write_history(
        by=by, submission=locked, subject=locked, action="announced later",
        words=f"Submission {locked.code} was announced at the desk after it had been received.",
        data={"question": question, "county": county},
    )  # fmt: skip
    return locked


def _kept_already(submission: Submission, form_key: str) -> Bag | None:
    """The bag that this very form made before. The history knows the key; the submission's row is locked."""
    entry = HistoryEntry.objects.filter(submission=submission, action="received", data__form_key=form_key).first()
    return Bag.objects.filter(pk=entry.subject_id or 0).first() if entry else None


def _may_be_opened(box: Box | None, origin_region: str, clinic: Clinic) -> None:
    """A box was decided on when it came in; a single parcel is decided on by where it was posted."""
    if box is None:
        check_origin(origin_region, clinic.region)
    elif Box.objects.select_for_update().get(pk=box.pk).shut:
        raise ShutError(f"Box {box.clinic_number} stays shut until a supervisor decides. Fetch the supervisor.")


def _open_bag(submission: Submission, seen: BagSeen, *, clinic: Clinic, by: User, box: Box | None) -> Bag:
    now = timezone.now()
    bag = Bag.objects.create(
        submission=submission,
        box=box,
        clinic_number=next_clinic_number(clinic, at=now),
        finder_label=seen.label,
        received_at=now,
        received_by=by,
        place=seen.place,
        conditions=list(dict.fromkeys(seen.conditions)),
        hood=needs_hood(load(), seen),
        note=seen.note,
    )
    kinds = [_kind_in(bag, kind, clinic, now) for kind in seen.kinds]
    _date_promise(submission, clinic, now, box)
    write_history(
        by=by,
        submission=submission,
        subject=bag,
        action="received",
        words=f"Bag {bag.clinic_number} was received with {_counted(kinds)}: {_listed(kinds)}.",
        data={
            "form_key": seen.form_key,
            "origin_region": seen.origin_region,
            "box": box.clinic_number if box else "",
            "conditions": bag.conditions,
            "kinds": {str(kind.clinic_number): [kind.finder_label, kind.material, kind.conditions] for kind in kinds},
        },
        at=now,
    )
    return bag


def _kind_in(bag: Bag, seen: KindSeen, clinic: Clinic, now: datetime) -> Kind:
    kind = _new_kind(bag, seen, now) if seen.kind_id is None else _announced_kind(bag, seen.kind_id)
    kind.bag = bag
    kind.clinic_number = next_clinic_number(clinic, at=now)
    kind.material = seen.material
    kind.conditions = list(dict.fromkeys((*bag.conditions, *seen.conditions)))
    kind.save()
    return kind


def _new_kind(bag: Bag, seen: KindSeen, now: datetime) -> Kind:
    drawn = secrets.randbelow(1_000_000) / 1_000_000
    return Kind(submission=bag.submission, finder_label=seen.label, created_at=now, fold_drawn=drawn)


def _announced_kind(bag: Bag, kind_id: int) -> Kind:
    kind = Kind.objects.select_for_update().filter(pk=kind_id, submission=bag.submission).first()
    if kind is None:
        raise ReceivingError("This kind belongs to another submission. Receive it under its own code; kinds never mix.")
    if kind.bag_id is not None or kind.merged_into_id is not None:
        raise ReceivingError(f"{kind} is here already. Take it off the list, or give the new piece its own label.")
    return kind


def _date_promise(submission: Submission, clinic: Clinic, now: datetime, box: Box | None) -> None:
    """The promise runs from the first bag; a box that brought it is noted on the submission."""
    if submission.promised_for is None:
        submission.promised_for = working_days_after(timezone.localdate(now), clinic.promised_days)
    if box and submission.box_id is None:
        submission.box = box
    submission.save(update_fields=["promised_for", "box"])


def _counted(kinds: Sequence[Kind]) -> str:
    return "one kind" if len(kinds) == 1 else f"{len(kinds)} kinds"


def _listed(kinds: Sequence[Kind]) -> str:
    return ", ".join(f"label {kind.finder_label} is {kind.clinic_number}" for kind in kinds)
