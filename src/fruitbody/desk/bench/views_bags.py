"""One bag after it was opened: its numbers, what its material hides, what to ask the finder, photos at the bench."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from fruitbody.desk.bench.actions.receiving import announce_later
from fruitbody.desk.bench.actions.tying import tie
from fruitbody.desk.bench.errors import ReceivingError
from fruitbody.desk.bench.forms_receiving import SenderForm
from fruitbody.desk.bench.lineage import labels
from fruitbody.desk.bench.material import Lost, asking_words, what_is_lost
from fruitbody.desk.bench.models import Bag, Kind
from fruitbody.desk.bench.views_receiving import person
from fruitbody.desk.people.clinic import clinic_of
from fruitbody.desk.people.policy import Act, may, requires
from fruitbody.desk.records.in_force import load
from fruitbody.desk.submissions.actions import add_photo, ask_finder
from fruitbody.desk.submissions.models import Photo, Submission, View
from fruitbody.examine.photo.intake import MAX_BYTES, PhotoRefused
from fruitbody.handling.codes import CodeError, read_slip
from fruitbody.report.labels import BagLabel, bag_label

BENCH_VIEWS = (
    View.LABEL,
    View.BENCH,
    View.TOP,
    View.SIDE,
    View.UNDERSIDE,
    View.BASE,
    View.CUT,
    View.SPORES,
    View.OTHER,
)
LONGEST_MESSAGE = 4000


@dataclass(frozen=True, slots=True)
class KindSlip:
    """A kind as its slip shows it: its working label, what its material hides, its photos, whom it can go back into."""

    kind: Kind
    called: str
    lost: Lost
    materials: tuple[str, ...]
    photos: tuple[Photo, ...]
    back_into: tuple[tuple[int, str], ...]


def _bag(number: str) -> Bag:
    return get_object_or_404(Bag.objects.select_related("submission", "box", "received_by"), clinic_number=number)


def slips_of(bag: Bag) -> list[KindSlip]:
    """The live kinds of a bag, in order."""
    funga = load()
    family = list(bag.submission.kinds.prefetch_related("photos"))
    called = labels(family)
    live = [kind for kind in family if kind.merged_into_id is None and kind.clinic_number]
    slips = []
    for kind in live:
        if kind.bag_id == bag.pk:
            words = [funga.material_kinds[kind.material].plain] if kind.material in funga.material_kinds else []
            words += [funga.conditions[c].plain for c in kind.conditions if c in funga.conditions]
            slips.append(
                KindSlip(
                    kind=kind,
                    called=called[kind.pk],
                    lost=what_is_lost(funga, kind.material, kind.conditions, language=bag.submission.language),
                    materials=tuple(words),
                    photos=tuple(kind.photos.all()),
                    back_into=tuple((other.pk, called[other.pk]) for other in live if other.pk != kind.pk),
                )
            )
    return slips


@never_cache
@requires(Act.RECEIVE)
def bag(request: HttpRequest, number: str) -> HttpResponse:
    return _page(request, _bag(number))


def _page(request: HttpRequest, row: Bag, status: int = 200, **given: object) -> HttpResponse:
    submission = row.submission
    slips = slips_of(row)
    unknown = not submission.parties.exists()
    context: dict[str, object] = {
        "bag": row,
        "submission": submission,
        "slips": slips,
        "asking": asking_words([(slip.called, slip.lost) for slip in slips], language=submission.language),
        "asked": submission.history.filter(action="asked").order_by("-pk").first(),
        "photos": submission.photos.filter(view=View.LABEL),
        "views": [(view.value, view.label) for view in BENCH_VIEWS],
        "unknown": unknown,
        "sender": SenderForm(clinic=clinic_of(request)) if unknown and may(request.user, Act.SEE_PERSONAL) else None,
        **given,
    }
    return render(request, "bench/bag.html", context, status=status)


@require_POST
@requires(Act.RECEIVE)
def bag_photo(request: HttpRequest, number: str) -> HttpResponse:
    row = _bag(number)
    kind = (
        row.kinds.filter(pk=request.POST.get("kind") or 0).first() if request.POST.get("kind", "").isdigit() else None
    )
    view = request.POST.get("view", "")
    file = request.FILES.get("photo")
    if not isinstance(file, UploadedFile):
        messages.error(request, _("No photo arrived. Choose it again."))
    else:
        try:
            add_photo(
                file.read(MAX_BYTES + 1), view=view if view in BENCH_VIEWS else View.BENCH, submission=row.submission,
                kind=kind, name=file.name or "", by=person(request),
            )  # fmt: skip
            messages.success(request, _("The photo is kept."))
        except PhotoRefused as reason:
            messages.error(request, str(reason))
    return redirect("bench:bag", number=number)


@require_POST
@requires(Act.ASK_FINDER)
def bag_ask(request: HttpRequest, number: str) -> HttpResponse:
    """Send the prepared message, or what was made of it."""
    row = _bag(number)
    words = request.POST.get("words", "").strip()
    if not words or len(words) > LONGEST_MESSAGE:
        why = _("Write a few words first.") if not words else _("Say it in fewer than 4000 letters.")
        messages.error(request, _("Nothing was sent. %(why)s") % {"why": why})
        return _page(request, row, status=400, asking=words)
    message = ask_finder(row.submission, words=words, by=person(request))
    if message.to_email:
        messages.success(request, _("The question is on its way to the finder."))
    else:
        messages.success(request, _("There is no e-mail address: a task was opened to tell the finder by voice."))
    return redirect("bench:bag", number=number)


@require_POST
@requires(Act.SEE_PERSONAL)
def bag_sender(request: HttpRequest, number: str) -> HttpResponse:
    """Who sent it, told after it was received without a form."""
    row = _bag(number)
    form = SenderForm(request.POST, clinic=clinic_of(request))
    if not form.is_valid():
        return _page(request, row, status=400, sender=form)
    told = form.cleaned_data
    try:
        announce_later(
            row.submission, sender=form.sender(), question=told["question"], county=told["county"], by=person(request)
        )
        messages.success(
            request, _("It is announced now. The finder can follow it under %(code)s.") % {"code": row.submission.code}
        )
    except ReceivingError as problem:
        messages.error(request, str(problem))
    return redirect("bench:bag", number=number)


@require_POST
@requires(Act.RECEIVE)
def bag_tie(request: HttpRequest, number: str) -> HttpResponse:
    """It was announced after all: the code of its slip, found or told later."""
    row = _bag(number)
    try:
        code, _label = read_slip(request.POST.get("code", ""))
        to = Submission.objects.filter(code=code).first()
        if to is None:
            raise ReceivingError(f"No submission here goes by {code}. Compare it with the slip.")
        tie(row, to, by=person(request))
        messages.success(request, _("The bag belongs to %(code)s now.") % {"code": to.code})
    except (CodeError, ReceivingError) as problem:
        messages.error(request, str(problem))
    return redirect("bench:bag", number=number)


@require_safe
@requires(Act.RECEIVE)
def bag_labels(request: HttpRequest, number: str) -> HttpResponse:
    """Small labels to print: one for the bag, one per kind in it."""
    row = _bag(number)
    day = timezone.localdate(row.received_at)
    printed = [BagLabel(row.clinic_number, "bag", row.finder_label, day)]
    printed += [
        BagLabel(slip.kind.clinic_number or "", slip.called, slip.kind.finder_label, day) for slip in slips_of(row)
    ]
    answer = HttpResponse(bag_label(printed), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="labels-{row.clinic_number}.pdf"'
    return answer
