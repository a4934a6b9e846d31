"""Reports: what is to be written, issued versions with their bytes, a new version, words said by telephone."""

from __future__ import annotations

from dataclasses import replace

from csp.constants import NONE, SELF
from csp.decorators import csp_replace
from django.contrib import messages
from django.db.models import Exists, OuterRef, Prefetch
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.clickjacking import xframe_options_sameorigin
from django.views.decorators.http import require_http_methods, require_safe

from fruitbody.desk.bench.models import Determination, Kind
from fruitbody.desk.people.clinic import clinic_of
from fruitbody.desk.people.models import User
from fruitbody.desk.people.policy import Act, ensure, requires
from fruitbody.desk.reports.actions import amend, say
from fruitbody.desk.reports.content_of import content_of
from fruitbody.desk.reports.errors import ReportError
from fruitbody.desk.reports.forms import AmendForm, SpokenForm
from fruitbody.desk.reports.letter import read_letter
from fruitbody.desk.reports.models import ReportVersion
from fruitbody.desk.reports.names import names_told
from fruitbody.desk.reports.parties import client_of, who_received
from fruitbody.desk.submissions.models import Submission
from fruitbody.desk.submissions.public import name_is_held
from fruitbody.report import ReportRefused, report_pdf

MOST = 50
"""As many lines as a list shows; the rest is found in the records."""


@never_cache
@require_safe
@requires(Act.DRAFT_REPORT)
def report_list(request: HttpRequest) -> HttpResponse:
    """Named and not told yet, drafts, and what was issued lately."""
    kinds = Kind.objects.filter(submission=OuterRef("pk"), merged_into__isnull=True)
    nameless = kinds.exclude(Exists(Determination.objects.filter(kind=OuterRef("pk"), blind=False)))
    reports = ReportVersion.objects.filter(submission=OuterRef("pk"))
    told = Prefetch("kinds", queryset=Kind.objects.filter(merged_into__isnull=True))
    due = (
        Submission.objects.filter(Exists(kinds), ~Exists(nameless), ~Exists(reports), closed_at__isnull=True)
        .order_by("promised_for", "created_at")
        .prefetch_related(told)
    )
    versions = ReportVersion.objects.select_related("submission", "opened_by", "issued_by", "superseded_by")
    context = {
        "due": due[:MOST],
        "drafts": versions.filter(issued_at__isnull=True).order_by("opened_at")[:MOST],
        "issued": versions.filter(issued_at__isnull=False).order_by("-issued_at")[:MOST],
        "most": MOST,
    }
    return render(request, "reports/list.html", context)


@never_cache
@require_safe
@requires(Act.SEE_PERSONAL)
def version(request: HttpRequest, pk: int) -> HttpResponse:
    """An issued version: by whom, to whom, what replaced it."""
    report = get_object_or_404(
        ReportVersion.objects.select_related("submission", "issued_by", "supersedes"), pk=pk, issued_at__isnull=False
    )
    _held_names_only_for_those_who_may(request, report)
    newer = ReportVersion.objects.filter(supersedes=report).first()
    context = {
        "report": report,
        "submission": report.submission,
        "replaced_by": newer if newer and newer.issued_at else None,
        "draft": newer if newer and not newer.issued_at else None,
        "received": who_received(report),
        "words": read_letter(report.letter),
    }
    return render(request, "reports/version.html", context)


@never_cache
@require_safe
@requires(Act.SEE_PERSONAL)
@xframe_options_sameorigin
@csp_replace({"default-src": [NONE], "frame-ancestors": [SELF]})  # type: ignore[arg-type]
def pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """The bytes as they were issued; of a draft, the paper as it would be now, marked as a draft."""
    assert isinstance(request.user, User)
    report = get_object_or_404(ReportVersion.objects.select_related("submission"), pk=pk)
    _held_names_only_for_those_who_may(request, report)
    if report.issued_at:
        return _paper(_bytes_of(report), f"report-{report.submission.code}-v{report.version}.pdf")
    ensure(request.user, Act.DRAFT_REPORT)
    content = content_of(report, at=timezone.now(), by=request.user)
    try:
        marked = replace(content, code=f"DRAFT {content.code}")
        return _paper(report_pdf(marked, paper=clinic_of(request).paper), f"draft-{report.submission.code}.pdf")
    except ReportRefused as refused:
        context = {"submission": report.submission, "sentences": refused.sentences}
        return render(request, "reports/no_paper.html", context, status=409)


def _bytes_of(report: ReportVersion) -> bytes:
    try:
        with report.pdf.open("rb") as file:
            data: bytes = file.read()
            return data
    except (FileNotFoundError, ValueError) as lost:
        raise Http404 from lost


def _paper(data: bytes, name: str) -> HttpResponse:
    answer = HttpResponse(data, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    return answer


def _held_names_only_for_those_who_may(request: HttpRequest, report: ReportVersion) -> None:
    """A version may name what came on hold after it was issued."""
    if any(name_is_held(kind) for kind in report.submission.kinds.select_related("submission")):
        ensure(request.user, Act.SEE_HELD_NAME)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@requires(Act.AMEND_REPORT)
def amend_report(request: HttpRequest, pk: int) -> HttpResponse:
    """What changes and why, before the new version is written."""
    assert isinstance(request.user, User)
    submission = get_object_or_404(Submission, pk=pk)
    issued = submission.reports.filter(issued_at__isnull=False).order_by("-version").first()
    if issued is None:
        messages.error(request, _("No version of this report is issued yet. Change the draft instead."))
        return redirect("reports:draft", pk=pk)
    draft = submission.reports.filter(issued_at__isnull=True).first()
    words = read_letter(draft.letter) if draft else None
    form = AmendForm(request.POST or None, initial={"changed": words.changed, "why": words.why} if words else None)
    if request.method == "POST" and form.is_valid():
        try:
            amend(submission, changed=form.cleaned_data["changed"], why=form.cleaned_data["why"], by=request.user)
        except ReportError as problem:
            form.add_error(None, str(problem))
        else:
            return redirect("reports:draft", pk=pk)
    context = {
        "submission": submission,
        "issued": issued,
        "form": form,
        "received": who_received(issued),
        "names": names_told(submission),
    }
    return render(request, "reports/amend.html", context, status=422 if form.errors else 200)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@requires(Act.LOG_CALL)
def spoken(request: HttpRequest, pk: int) -> HttpResponse:
    """Words said by telephone: to whom, read back or not, and the task that they settle."""
    assert isinstance(request.user, User)
    submission = get_object_or_404(Submission.objects.prefetch_related("parties"), pk=pk)
    tasks = list(submission.tasks.filter(done_at__isnull=True, needs_voice=True))
    client = client_of(submission.parties.all())
    party = client if client and client.phone else next((p for p in submission.parties.all() if p.phone), client)
    first = {"at": timezone.localtime(), "to_name": party.name if party else "", "phone": party.phone if party else ""}
    form = SpokenForm(request.POST or None, tasks=tasks, initial=first | {"preliminary": True})
    if request.method == "POST" and form.is_valid():
        try:
            said = say(submission, form.talk(), by=request.user)
        except ReportError as problem:
            form.add_error(None, str(problem))
        else:
            messages.success(request, _("The words are kept.") if said.reached else _("The try is kept."))
            return redirect("reports:spoken", pk=pk)
    context = {
        "submission": submission,
        "form": form,
        "tasks": tasks,
        "talks": submission.spoken.select_related("by", "report").order_by("-at"),
        "parties": [p for p in submission.parties.all() if p.phone],
    }
    return render(request, "reports/spoken.html", context, status=422 if form.errors else 200)
