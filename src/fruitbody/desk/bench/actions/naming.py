"""Names: the determination at the bench and the second reading; one transaction each with its history entry.

The history says that a name was written, never which: it is read by people who may not see a name on hold.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from fruitbody.desk.bench.engine import current_rows, what_fits
from fruitbody.desk.bench.models import Determination, Finding, Kind, RankingSeen, Task
from fruitbody.desk.bench.names import Resolved, resolve
from fruitbody.desk.bench.notebook_errors import NamingError, UnseenDangerError
from fruitbody.desk.bench.reading import Named, Outcome, compare
from fruitbody.desk.people.models import User
from fruitbody.desk.people.policy import Act, ensure
from fruitbody.desk.records.actions import write_history
from fruitbody.desk.records.in_force import load
from fruitbody.desk.records.models import HistoryEntry
from fruitbody.desk.reports.referring import open_referral_call
from fruitbody.funga.model import GRAVE
from fruitbody.identify.identify import Identification
from fruitbody.identify.not_excluded import NEAR_DB

CERTAINTY = ("certain", "likely", "open")
CONTACT_WITHIN = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Naming:
    """A name as typed. acknowledged: the reader ticked that they saw the dangerous groups that stand."""

    name: str
    form_key: str
    rank: str = ""
    qualifier: str = ""
    according_to: str = ""
    certainty: str = "likely"
    basis: str = ""
    as_typed: bool = False
    acknowledged: bool = False


@transaction.atomic
def name_kind(kind: Kind, naming: Naming, *, by: User) -> Determination:
    """Write the name of a kind, with what stood beside it at that moment. The same form sent twice names it once.

    Raises PermissionDenied, NamingError, UnseenDangerError.
    """
    ensure(by, Act.DETERMINE)
    locked = Kind.objects.select_for_update().get(pk=kind.pk)
    if again := _written_already(locked, naming.form_key):
        return again
    _open(locked)
    resolved = _checked(naming)
    found = what_fits(load(), locked, current_rows(locked)).found
    _danger_seen(found, resolved, naming)
    before = locked.determinations.filter(blind=False).order_by("-pk").first()
    determination = Determination.objects.create(
        **_common(locked, naming, resolved, found, by),
        replaces=before,
    )
    _write(locked, determination, naming, by, action="named", words=f"{locked} was named.")
    open_referral_call(locked, determination)
    return determination


@transaction.atomic
def read_second(kind: Kind, naming: Naming, *, by: User) -> Determination:
    """A second reading, written without seeing the first name; its outcome goes to the first reader.

    A reading that differs from what was reported already opens an urgent task that only a spoken contact closes.
    Raises PermissionDenied, NamingError.
    """
    ensure(by, Act.SECOND_READ)
    locked = Kind.objects.select_for_update().get(pk=kind.pk)
    if again := _written_already(locked, naming.form_key):
        return again
    _open(locked)
    first = first_name(locked)
    if first is None:
        raise NamingError(f"{locked} has no first name yet, so there is nothing to read a second time.")
    if first.by_id == by.pk:
        raise NamingError("You gave the first name yourself. Somebody else has to read it a second time.")
    resolved = _checked(naming)
    rows = [row for row in current_rows(locked) if row.by_id in (by.pk, None)]
    found = what_fits(load(), locked, rows).found
    outcome = compare(load(), named(first), Named(resolved.name, resolved.rank, resolved.qualifier, resolved.taxon))
    determination = Determination.objects.create(
        **_common(locked, naming, resolved, found, by), blind=True, outcome=outcome.value
    )
    _write(
        locked, determination, naming, by, action="read a second time",
        words=f"{locked} was read a second time; against the first name: {outcome.value}.", outcome=outcome.value,
    )  # fmt: skip
    if outcome is Outcome.DIFFERENT and locked.submission.reports.filter(issued_at__isnull=False).exists():
        _open_contact(locked, by)
    return determination


def first_name(kind: Kind) -> Determination | None:
    """The name that stands: the last one that was not a second reading."""
    return kind.determinations.filter(blind=False).select_related("by").order_by("-pk").first()


def named(determination: Determination) -> Named:
    return Named(determination.name, determination.rank, determination.qualifier, determination.taxon)


def _open(kind: Kind) -> None:
    if kind.merged_into_id:
        raise NamingError(f"{kind} was merged into {kind.merged_into}. Name that one.")


def _checked(naming: Naming) -> Resolved:
    if naming.certainty not in CERTAINTY:
        raise NamingError(f"“{naming.certainty}” is no certainty. Choose one of {', '.join(CERTAINTY)}.")
    if naming.qualifier == "aff." and not naming.basis.strip():
        raise NamingError("“aff.” says that it differs from the kind named. Say in the basis in what.")
    return resolve(
        load(), naming.name, rank=naming.rank, qualifier=naming.qualifier, as_typed=naming.as_typed
    )  # fmt: skip


def standing_beside(found: Identification, taxon_id: str) -> list[str]:
    """Plain names of deadly and severe groups near the best that the named kind does not itself belong to."""
    taxon = load().taxa.get(taxon_id)
    own = set(taxon.hazard) if taxon else set()
    return [
        s.plain
        for s in found.not_excluded
        if s.listed == "first" and s.grade in GRAVE and s.behind_db <= NEAR_DB and s.group not in own
    ]


def _danger_seen(found: Identification, resolved: Resolved, naming: Naming) -> None:
    groups = standing_beside(found, resolved.taxon)
    if groups and not naming.acknowledged:
        raise UnseenDangerError(groups)


def _common(kind: Kind, naming: Naming, resolved: Resolved, found: Identification, by: User) -> dict[str, Any]:
    proposal = found.proposal
    return {
        "kind": kind,
        "taxon": resolved.taxon,
        "name": resolved.name,
        "rank": resolved.rank,
        "qualifier": resolved.qualifier,
        "according_to": (naming.according_to.strip() or resolved.according_to)[:200],
        "certainty": naming.certainty,
        "basis": naming.basis.strip(),
        "by": by,
        "by_role": by.role,
        "ranking_seen": RankingSeen.objects.filter(kind=kind, by=by).exists(),
        "at": timezone.now(),
        "not_excluded": [
            {
                "group": s.group, "plain": s.plain, "grade": s.grade, "syndrome": s.syndrome, "listed": s.listed,
                "behind_db": round(s.behind_db, 2),
            }
            for s in found.not_excluded
        ],
        "proposal": {
            "name": proposal.name, "rank": proposal.rank, "qualifier": proposal.qualifier, "taxon": proposal.taxon,
            "probability": proposal.probability, "used": found.used, "funga": found.funga_digest,
            "last_finding": Finding.objects.filter(kind=kind).order_by("-pk").values_list("pk", flat=True).first(),
        },
    }  # fmt: skip


def _written_already(kind: Kind, form_key: str) -> Determination | None:
    """The determination that this very form wrote before; the kind's row is locked."""
    entry = HistoryEntry.objects.filter(
        submission=kind.submission, subject="determination", data__form_key=form_key
    ).first()
    return Determination.objects.filter(pk=entry.subject_id or 0).first() if entry else None


def _write(
    kind: Kind, determination: Determination, naming: Naming, by: User, *, action: str, words: str, **data: Any
) -> None:
    facts: Mapping[str, Any] = {
        "form_key": naming.form_key,
        "certainty": naming.certainty,
        "acknowledged": naming.acknowledged,
        "ranking_seen": determination.ranking_seen,
        "replaces": determination.replaces_id,
        **data,
    }
    write_history(
        by=by, submission=kind.submission, subject=determination, action=action, words=words, data=facts
    )  # fmt: skip


def _open_contact(kind: Kind, by: User) -> None:
    now = timezone.now()
    task = Task.objects.create(
        submission=kind.submission,
        kind=kind,
        what="contact",
        words=f"The second reading of {kind} differs from what was reported. Speak with everybody who has the report.",
        needs_voice=True,
        opened_at=now,
        due_at=now + CONTACT_WITHIN,
    )
    write_history(
        by=by, submission=kind.submission, subject=task, action="opened",
        words=f"A call is due: the second reading of {kind} differs from the report.",
    )  # fmt: skip
