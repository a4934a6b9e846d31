"""Today: everything open, the most pressing first, each with the reason why it stands there."""

from __future__ import annotations

from dataclasses import dataclass

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache

from fruitbody.desk.bench.open_cases import Case, needs_somebody, open_cases
from fruitbody.desk.bench.today import in_order, in_words
from fruitbody.desk.bench.views_receiving import person
from fruitbody.desk.people.models import User
from fruitbody.desk.people.policy import Act, may, requires
from fruitbody.desk.records.in_force import load

PER_PAGE = 60
CALL_FIRST = ("eaten", "call")
"""Flags that want a voice before the parcel, if it ever comes."""


@dataclass(frozen=True, slots=True)
class Row:
    """A case in its place: why it stands there, the deciding reason first, and the next step."""

    case: Case
    why: tuple[str, ...]
    step: str
    url: str


@never_cache
@requires(Act.VIEW_STAFF_PAGES)
def today(request: HttpRequest) -> HttpResponse:
    user = person(request)
    cases = open_cases(user, load())
    listed = [case for case in cases if needs_somebody(case)]
    typed = request.GET.get("q", "").strip()
    # A search looks through everything open, also what has not arrived yet.
    shown = [case for case in cases if case.speaks_of(typed)] if typed else listed
    by_key = {case.waiting.key: case for case in shown}
    ordered = in_order((case.waiting for case in shown), timezone.localtime())
    page = Paginator(ordered, PER_PAGE).get_page(request.GET.get("page"))
    rows = [_row(by_key[placed.waiting.key], placed.why, user) for placed in page]
    context = {"rows": rows, "page": page, "typed": typed, "counts": _counts(cases, listed), "found": len(shown)}
    return render(request, "bench/today.html", context)


def _row(case: Case, why: tuple[str, ...], user: User) -> Row:
    step, url = next_step(case, user)
    return Row(case, why, step, url)


def next_step(case: Case, user: User) -> tuple[str, str]:
    """What to do next, and where; empty where this person has nothing to do with it."""
    kind = case.kind
    record = reverse("records:record", args=[kind.submission.code]) if may(user, Act.SEE_RECORDS) else ""
    if _to_call(case) and record:
        return "Call, then note it", f"{record}#tasks"
    if kind.bag is None:
        away = reverse("bench:receive", args=[kind.submission.code]) if may(user, Act.RECEIVE) else ""
        return "Receive it", away
    if not may(user, Act.DETERMINE) and may(user, Act.SECOND_READ):
        return "Read it", reverse("bench:second", args=[kind.pk])
    if not case.named:
        return "Look at it", reverse("bench:kind", args=[kind.pk])
    if case.reported or not may(user, Act.DRAFT_REPORT):
        return "See the record", record
    return "Write the report", reverse("reports:draft", args=[kind.submission.pk])


def _to_call(case: Case) -> bool:
    """Somebody waits for a voice: by a task, or by a flag on what has not arrived and may never."""
    away = case.kind.bag is None and case.waiting.flag in CALL_FIRST
    return away or any(task.needs_voice for task in case.waiting.tasks)


def _counts(cases: list[Case], listed: list[Case]) -> list[str]:
    """What lies there, counted in words."""
    here = [case for case in listed if case.waiting.received_at and not case.reported]
    fresh = sum(not case.looked for case in here)
    to_tell = sum(case.named for case in here)
    calls = len({(case.kind.submission_id, task) for case in listed for task in case.waiting.tasks if task.needs_voice})
    away = len({case.kind.submission_id for case in cases if case.waiting.received_at is None})
    said = [
        f"{_kinds(len(here))} here and not reported" if here else "Nothing is here that waits for a report",
        f"{in_words(fresh)} of them not looked at yet" if fresh else "",
        f"{in_words(to_tell)} named and to be reported" if to_tell else "",
        f"{in_words(calls)} to be told by voice" if calls else "",
        f"{in_words(away)} announced and not here yet" if away else "",
    ]
    return [words for words in said if words]


def _kinds(number: int) -> str:
    return f"{in_words(number).capitalize()} kind{'s' if number != 1 else ''}"
