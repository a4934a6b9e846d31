"""Split and merge: one action each. The submitter's label never changes; holds go wherever the material goes."""

from __future__ import annotations

import secrets
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from fruitbody.desk.bench.errors import LineageError
from fruitbody.desk.bench.lineage import labels
from fruitbody.desk.bench.models import Finding, Hold, Kind
from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.people.policy import Act, ensure
from fruitbody.desk.records.actions import next_clinic_number, write_history
from fruitbody.desk.records.models import HistoryEntry
from fruitbody.desk.submissions.models import Photo, Submission


@dataclass(frozen=True, slots=True)
class Share:
    """What goes with the part that is split off: ids of findings that move, findings that belong to both, photos.

    form_key: made by the form; the same form sent twice splits once.
    """

    move: frozenset[int] = frozenset()
    both: frozenset[int] = frozenset()
    photos: frozenset[int] = frozenset()
    note: str = ""
    form_key: str = ""


@transaction.atomic
def split(kind: Kind, share: Share, *, clinic: Clinic, by: User) -> Kind:
    """Split a second kind off: B goes on as B1, the new kind is B2 under the same label, with its own clinic number.

    Findings of `share.move` (with what they replace) and photos go over, those of `share.both` are copied; the
    determinations stay with B1. Raises PermissionDenied, LineageError.
    """
    ensure(by, Act.SPLIT)
    kind = _locked(kind)
    if again := _split_already(kind, share.form_key):
        return again
    if kind.clinic_number is None:
        raise LineageError("This kind has not been received yet. Receive it first, then split it.")
    now = timezone.now()
    part = _part_of(kind, clinic, now)
    moved = _move_findings(kind, part, share.move)
    copied = _copy_findings(kind, part, share.both - share.move)
    photos = _move_photos(kind, part, share.photos)
    _carry_holds(kind, part)
    called = labels(kind.submission.kinds.all())
    write_history(
        by=by,
        submission=kind.submission,
        subject=part,
        action="split",
        words=f"Kind {kind.clinic_number} was split: {called[part.pk]} is {part.clinic_number}.",
        data={
            "from": kind.pk,
            "moved": moved,
            "copied": copied,
            "photos": photos,
            "note": share.note,
            "form_key": share.form_key,
        },
        at=now,
    )
    return part


@transaction.atomic
def merge(kind: Kind, into: Kind, *, note: str = "", by: User) -> Kind:
    """Put a kind back into another of the same submission; so a split is undone.

    Its findings, photos and open preparations go over; copies that the other kind has already stay behind. It keeps
    its clinic number and its determinations. Raises PermissionDenied, LineageError.
    """
    ensure(by, Act.MERGE)
    if kind.pk == into.pk:
        raise LineageError("A kind cannot be merged into itself. Choose the other one.")
    if kind.submission_id != into.submission_id:
        raise LineageError("These kinds belong to two submissions. Kinds of two submissions never mix.")
    kind, into = _locked(kind), _locked(into)
    called = labels(kind.submission.kinds.all())
    own = kind.findings.exclude(detail__has_key="copied_from")
    moved = list(own.values_list("pk", flat=True))
    own.update(kind=into)
    photos = _move_photos(kind, into, set(kind.photos.values_list("pk", flat=True)))
    kind.preparations.filter(done_at__isnull=True).update(kind=into)
    _carry_holds(kind, into)
    kind.merged_into = into
    kind.save(update_fields=["merged_into"])
    write_history(
        by=by,
        submission=kind.submission,
        subject=kind,
        action="merged",
        words=f"Kind {called[kind.pk]} ({kind}) was merged into {called[into.pk]} ({into}).",
        data={"into": into.pk, "moved": moved, "photos": photos, "note": note},
    )
    return into


def _locked(kind: Kind) -> Kind:
    """The kind as it stands now, its submission locked, so that two people do not split the same bag at once."""
    Submission.objects.select_for_update().get(pk=kind.submission_id)
    fresh = Kind.objects.select_related("submission").get(pk=kind.pk)
    if fresh.merged_into_id is not None:
        raise LineageError(f"{fresh} was merged into another kind already. Load the page anew.")
    return fresh


def _part_of(kind: Kind, clinic: Clinic, now: datetime) -> Kind:
    """A second kind under the same label, in the same bag and condition, with a number of its own."""
    return Kind.objects.create(
        submission=kind.submission,
        bag=kind.bag,
        clinic_number=next_clinic_number(clinic, at=now),
        finder_label=kind.finder_label,
        split_from=kind,
        material=kind.material,
        conditions=kind.conditions,
        finder_note=kind.finder_note,
        fold_drawn=secrets.randbelow(1_000_000) / 1_000_000,
        created_at=now,
    )


def _split_already(kind: Kind, form_key: str) -> Kind | None:
    done = HistoryEntry.objects.filter(submission=kind.submission, action="split", data__form_key=form_key).first()
    return Kind.objects.filter(pk=done.subject_id or 0).first() if form_key and done else None


def _move_findings(kind: Kind, part: Kind, chosen: Collection[int]) -> list[int]:
    """Move findings and every earlier entry that they replace, so that no correction is torn from what it corrects."""
    rows = {row.pk: row for row in kind.findings.all()}
    moving = set()
    for pk in chosen:
        if pk not in rows:
            raise LineageError("One of the findings is not of this kind any more. Load the page anew and choose again.")
        row: Finding | None = rows[pk]
        while row is not None:
            moving.add(row.pk)
            row = rows.get(row.replaces_id or 0)
    Finding.objects.filter(pk__in=moving).update(kind=part)
    return sorted(moving)


def _copy_findings(kind: Kind, part: Kind, chosen: Collection[int]) -> list[int]:
    """Copies for the part, by the same person at the same moment, each saying what it is a copy of."""
    rows = list(kind.findings.filter(pk__in=chosen, replaced_by__isnull=True))
    for row in rows:
        row.detail = {**row.detail, "copied_from": row.pk}
        row.pk, row.kind, row.replaces = None, part, None
        row._state.adding = True
        row.save()
    return sorted(row.detail["copied_from"] for row in rows)


def _move_photos(kind: Kind, to: Kind, chosen: Collection[int]) -> list[int]:
    mine = Photo.objects.filter(kind=kind, pk__in=chosen)
    moved = sorted(mine.values_list("pk", flat=True))
    mine.update(kind=to)
    return moved


def _carry_holds(kind: Kind, to: Kind) -> None:
    """A hold on a kind covers every piece of it, also after a split or merge."""
    for hold in kind.holds.filter(released_at__isnull=True):
        if not to.holds.filter(reason=hold.reason, released_at__isnull=True).exists():
            Hold.objects.create(
                submission=to.submission, kind=to, reason=hold.reason, words=hold.words, placed_by=hold.placed_by,
                placed_at=hold.placed_at,
            )  # fmt: skip
