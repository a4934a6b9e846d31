"""Tying a bag that came without a form to the submission that announced it after all."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from fruitbody.desk.bench.errors import ReceivingError
from fruitbody.desk.bench.models import Bag, Kind
from fruitbody.desk.people.models import User
from fruitbody.desk.people.policy import Act, ensure
from fruitbody.desk.records.actions import write_history
from fruitbody.desk.submissions.models import Submission


@transaction.atomic
def tie(bag: Bag, to: Submission, *, by: User) -> Bag:
    """The bag, its kinds with all that was seen on them, photos and tasks go over to `to`; its own submission closes.

    A kind that was announced under the same label and is not here yet becomes one with the kind in the bag, which
    keeps its clinic number. Raises PermissionDenied, ReceivingError where the bag's submission is somebody's already.
    """
    ensure(by, Act.RECEIVE)
    rows = Submission.objects.select_for_update().filter(pk__in=(bag.submission_id, to.pk)).order_by("pk")
    locked = {row.pk: row for row in rows}
    old, to = locked[bag.submission_id], locked[to.pk]
    _may_be_tied(old, to)
    called = [_go_over(kind, to) for kind in bag.kinds.filter(merged_into__isnull=True)]
    bag.kinds.update(submission=to)
    bag.submission = to
    bag.save(update_fields=["submission"])
    old.photos.update(submission=to)
    old.tasks.update(submission=to)
    to.box = to.box or old.box
    to.promised_for = to.promised_for or old.promised_for
    to.save(update_fields=["box", "promised_for"])
    old.closed_at = timezone.now()
    old.save(update_fields=["closed_at"])
    for submission in (old, to):
        write_history(
            by=by, submission=submission, subject=bag, action="tied",
            words=f"Bag {bag.clinic_number}, received without a form as {old.code}, belongs to {to.code}.",
            data={"from": old.code, "to": to.code, "announced": [pk for pk in called if pk]},
        )  # fmt: skip
    return bag


def _may_be_tied(old: Submission, to: Submission) -> None:
    if old.pk == to.pk:
        raise ReceivingError("The bag belongs to this submission already. Nothing was changed.")
    if old.parties.exists() or old.bags.count() > 1:
        raise ReceivingError("Only a single bag that nobody has announced yet can be tied to a submission.")
    if old.reports.exists() or old.holds.filter(released_at__isnull=True).exists():
        raise ReceivingError("A report or a hold stands on this bag already. Ask the manager before it is tied.")
    if to.closed_at is not None:
        raise ReceivingError(f"{to.code} is closed already. Ask the manager to look at it first.")


def _go_over(kind: Kind, to: Submission) -> int | None:
    """What was announced under the same label, joined to the kind in the bag; the id of the announced one, if any."""
    announced = to.kinds.filter(
        finder_label__iexact=kind.finder_label, bag__isnull=True, merged_into__isnull=True
    ).first()
    if announced is None:
        return None
    announced.findings.update(kind=kind)
    announced.photos.update(kind=kind)
    kind.finder_note = announced.finder_note
    kind.save(update_fields=["finder_note"])
    announced.merged_into = kind
    announced.save(update_fields=["merged_into"])
    return announced.pk
