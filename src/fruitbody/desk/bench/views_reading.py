"""Names: the determination of the first reader, and second reading with its list and its blind page."""

from __future__ import annotations

from django.contrib import messages
from django.db.models import Exists, OuterRef
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from fruitbody.desk.bench.actions.naming import name_kind, read_second
from fruitbody.desk.bench.forms_notebook import NameForm, new_key
from fruitbody.desk.bench.models import Determination, Kind
from fruitbody.desk.bench.notebook_errors import NotebookError, UnseenDangerError
from fruitbody.desk.bench.showing import kind_of, show_kind, show_second
from fruitbody.desk.bench.views_receiving import person
from fruitbody.desk.people.policy import Act, requires
from fruitbody.desk.reports.models import ReportVersion

AS_TYPED = "There is something to correct in the name’s form; what you typed is still there."


@require_POST
@requires(Act.DETERMINE)
def name(request: HttpRequest, pk: int) -> HttpResponse:
    """Write the name of a kind."""
    kind, form = kind_of(pk), NameForm(request.POST)
    problem, unseen = AS_TYPED, False
    if form.is_valid():
        try:
            made = name_kind(kind, form.naming(request.POST.get("form_key", "") or new_key()), by=person(request))
        except NotebookError as wrong:
            problem, unseen = str(wrong), isinstance(wrong, UnseenDangerError)
        else:
            messages.success(request, f"{kind} is named.{_how(form, made)}")
            return redirect("bench:kind", pk=pk)
    return show_kind(
        request, kind, status=422, name_form=form, name_problem=problem, unseen=unseen,
        name_key=request.POST.get("form_key", ""),
    )  # fmt: skip


def _how(form: NameForm, made: Determination) -> str:
    """Told where the name written is not the one typed."""
    typed = form.cleaned_data["name"].strip()
    return "" if typed.casefold().startswith(made.name.casefold()) else f" “{typed}” is written as {made.name}."


@never_cache
@requires(Act.SECOND_READ)
def second_reading(request: HttpRequest) -> HttpResponse:
    """Kinds that wait for a second pair of eyes: numbers and material, no names, no people."""
    user = person(request)
    mine = Determination.objects.filter(kind=OuterRef("pk"), by=user)
    read = Determination.objects.filter(kind=OuterRef("pk"), blind=True)
    first = Determination.objects.filter(kind=OuterRef("pk"), blind=False)
    waiting = (
        Kind.objects.filter(Exists(first), merged_into__isnull=True, submission__closed_at__isnull=True)
        .exclude(Exists(mine))
        .annotate(was_read=Exists(read))
        .select_related("submission", "bag")
        .prefetch_related("photos")
        .order_by("pk")
    )
    asked = _asked_for([kind.submission_id for kind in waiting])
    kinds = [(kind, asked.get(kind.submission_id, "")) for kind in waiting if not kind.was_read]
    done = Determination.objects.filter(by=user, blind=True).select_related("kind").order_by("-pk")[:12]
    context = {
        "asked": [(kind, how) for kind, how in kinds if how],
        "open": [kind for kind, how in kinds if not how],
        "done": done,
    }
    return render(request, "bench/second_reading.html", context)


def _asked_for(submissions: list[int]) -> dict[int, str]:
    """Where the report's writer asked for it: before or after issue."""
    versions = ReportVersion.objects.filter(submission__in=submissions).order_by("version")
    words = {"before": "wanted before the report is issued", "after": "wanted, the report is out or will be"}
    return {version.submission_id: words.get(version.second_reading, "") for version in versions}


@never_cache
@requires(Act.SECOND_READ)
def second(request: HttpRequest, pk: int) -> HttpResponseBase:
    kind = kind_of(pk)
    if kind.merged_into:
        return redirect("bench:second", pk=kind.merged_into.pk)
    return show_second(request, kind)


@require_POST
@requires(Act.SECOND_READ)
def second_name(request: HttpRequest, pk: int) -> HttpResponse:
    """Write the second reading."""
    kind, form = kind_of(pk), NameForm(request.POST)
    problem = AS_TYPED
    if form.is_valid():
        try:
            made = read_second(kind, form.naming(request.POST.get("form_key", "") or new_key()), by=person(request))
        except NotebookError as wrong:
            problem = str(wrong)
        else:
            messages.success(request, f"{kind} is read. Against the first name it is: {made.outcome}.")
            return redirect("bench:second", pk=pk)
    return show_second(
        request, kind, status=422, name_form=form, name_problem=problem, name_key=request.POST.get("form_key", "")
    )
