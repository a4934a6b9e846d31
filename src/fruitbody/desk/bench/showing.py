"""Puts the notebook page and the blind page together for the views; also with what could not be kept as typed."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from fruitbody.desk.bench.actions.findings import looked_at
from fruitbody.desk.bench.actions.naming import first_name
from fruitbody.desk.bench.actions.preparing import note_ranking_seen
from fruitbody.desk.bench.forms_notebook import NameForm, new_key
from fruitbody.desk.bench.laying import KINDS
from fruitbody.desk.bench.lineage import labels
from fruitbody.desk.bench.lines import organs
from fruitbody.desk.bench.models import Kind
from fruitbody.desk.bench.page import Page, page_of
from fruitbody.desk.bench.views_receiving import person
from fruitbody.desk.people.clinic import clinic_of
from fruitbody.desk.people.policy import Act, may
from fruitbody.desk.records.in_force import load
from fruitbody.desk.submissions.public import name_is_held


def kind_of(pk: int) -> Kind:
    return get_object_or_404(Kind.objects.select_related("submission", "bag", "merged_into"), pk=pk)


def is_masked(request: HttpRequest, kind: Kind) -> bool:
    return not may(person(request), Act.SEE_HELD_NAME) and name_is_held(kind)


def drawn_page(request: HttpRequest, kind: Kind, *, blind: bool) -> Page:
    """The page for this reader. Where what fits lies open, it is noted that the reader saw it."""
    masked = not blind and is_masked(request, kind)
    page = page_of(kind, user=person(request), clinic=clinic_of(request), blind=blind, masked=masked)
    if not page.folding.folded and not page.seen:
        note_ranking_seen(kind, by=person(request))
    return page


def show_kind(
    request: HttpRequest, kind: Kind, *, status: int = 200, entry: str = "", problem: str = "", **given: Any
) -> HttpResponse:
    """The whole page, with a form that could not be kept as it was typed."""
    page = drawn_page(request, kind, blind=False)
    submission = kind.submission
    masked = is_masked(request, kind)
    family = list(submission.kinds.all())
    called = labels(family)
    names = list(kind.determinations.select_related("by").order_by("-pk"))
    context = page_context(page) | {
        "submission": submission,
        "called": called[kind.pk],
        "siblings": [(k, called[k.pk]) for k in family if k.merged_into_id is None and k.pk != kind.pk],
        "names": [] if masked else names,
        "masked": masked and bool(names),
        "name_form": NameForm(),
        "name_key": new_key(),
        "entry": entry,
        "problem": problem,
        **given,
    }
    return render(request, "bench/notebook.html", context, status=status)


def page_context(page: Page) -> dict[str, Any]:
    """What both the open and the blind page show."""
    kind, funga = page.kind, load()
    photos = list(kind.photos.all())
    return {
        "kind": kind,
        "page": page,
        "slip": page.slip,
        "organs": organs(funga, page.sheet),
        "photos": [p for p in photos if p.view != "label"],
        "preparations": list(kind.preparations.all()),
        "preparation_kinds": KINDS,
        "material": _material(kind),
        "form_key": new_key(),
        "blind": page.blind,
        "prefix": new_key(),
        "seen_on": looked_at(kind),
    }


def _material(kind: Kind) -> list[str]:
    funga = load()
    words = [funga.material_kinds[kind.material].plain] if kind.material in funga.material_kinds else []
    return words + [funga.conditions[c].plain for c in kind.conditions if c in funga.conditions]


def show_second(request: HttpRequest, kind: Kind, *, status: int = 200, **given: Any) -> HttpResponse:
    """The blind page: material, photos, what was told, one's own findings. No first name, nobody's name or place."""
    first, user = first_name(kind), person(request)
    page = drawn_page(request, kind, blind=True)
    own = kind.determinations.filter(by=user, blind=True).order_by("-pk").first()
    context = page_context(page) | {
        "own": own,
        "first_is_mine": first is not None and first.by_id == user.pk,
        "no_first": first is None,
        "name_form": NameForm(),
        "name_key": new_key(),
        **given,
    }
    return render(request, "bench/second.html", context, status=status)
