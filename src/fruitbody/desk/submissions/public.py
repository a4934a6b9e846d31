"""What the finder may see of a submission: names only once they are told, never a name that is on hold."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Max, Q, QuerySet

from fruitbody.desk.bench.models import Hold, Kind
from fruitbody.desk.reports.models import ReportVersion
from fruitbody.desk.submissions.models import Message, Party, Submission


@dataclass(frozen=True, slots=True)
class PublicKind:
    """A kind as its finder sees it. name: empty before a report is issued and while it is held."""

    label: str
    clinic_number: str
    name: str
    held: bool


@dataclass(frozen=True, slots=True)
class PublicReport:
    """replaced: a newer version is issued. withheld: it was issued before a name came on hold, so it may name it."""

    version: int
    report: ReportVersion
    replaced: bool
    withheld: bool


def public_kinds(submission: Submission) -> list[PublicKind]:
    """The kinds in order, with names only where a report is issued and nothing is on hold."""
    told = submission.reports.filter(issued_at__isnull=False).exists()
    return [_public_kind(kind, told) for kind in submission.kinds.filter(merged_into__isnull=True)]


def _public_kind(kind: Kind, told: bool) -> PublicKind:
    held = name_is_held(kind)
    last = kind.determinations.filter(blind=False).order_by("-pk").first() if told and not held else None
    return PublicKind(
        kind.finder_label, kind.clinic_number or "", f"{last.name} {last.qualifier}".strip() if last else "", held
    )


def name_is_held(kind: Kind) -> bool:
    """Whether the name is masked: a regulated suspect, on the kind or the whole submission, not released yet."""
    return _holds(kind.submission).filter(Q(kind=kind) | Q(kind__isnull=True)).exists()


def _holds(submission: Submission) -> QuerySet[Hold]:
    return Hold.objects.filter(submission=submission, reason=Hold.Reason.REGULATED, released_at__isnull=True)


def public_reports(submission: Submission) -> list[PublicReport]:
    """Issued versions, the newest first."""
    issued = list(submission.reports.filter(issued_at__isnull=False).order_by("-version"))
    held_since = _holds(submission).aggregate(at=Max("placed_at"))["at"]
    return [
        PublicReport(
            report.version,
            report,
            replaced=report != issued[0],
            withheld=bool(held_since and report.issued_at and report.issued_at < held_since),
        )
        for report in issued
    ]


def letters_for_finder(submission: Submission) -> list[Message]:
    """What was written to the submitter, and by them. Letters to other parties are not theirs to read."""
    submitter = submission.parties.filter(role=Party.Role.SUBMITTER).first()
    mine = Q(state=Message.State.RECEIVED) | Q(to_email=submitter.email if submitter else "")
    return list(submission.messages.filter(mine).order_by("created_at", "id"))
