"""Finds submissions by whatever somebody remembers: number, label, county, name of the mushroom, date."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db.models import Q, QuerySet
from django.utils import timezone

from fruitbody.desk.bench.models import Bag, Box, Determination, Hold, Kind
from fruitbody.desk.people.models import User
from fruitbody.desk.people.policy import Act, may
from fruitbody.desk.submissions.models import Party, Submission
from fruitbody.funga import UnknownTermError
from fruitbody.funga.model import Funga
from fruitbody.funga.search import find_taxon
from fruitbody.handling.codes import CodeError, read_code, written

LONGEST_LABEL = 3
"""A word this short is looked for among the finders' labels, and not inside longer names."""


@dataclass(frozen=True, slots=True)
class Found:
    """submissions: what was found, the newest first; how: sentences that say what was looked for."""

    submissions: QuerySet[Submission]
    how: tuple[str, ...]


def find_submissions(text: str, *, since: date | None, until: date | None, user: User, funga: Funga) -> Found:
    """Submissions that a text speaks of, announced between two days (inclusive, in the time zone in force)."""
    rows = Submission.objects.order_by("-created_at", "-pk")
    if since:
        rows = rows.filter(created_at__gte=_start(since))
    if until:
        rows = rows.filter(created_at__lt=_start(until + timedelta(days=1)))
    if not text:
        return Found(rows, ())
    match, how = _matches(text, user, funga)
    return Found(rows.filter(match), how)


def _start(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))


def _matches(text: str, user: User, funga: Funga) -> tuple[Q, tuple[str, ...]]:
    """A code or a date is that and nothing else; other words may be a county, a label, a mushroom or a person."""
    if by_number := _by_number(text):
        return by_number, ()
    if day := _day(text):
        match = Q(created_at__gte=_start(day), created_at__lt=_start(day + timedelta(days=1)))
        return match | Q(found_on=day), (f"Announced or found on {day:%-d %B %Y}.",)
    # By id and not by join: a submission with three such kinds is found once, and the page needs no DISTINCT.
    match, how = Q(county__iexact=text), []
    if len(text) <= LONGEST_LABEL:
        match |= Q(pk__in=Kind.objects.filter(finder_label__iexact=text).values("submission"))
    if may(user, Act.SEE_PERSONAL) and len(text) >= LONGEST_LABEL:
        match |= Q(
            pk__in=Party.objects.filter(Q(name__icontains=text) | Q(organisation__icontains=text)).values("submission")
        )
    try:
        hit = find_taxon(funga, text)
    except UnknownTermError:
        if len(text) > LONGEST_LABEL:
            match |= Q(pk__in=_named(Q(name__icontains=text), user))
    else:
        match |= Q(pk__in=_named(Q(taxon=hit.taxon.id) | Q(name__iexact=hit.taxon.name), user))
        how.append(hit.how or f"Kinds named {hit.taxon.name}.")
    return match, tuple(how)


def _named(name: Q, user: User) -> QuerySet[Determination, Any]:
    """Submissions with a kind of this name. A name on hold finds nothing for those who may not see it."""
    rows = Determination.objects.filter(name)
    if not may(user, Act.SEE_HELD_NAME):
        held = Hold.objects.filter(reason=Hold.Reason.REGULATED, released_at__isnull=True)
        rows = rows.exclude(kind__in=held.filter(kind__isnull=False).values("kind")).exclude(
            kind__submission__in=held.filter(kind__isnull=True).values("submission")
        )
    return rows.values("kind__submission")


def _by_number(text: str) -> Q | None:
    """The submission that a code, a bag, a kind or a box of this number belongs to; None where nothing has it."""
    try:
        code = written(read_code(text))
    except CodeError:
        return None
    ids = set(Submission.objects.filter(code=code).values_list("pk", flat=True))
    ids |= set(Bag.objects.filter(clinic_number=code).values_list("submission", flat=True))
    ids |= set(Kind.objects.filter(clinic_number=code).values_list("submission", flat=True))
    for box in Box.objects.filter(clinic_number=code):
        ids |= set(box.bags.values_list("submission", flat=True)) | set(box.submissions.values_list("pk", flat=True))
    return Q(pk__in=ids) if ids else None


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
