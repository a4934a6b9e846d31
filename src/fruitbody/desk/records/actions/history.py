"""The history and the clinic numbers: the two things that every other action writes with its own change."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.core.serializers.json import DjangoJSONEncoder
from django.db import connection, models, transaction
from django.utils import timezone

from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.records.models import HistoryEntry, NumberSeries
from fruitbody.desk.submissions.models import Submission
from fruitbody.handling.codes import clinic_number


class OutsideTransactionError(RuntimeError):
    """A change and its history entry must stand or fall together."""


def write_history(
    *,
    by: User | None,
    action: str,
    words: str,
    subject: models.Model,
    submission: Submission | None = None,
    by_words: str = "",
    data: Mapping[str, Any] | None = None,
    at: datetime | None = None,
) -> HistoryEntry:
    """Append one entry, inside the transaction of the change it tells of.

    by: the member of staff, or None with `by_words` saying who ("the finder", "the desk itself").
    action: one verb in the past ("received"); words: a sentence that a person can read, without personal data.
    Raises OutsideTransactionError where no transaction is open.
    """
    if not connection.in_atomic_block:
        raise OutsideTransactionError("Write history inside transaction.atomic(), together with the change itself.")
    return HistoryEntry.objects.create(
        at=at or timezone.now(),
        by=by,
        by_words=by_words or (by.full_name if by else "the desk itself"),
        submission=submission,
        subject=subject._meta.model_name or "",
        subject_id=subject.pk,
        action=action,
        words=words,
        data=_plain(data or {}),
    )


@transaction.atomic
def next_clinic_number(clinic: Clinic, *, at: datetime | None = None) -> str:
    """The next number of the year in the clinic's time zone, such as F26-00417-L. Numbers are never given twice.

    Called inside the action that uses it: a transaction that fails gives its number back.
    """
    year = (at or timezone.now()).astimezone(ZoneInfo(clinic.time_zone)).year
    NumberSeries.objects.get_or_create(year=year)
    series = NumberSeries.objects.select_for_update().get(year=year)
    series.last += 1
    series.save(update_fields=["last"])
    return clinic_number(clinic.number_prefix, year, series.last)


def _plain(data: Mapping[str, Any]) -> dict[str, Any]:
    """Dates and decimals as text, so that any fact of a change can be kept."""
    plain: dict[str, Any] = json.loads(json.dumps(dict(data), cls=DjangoJSONEncoder))
    return plain
