"""Names: a checklist is taken over as proposals, and a person accepts or declines each."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from fruitbody.desk.bench.views_receiving import person
from fruitbody.desk.people.plain_forms import PlainForm
from fruitbody.desk.people.policy import Act, ensure, may, requires
from fruitbody.desk.records.actions.naming import NameChangeError, decide, take_over
from fruitbody.desk.records.models import NameChange
from fruitbody.desk.records.wide import splits, to_be_read_again
from fruitbody.funga import FungaError

MOST_MB = 50
MOST_DECIDED = 200


class ChecklistForm(PlainForm):
    """The file of an updated checklist."""

    checklist = forms.FileField(
        label=_("Checklist (Darwin Core taxon file)"),
        help_text=_("A table or an archive with scientificName, taxonomicStatus and acceptedNameUsage."),
        error_messages={"required": _("Choose the file of the checklist first.")},
    )

    def clean_checklist(self) -> UploadedFile[Any]:
        file: UploadedFile[Any] = self.cleaned_data["checklist"]
        if (file.size or 0) > MOST_MB * 1_000_000:
            raise forms.ValidationError(_("This file is larger than we take. Export only the fungi of your region."))
        return file


@never_cache
@requires(Act.VIEW_STAFF_PAGES)
def names_page(request: HttpRequest) -> HttpResponse:
    """What is proposed, what was decided, and which splits still have records to be read again."""
    if request.method != "POST":
        return _page(request, ChecklistForm(), [])
    ensure(request.user, Act.CHANGE_NAMES)
    form = ChecklistForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, form, [])
    file = form.cleaned_data["checklist"]
    try:
        rows = take_over(file.name, file.read(), by=person(request))
    except FungaError as mistake:
        return _page(request, form, [str(problem) for problem in mistake.problems])
    messages.success(request, _taken(len(rows)))
    return redirect("records:names")


def _taken(count: int) -> str:
    if not count:
        return str(_("The checklist says nothing that is not in force or decided already."))
    return str(_("{n} proposed, to be decided below.")).format(n=count)


def _page(request: HttpRequest, form: ChecklistForm, problems: list[str]) -> HttpResponse:
    rows = NameChange.objects.select_related("decided_by", "proposed_by")
    context: dict[str, Any] = {
        "form": form,
        "problems": problems,
        "proposed": rows.filter(state=NameChange.State.PROPOSED),
        "decided": rows.exclude(state=NameChange.State.PROPOSED).order_by("-decided_at")[:MOST_DECIDED],
        "wide": [(row, to_be_read_again(row)) for row in splits()],
        "decision": may(request.user, Act.CHANGE_NAMES),
    }
    return render(request, "records/names.html", context, status=400 if problems or form.errors else 200)


@require_POST
@requires(Act.CHANGE_NAMES)
def decide_name(request: HttpRequest, pk: int) -> HttpResponse:
    """One proposal, accepted or declined."""
    change = get_object_or_404(NameChange, pk=pk)
    accept = request.POST.get("decision") == "accept"
    try:
        row = decide(change, accept=accept, why=request.POST.get("why", ""), by=person(request))
    except NameChangeError as problem:
        messages.error(request, str(problem))
    else:
        messages.success(request, f"{row.words} {row.get_state_display().capitalize()}.")
    return redirect("records:names")
