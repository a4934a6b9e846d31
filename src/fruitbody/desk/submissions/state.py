"""Where a submission stands, in plain words: a pure function of stored facts. Nothing stores the state itself."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from django.db.models import Min
from django.utils.translation import gettext_lazy as _

from fruitbody.desk.bench.models import Finding
from fruitbody.desk.submissions.models import Submission

LINK_DAYS_AFTER_CLOSE = 400
"""A private link works this long after the submission was closed."""


EXAMINERS = ("diagnostician", "second-reader", "outside")
"""Whose findings count as looking at it; what the finder told and the front desk wrote down does not."""


class State(StrEnum):
    ANNOUNCED = "announced"
    ON_ITS_WAY = "on its way"
    RECEIVED = "received"
    EXAMINED = "being examined"
    NAMED = "named"
    REPORTED = "reported"
    CLOSED = "closed"


WORDS = {
    State.ANNOUNCED: _("You have told us about it. Nothing has arrived here yet."),
    State.ON_ITS_WAY: _("You have posted it. We write as soon as something is missing."),
    State.RECEIVED: _("It is here and has its number. Nobody has looked at it yet."),
    State.EXAMINED: _("Somebody is looking at it."),
    State.NAMED: _("It has a name. The report is being written and checked."),
    State.REPORTED: _("The report is issued. You find it below."),
    State.CLOSED: _("We have finished. The report stays here for you."),
}


@dataclass(frozen=True, slots=True)
class Facts:
    """What is stored about the way of a submission; None for what has not happened."""

    sent_at: datetime | None = None
    received_at: datetime | None = None
    examined_at: datetime | None = None
    kinds: int = 0
    kinds_named: int = 0
    reported_at: datetime | None = None
    closed_at: datetime | None = None


def state_of(facts: Facts) -> State:
    """The furthest point reached. Named only when every kind is."""
    if facts.closed_at:
        return State.CLOSED
    if facts.reported_at:
        return State.REPORTED
    if facts.kinds and facts.kinds_named >= facts.kinds:
        return State.NAMED
    if facts.examined_at or facts.kinds_named:
        return State.EXAMINED
    if facts.received_at:
        return State.RECEIVED
    return State.ON_ITS_WAY if facts.sent_at else State.ANNOUNCED


def link_works(closed_at: datetime | None, now: datetime) -> bool:
    """Whether the private link still opens the page."""
    return closed_at is None or now < closed_at + timedelta(days=LINK_DAYS_AFTER_CLOSE)


def facts_of(submission: Submission) -> Facts:
    """Gather the facts: six small queries."""
    # A kind that was merged into another needs no name of its own.
    kinds = submission.kinds.filter(merged_into__isnull=True)
    findings = Finding.objects.filter(kind__submission=submission, by_role__in=EXAMINERS)
    return Facts(
        sent_at=submission.sent_at,
        received_at=submission.bags.aggregate(at=Min("received_at"))["at"],
        examined_at=findings.aggregate(at=Min("at"))["at"],
        kinds=kinds.count(),
        kinds_named=kinds.filter(determinations__isnull=False).distinct().count(),
        reported_at=submission.reports.aggregate(at=Min("issued_at"))["at"],
        closed_at=submission.closed_at,
    )
