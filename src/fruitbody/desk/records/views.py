"""Records: every submission and its whole history, to read."""

from __future__ import annotations

from datetime import date

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache

from fruitbody.desk.bench.views_receiving import person
from fruitbody.desk.people.policy import Act, may, requires
from fruitbody.desk.records.in_force import load
from fruitbody.desk.records.search import find_submissions
from fruitbody.desk.records.whole import whole
from fruitbody.desk.submissions.models import Submission
from fruitbody.handling.codes import CodeError, read_code, written

PER_PAGE = 50


@never_cache
@requires(Act.SEE_RECORDS)
def records_list(request: HttpRequest) -> HttpResponse:
    typed = request.GET.get("q", "").replace("\0", "").strip()
    since, until, problem = _days(request)
    found = find_submissions(typed, since=since, until=until, user=person(request), funga=load())
    page = Paginator(found.submissions.prefetch_related("kinds"), PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "typed": typed,
        "how": found.how,
        "since": request.GET.get("since", ""),
        "until": request.GET.get("until", ""),
        "problem": problem,
    }
    return render(request, "records/list.html", context, status=400 if problem else 200)


def _days(request: HttpRequest) -> tuple[date | None, date | None, str]:
    """The two days typed, and a sentence where one of them is no day."""
    days: list[date | None] = []
    for name in ("since", "until"):
        typed = request.GET.get(name, "").strip()
        try:
            days.append(date.fromisoformat(typed) if typed else None)
        except ValueError:
            return None, None, f"“{typed[:20]}” is no day. Write it as 2026-11-25."
    since, until = days
    if since and until and until < since:
        return None, None, "The second day lies before the first. Change one of them."
    return since, until, ""


@never_cache
@requires(Act.SEE_RECORDS)
def record(request: HttpRequest, code: str) -> HttpResponse:
    """Everything about one submission; who sent it only for those who may see it."""
    try:
        canonical = written(read_code(code))
    except CodeError:
        canonical = code
    submission = get_object_or_404(Submission.objects.select_related("box"), code=canonical)
    if canonical != code:
        return redirect("records:record", code=canonical)
    user = person(request)
    reports = list(submission.reports.select_related("issued_by", "opened_by"))
    context = {
        "submission": submission,
        "whole": whole(submission, reports, user, load()),
        "reports": reports,
        "parties": submission.parties.all() if may(user, Act.SEE_PERSONAL) else None,
        "tasks": submission.tasks.select_related("done_by"),
        "spoken": submission.spoken.select_related("by"),
        "letters": submission.messages.order_by("created_at", "id"),
        "history": submission.history.order_by("at", "id"),
    }
    return render(request, "records/record.html", context)
