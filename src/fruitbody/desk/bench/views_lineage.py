"""Splitting a second kind off, and putting it back."""

from __future__ import annotations

import secrets
from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from fruitbody.desk.bench.actions.lineage import Share, merge, split
from fruitbody.desk.bench.errors import LineageError
from fruitbody.desk.bench.finding_words import character_words, value_words
from fruitbody.desk.bench.lineage import labels, labels_once_split
from fruitbody.desk.bench.models import Finding, Kind
from fruitbody.desk.bench.views_receiving import person
from fruitbody.desk.people.clinic import clinic_of
from fruitbody.desk.people.policy import Act, requires
from fruitbody.desk.records.in_force import load
from fruitbody.funga.model import Funga

STAYS, GOES, BOTH = "stays", "goes", "both"


@dataclass(frozen=True, slots=True)
class FindingLine:
    """A finding in words, and which part it goes to unless somebody says otherwise."""

    row: Finding
    character: str
    words: str
    by: str
    goes_to: str


def _kind(pk: int) -> Kind:
    return get_object_or_404(Kind.objects.select_related("submission", "bag"), pk=pk)


def back_to(kind: Kind) -> HttpResponse:
    if kind.bag is not None:
        return redirect("bench:bag", number=kind.bag.clinic_number)
    return redirect("bench:receive", code=kind.submission.code)


@never_cache
@requires(Act.SPLIT)
def split_kind(request: HttpRequest, pk: int) -> HttpResponse:
    """One screen: what goes with the second part. What the finder told goes with both unless it is moved."""
    kind = _kind(pk)
    if request.method == "POST":
        try:
            part = split(kind, share_from(request.POST), clinic=clinic_of(request), by=person(request))
        except LineageError as problem:
            messages.error(request, str(problem))
            return back_to(kind)
        messages.success(request, f"The second part is {part.clinic_number}. Write the number on its bag.")
        return back_to(kind)
    kinds = list(kind.submission.kinds.all())
    first, second = labels_once_split(kinds, kind)
    rows = kind.findings.filter(replaced_by__isnull=True).select_related("by")
    context = {
        "kind": kind,
        "called": labels(kinds)[kind.pk],
        "first": first,
        "second": second,
        "lines": [finding_line(load(), row) for row in rows],
        "photos": kind.photos.all(),
        "form_key": secrets.token_urlsafe(32),
    }
    return render(request, "bench/split.html", context)


@require_POST
@requires(Act.MERGE)
def merge_kind(request: HttpRequest, pk: int) -> HttpResponse:
    kind = _kind(pk)
    typed = request.POST.get("into", "")
    into = Kind.objects.filter(pk=int(typed)).first() if typed.isdigit() else None
    if into is None:
        messages.error(request, "Choose the kind that it goes back into.")
        return back_to(kind)
    try:
        merge(kind, into, note=request.POST.get("note", ""), by=person(request))
        messages.success(request, f"{kind} was merged into {into}.")
    except LineageError as problem:
        messages.error(request, str(problem))
    return back_to(kind)


def share_from(posted: QueryDict) -> Share:
    """What goes over, from radio fields `finding-<id>` and ticks `photo`."""
    chosen = {name.removeprefix("finding-"): value for name, value in posted.items() if name.startswith("finding-")}
    return Share(
        move=frozenset(int(pk) for pk, value in chosen.items() if value == GOES and pk.isdigit()),
        both=frozenset(int(pk) for pk, value in chosen.items() if value == BOTH and pk.isdigit()),
        photos=frozenset(int(pk) for pk in posted.getlist("photo") if pk.isdigit()),
        note=posted.get("note", "")[:2000],
        form_key=posted.get("form_key", "")[:64],
    )


def finding_line(funga: Funga, row: Finding) -> FindingLine:
    return FindingLine(
        row=row,
        character=character_words(funga, row),
        words=value_words(funga, row),
        by=row.by.full_name if row.by else row.by_role.replace("-", " "),
        goes_to=BOTH if row.seen_on == "told" else STAYS,
    )
