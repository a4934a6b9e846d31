"""The notebook page: one kind, its photos, its findings organ by organ, and the slip with what fits."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from fruitbody.desk.bench.actions.findings import Typed, Written, looked_at, write_finding
from fruitbody.desk.bench.actions.preparing import finish_preparation, note_ranking_seen, start_preparation
from fruitbody.desk.bench.entry import Fields, read_entry, read_value, suggestions
from fruitbody.desk.bench.forms_notebook import LineForm, new_key
from fruitbody.desk.bench.laying import KINDS, preparation_for
from fruitbody.desk.bench.lines import current, line_of, sleeping
from fruitbody.desk.bench.models import Finding, Kind, Preparation
from fruitbody.desk.bench.names import find_names, resolve
from fruitbody.desk.bench.notebook_errors import NamingError, NotebookError, StaleLineError, sentence_of
from fruitbody.desk.bench.open_cases import open_cases
from fruitbody.desk.bench.page import Page, reads_blind
from fruitbody.desk.bench.showing import drawn_page, is_masked, kind_of, show_kind, show_second
from fruitbody.desk.bench.today import in_order
from fruitbody.desk.bench.views_receiving import person
from fruitbody.desk.people.policy import Act, may, requires
from fruitbody.desk.records.in_force import load
from fruitbody.examine.finding import FindingError
from fruitbody.funga.model import Character
from fruitbody.funga.terms import UnknownTermError

LONGEST = 300
UNREADABLE = (FindingError, UnknownTermError, NotebookError)


@never_cache
@requires(Act.FIND)
def bench(request: HttpRequest) -> HttpResponseBase:
    """The kinds that wait, the most pressing first. A second reader's list is that of second reading."""
    user = person(request)
    if not may(user, Act.SEE_RECORDS):
        return redirect("bench:second_reading")
    cases = {case.waiting.key: case for case in open_cases(user, load()) if not case.reported}
    ordered = [
        (cases[placed.waiting.key], placed.why)
        for placed in in_order((case.waiting for case in cases.values()), timezone.localtime())
    ]
    context = {
        "here": [(case, why) for case, why in ordered if case.waiting.received_at and not case.named],
        "named": [(case, why) for case, why in ordered if case.waiting.received_at and case.named],
        "away": [case for case, _ in ordered if not case.waiting.received_at],
    }
    return render(request, "bench/bench.html", context)


@never_cache
@requires(Act.FIND)
def kind_page(request: HttpRequest, pk: int) -> HttpResponseBase:
    kind = kind_of(pk)
    if reads_blind(person(request), ""):
        return redirect("bench:second", pk=pk)
    if kind.merged_into:
        messages.info(request, f"{kind} was merged into {kind.merged_into}, which is this page.")
        return redirect("bench:kind", pk=kind.merged_into.pk)
    return show_kind(request, kind)


@requires(Act.FIND)
def line(request: HttpRequest, pk: int, character: str) -> HttpResponseBase:
    """One line: GET shows its whole form, POST writes on it."""
    kind = kind_of(pk)
    known = load().characters.get(character)
    if known is None:
        raise Http404
    blind = reads_blind(person(request), (request.POST or request.GET).get("blind", ""))
    if request.method == "POST":
        return _written_line(request, kind, known, blind)
    before = _correcting(request, request.GET.get("replaces", ""), kind, blind)
    form = LineForm(kind=kind, character=known, before=before)
    return _line_page(request, drawn_page(request, kind, blind=blind), known, form=form, before=before)


def _written_line(request: HttpRequest, kind: Kind, character: Character, blind: bool) -> HttpResponse:
    quick = "quick" in request.POST
    form = None if quick else LineForm(request.POST, kind=kind, character=character)
    given = request.POST.get("value", "")[:LONGEST] if quick else ""
    before = _correcting(request, request.POST.get("replaces", ""), kind, blind)
    asleep = _asleep(kind)
    status, problem = 422, ""
    try:
        if form is not None and not form.is_valid():
            raise NotebookError("Something in the form cannot be read. Look at the marked fields.")
        written = write_finding(kind, _typed(request, kind, character, form, before), by=person(request))
    except StaleLineError as stale:
        status, problem = 409, str(stale)
    except UNREADABLE as wrong:
        problem = sentence_of(wrong)
    else:
        return _after(request, kind, written, asleep, blind)
    page = drawn_page(request, kind, blind=blind)
    return _line_page(request, page, character, form=form, before=before, problem=problem, given=given, status=status)


def _typed(
    request: HttpRequest, kind: Kind, character: Character, form: LineForm | None, before: Finding | None
) -> Typed:
    blind = reads_blind(person(request), request.POST.get("blind", ""))
    key, last = request.POST.get("form_key", "") or new_key(), _last(request)
    if form is None:
        fields = read_value(character, request.POST.get("value", "")[:LONGEST])
        return Typed(_seen(request, kind, fields), key, last, blind=blind)
    return form.typed(form_key=key, last_seen=last, replaces=before.pk if before else None, blind=blind)


def _seen(request: HttpRequest, kind: Kind, fields: Fields) -> Fields:
    """The entry line and the quick fields say for all of them whether one looks at the material or at photos."""
    return fields | {"seen_on": request.POST.get("seen_on", "") or looked_at(kind)}


def _last(request: HttpRequest) -> int:
    typed = request.POST.get("last", "")
    return int(typed) if typed.isdecimal() and len(typed) < 16 else 0


def _correcting(request: HttpRequest, typed: str, kind: Kind, blind: bool) -> Finding | None:
    """The finding to be corrected. A blind reader corrects, and sees, only their own."""
    if not (typed.isdecimal() and len(typed) < 16):
        return None
    rows = Finding.objects.filter(pk=int(typed), kind=kind)
    return (rows.filter(by=person(request)) if blind else rows).first()


def _asleep(kind: Kind) -> set[str]:
    return sleeping(load(), current(Finding.objects.filter(kind=kind).order_by("pk")))


def _line_page(
    request: HttpRequest, page: Page, character: Character, *, status: int = 200, **given: Any
) -> HttpResponse:
    """The line alone for a page that is open, the whole form on a page of its own for a browser without scripts."""
    context = line_context(page, character) | {"open": given.get("form") is not None, **given}
    partial = "bench/notebook_line.html" if getattr(request, "htmx", False) else "bench/line_page.html"
    return render(request, partial, context, status=status)


def line_context(page: Page, character: Character) -> dict[str, Any]:
    return {
        "line": line_of(load(), character, page.sheet),
        "kind": page.kind,
        "page": page,
        "blind": page.blind,
        "prefix": new_key(),
    }


def page_url(kind: Kind, blind: bool) -> str:
    return reverse("bench:second" if blind else "bench:kind", args=[kind.pk])


def _after(request: HttpRequest, kind: Kind, written: Written, asleep: set[str], blind: bool) -> HttpResponse:
    """The line as it stands now, the slip renewed, and lines that begin or cease to apply."""
    character = load().characters[written.row.character]
    if not getattr(request, "htmx", False):
        messages.success(request, written.words)
        return redirect(f"{page_url(kind, blind)}#line-{character.id}")
    page = drawn_page(request, kind, blind=blind)
    parts = [_line_html(request, page, character, oob="entry" in request.POST)]
    changed = asleep ^ sleeping(load(), current(page.rows))
    parts += [
        _line_html(request, page, other, oob=True)
        for other in load().characters.values()
        if other.id in changed and other is not character
    ]
    if "entry" in request.POST:
        parts.insert(0, render_to_string("bench/entry.html", _entry_context(request, page), request))
    else:
        parts.append(
            format_html('<input type="hidden" name="last" value="{}" id="entry-last" hx-swap-oob="true">', page.last)
        )
    parts.append(render_to_string("bench/fits.html", _slip_context(page) | {"oob": True}, request))
    if not blind and may(person(request), Act.DETERMINE):
        # What has to be acknowledged beside a name is renewed with the slip, and has to be ticked anew.
        parts.append(render_to_string("bench/beside.html", {"slip": page.slip, "oob": True}, request))
    parts.append(
        format_html('<div hx-swap-oob="innerHTML:.notices"><p class="notice success">{}</p></div>', written.words)
    )
    return HttpResponse("".join(parts))


def _line_html(request: HttpRequest, page: Page, character: Character, *, oob: bool) -> str:
    return render_to_string("bench/notebook_line.html", line_context(page, character) | {"oob": oob}, request)


def _slip_context(page: Page) -> dict[str, Any]:
    return {"kind": page.kind, "page": page, "slip": page.slip, "blind": page.blind}


def _entry_context(request: HttpRequest, page: Page) -> dict[str, Any]:
    on = request.POST.get("seen_on", "") or looked_at(page.kind)
    return {"kind": page.kind, "page": page, "blind": page.blind, "form_key": new_key(), "seen_on": on}


@require_POST
@requires(Act.FIND)
def entry(request: HttpRequest, pk: int) -> HttpResponse:
    """A whole finding typed in one line."""
    kind = kind_of(pk)
    blind = reads_blind(person(request), request.POST.get("blind", ""))
    given = request.POST.get("entry", "")[:LONGEST]
    key = request.POST.get("form_key", "") or new_key()
    asleep = _asleep(kind)
    status, problem = 422, ""
    try:
        typed = Typed(_seen(request, kind, read_entry(load(), given)), key, _last(request), blind=blind)
        written = write_finding(kind, typed, by=person(request))
    except StaleLineError as stale:
        status, problem = 409, str(stale)
    except UNREADABLE as wrong:
        problem = sentence_of(wrong)
    else:
        return _after(request, kind, written, asleep, blind)
    if not getattr(request, "htmx", False):
        show = show_second if blind else show_kind
        return show(request, kind, status=status, entry=given, entry_problem=problem)
    page = drawn_page(request, kind, blind=blind)
    context = _entry_context(request, page) | {"entry": given, "entry_problem": problem}
    return render(request, "bench/entry.html", context, status=status)


@require_safe
@requires(Act.FIND)
def suggest(request: HttpRequest) -> HttpResponse:
    """Options under the entry line, as it is typed."""
    found = suggestions(load(), request.GET.get("entry", "")[:200])
    return render(request, "bench/options.html", {"options": [(words, "") for words in found]})


@require_safe
@requires(Act.FIND)
def names(request: HttpRequest) -> HttpResponse:
    """Options under the name field: the accepted name, and how it was found."""
    typed = request.GET.get("name", "")[:160]
    found = find_names(load(), typed)
    try:
        meant = resolve(load(), typed)
    except NamingError:
        meant = None
    return render(request, "bench/names.html", {"options": [(hit.name, hit.how) for hit in found], "meant": meant})


@require_POST
@requires(Act.FIND)
def unfold(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what fits; it is noted that this reader saw it."""
    kind = kind_of(pk)
    if not reads_blind(person(request), "") and not is_masked(request, kind):
        note_ranking_seen(kind, by=person(request))
    if not getattr(request, "htmx", False):
        return redirect(f"{reverse('bench:kind', args=[pk])}#fits")
    page = drawn_page(request, kind, blind=reads_blind(person(request), ""))
    return render(request, "bench/fits.html", _slip_context(page))


@require_POST
@requires(Act.PREPARE)
def prepare(request: HttpRequest, pk: int) -> HttpResponse:
    """One press starts what a character waits for."""
    kind = kind_of(pk)
    blind = reads_blind(person(request), request.POST.get("blind", ""))
    character = load().characters.get(request.POST.get("character", ""))
    laying = preparation_for(character) if character else None
    what = laying.what if laying else request.POST.get("what", "")
    hours = laying.wait.total_seconds() / 3600 if laying else None
    try:
        made = start_preparation(kind, what=what, hours=hours, by=person(request))
    except NotebookError as problem:
        messages.error(request, str(problem))
    else:
        due = timezone.localtime(made.due_at).strftime("%-d %b, %H:%M %Z")
        messages.success(request, f"{KINDS[made.what].capitalize()} of {kind} started; it can be read from {due}.")
    return redirect(f"{page_url(kind, blind)}#preparations")


@require_POST
@requires(Act.PREPARE)
def read_preparation(request: HttpRequest, pk: int) -> HttpResponse:
    preparation = get_object_or_404(Preparation.objects.select_related("kind"), pk=pk)
    blind = reads_blind(person(request), request.POST.get("blind", ""))
    try:
        finish_preparation(preparation, result=request.POST.get("result", ""), by=person(request))
    except NotebookError as problem:
        messages.error(request, str(problem))
    return redirect(f"{page_url(preparation.kind, blind)}#preparations")
