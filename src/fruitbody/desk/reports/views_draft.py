"""The draft of a report: written, looked at as paper, issued by a named person."""

from __future__ import annotations

from typing import Any

from csp.constants import SELF
from csp.decorators import csp_update
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from fruitbody.desk.bench.models import Determination
from fruitbody.desk.people.models import User
from fruitbody.desk.people.policy import Act, requires
from fruitbody.desk.reports.actions import issue, keep_letter, open_draft
from fruitbody.desk.reports.content_of import content_of, prepared
from fruitbody.desk.reports.drawer import drawer_for
from fruitbody.desk.reports.errors import ReportError, StaleError
from fruitbody.desk.reports.facts import Facts, basis_digest, facts_of
from fruitbody.desk.reports.forms import DraftForm, draft_form
from fruitbody.desk.reports.letter import digest_of
from fruitbody.desk.reports.models import ReportVersion
from fruitbody.desk.reports.names import names_told
from fruitbody.desk.reports.parties import who_received
from fruitbody.desk.submissions.models import Submission
from fruitbody.report import ReportRefused, compose, refusals


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@requires(Act.DRAFT_REPORT)
@csp_update({"frame-src": [SELF]})  # type: ignore[arg-type]
def draft(request: HttpRequest, pk: int) -> HttpResponse:
    """GET shows and changes nothing; POST opens a draft, keeps its words, or keeps and issues it."""
    assert isinstance(request.user, User)
    submission = get_object_or_404(Submission, pk=pk)
    report = submission.reports.filter(issued_at__isnull=True).first()
    if request.method == "POST" and request.POST.get("do") == "open":
        return _opened(request, submission, request.user)
    if report is None:
        return _no_draft(request, submission)
    if request.method == "POST":
        return _written(request, report, request.user)
    facts = facts_of(submission)
    return _page(request, report, facts, _form(report, facts, request.user), request.user)


def _opened(request: HttpRequest, submission: Submission, by: User) -> HttpResponse:
    try:
        open_draft(submission, by=by)
    except ReportError as problem:
        messages.error(request, str(problem))
    return redirect("reports:draft", pk=submission.pk)


def _no_draft(request: HttpRequest, submission: Submission) -> HttpResponse:
    """Issued: to the version. Else the page on which a draft is begun. A second press on *Issue* lands here too."""
    issued = submission.reports.order_by("-version").first()
    if issued is not None:
        return redirect("reports:version", pk=issued.pk)
    context = {"submission": submission, "names": names_told(submission)}
    return render(request, "reports/begin.html", context)


def _form(report: ReportVersion, facts: Facts, by: User, data: Any = None) -> DraftForm:
    return draft_form(report, facts, prepared(report, by=by, facts=facts), data, **_marks(report, facts))


def _marks(report: ReportVersion, facts: Facts) -> dict[str, str]:
    """The digests of this moment, so that a press counts for what stands on the page."""
    return {"opened": digest_of(report.letter), "seen": basis_digest(facts)}


def _written(request: HttpRequest, report: ReportVersion, by: User) -> HttpResponse:
    """Kept first, whatever was pressed, so that nothing typed is lost; then issued, if that was pressed."""
    facts = facts_of(report.submission)
    form = _form(report, facts, by, request.POST)
    if not form.is_valid():
        return _page(request, report, facts, form, by, status=422)
    given = form.cleaned_data
    try:
        report = keep_letter(report, form.letter(), by=by, opened=given["opened"])
        if request.POST.get("do") != "issue":
            messages.success(request, _("The draft is kept."))
            return redirect("reports:draft", pk=report.submission_id)
        issued = issue(report, by=by, second_reading=given["second_reading"], note=given["note"], seen=given["seen"])
    except ReportRefused as refused:
        return _page(request, report, facts, form, by, status=422, pressed=refused.sentences)
    except ReportError as problem:
        status = 409 if isinstance(problem, StaleError) else 422
        report.refresh_from_db()
        return _page(request, report, facts, form, by, status=status, pressed=(str(problem),))
    messages.success(request, _("Version %(v)s is issued. Its letters are on their way.") % {"v": issued.version})
    return redirect("reports:version", pk=issued.pk)


def _page(
    request: HttpRequest, report: ReportVersion, facts: Facts, form: DraftForm, by: User, *, status: int = 200,
    pressed: tuple[str, ...] = (),
) -> HttpResponse:  # fmt: skip
    submission = report.submission
    content = content_of(report, at=timezone.now(), by=by, facts=facts)
    against = refusals(content)
    context = {
        "submission": submission,
        "report": report,
        "form": form,
        "fresh": _marks(report, facts),
        "kinds": [
            {"facts": one, "told": told, "fields": form.fields_of(one.kind.pk)}
            for one, told in zip(facts.kinds, content.kinds, strict=True)
        ],
        "content": content,
        "letter": compose(content),
        "refusals": against,
        "pressed": tuple(dict.fromkeys((*pressed, *against))) if pressed else (),
        "drawer": drawer_for(submission.question),
        "spanish": facts.language == "es",
        "readings": _readings(submission),
        "received": who_received(report.supersedes) if report.supersedes else [],
        "calls": submission.tasks.filter(done_at__isnull=True, needs_voice=True),
    }
    return render(request, "reports/draft.html", context, status=status)


def _readings(submission: Submission) -> list[Determination]:
    found = Determination.objects.filter(kind__submission=submission, kind__merged_into__isnull=True, blind=True)
    return list(found.select_related("kind", "by"))
