"""Receiving: from a scanned slip, or from nothing, to a numbered bag."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from fruitbody.desk.bench.actions.boxes import DESTROYED, take_in_box
from fruitbody.desk.bench.actions.receiving import receive, receive_without_form
from fruitbody.desk.bench.errors import ReceivingError
from fruitbody.desk.bench.forms_receiving import BoxForm, NoFormForm, ReceiveSheet
from fruitbody.desk.bench.models import Bag, Box
from fruitbody.desk.bench.scanned import leads_to
from fruitbody.desk.bench.seen import BagSeen, BoxSeen, is_covered
from fruitbody.desk.people.clinic import clinic_of
from fruitbody.desk.people.models import User
from fruitbody.desk.people.policy import Act, requires
from fruitbody.desk.records.in_force import load
from fruitbody.desk.submissions.actions import add_photo
from fruitbody.desk.submissions.models import Submission, View
from fruitbody.examine.photo.intake import MAX_BYTES, PhotoRefused

LATELY = timedelta(hours=24)
MOST_LATELY = 12


def person(request: HttpRequest) -> User:
    """The member of staff behind a view that `requires` guards."""
    assert isinstance(request.user, User)
    return request.user


@never_cache
@requires(Act.RECEIVE)
def receiving(request: HttpRequest) -> HttpResponse:
    typed = request.GET.get("code", "").strip()
    if typed:
        try:
            return redirect(leads_to(typed))
        except ReceivingError as problem:
            return _room(request, typed=typed, problem=str(problem), status=404)
    return _room(request)


def _room(request: HttpRequest, status: int = 200, **given: Any) -> HttpResponse:
    clinic = clinic_of(request)
    lately = Bag.objects.filter(received_at__gte=timezone.now() - LATELY).select_related("submission", "box")
    context = {
        "no_form": NoFormForm(None, clinic=clinic),
        "box_form": BoxForm(None, clinic=clinic),
        "lately": lately.order_by("-received_at")[:MOST_LATELY],
        "shut": Box.objects.filter(shut=True).exclude(note__contains=DESTROYED).order_by("-received_at")[:MOST_LATELY],
        "hood_words": hood_words(),
        **given,
    }
    return render(request, "bench/receiving.html", context, status=status)


@require_POST
@requires(Act.RECEIVE)
def no_form(request: HttpRequest) -> HttpResponse:
    """Number, label and photo: one screen, one press."""
    clinic, by = clinic_of(request), person(request)
    form = NoFormForm(request.POST, request.FILES, clinic=clinic)
    box = box_of(request.POST.get("box", ""))
    if not form.is_valid():
        return _room(request, no_form=form, box=box, status=400)
    told = form.seen()
    if box is None and not is_covered(told.bag.origin_region, clinic.region):
        seen = BoxSeen(told.bag.form_key, told.bag.origin_region, note=f"Without a form, labelled {told.bag.label}.")
        return redirect("bench:box", number=take_in_box(seen, clinic=clinic, by=by).clinic_number)
    try:
        bag = receive_without_form(told, clinic=clinic, by=by, box=box)
    except ReceivingError as problem:
        return _room(request, no_form=form, box=box, no_form_problem=str(problem), status=400)
    keep_label_photo(request, bag)
    return redirect("bench:bag", number=bag.clinic_number)


@never_cache
@requires(Act.RECEIVE)
def receive_submission(request: HttpRequest, code: str) -> HttpResponse:
    """What lies on the table, against what was announced."""
    clinic = clinic_of(request)
    submission = get_object_or_404(Submission.objects.select_related("box"), code=code)
    given = request.POST if request.method == "POST" else request.GET
    box = box_of(given.get("box", "")) or _released_box(submission)
    if box and box.shut:
        return redirect("bench:box", number=box.clinic_number)
    kinds = list(submission.kinds.filter(bag__isnull=True, merged_into__isnull=True).prefetch_related("photos"))
    posted_in = box.origin_region if box else submission.region
    sent = (request.POST, request.FILES) if request.method == "POST" else (None, None)
    sheet = ReceiveSheet(*sent, kinds=kinds, clinic=clinic, posted_in=posted_in, ticked=request.GET.get("kind", ""))
    problem = ""
    if request.method == "POST" and sheet.is_valid():
        try:
            return _received(request, submission, sheet.seen(), box)
        except ReceivingError as error:
            problem = str(error)
    context = {
        "submission": submission,
        "sheet": sheet,
        "box": box,
        "problem": problem,
        "bags": submission.bags.prefetch_related("kinds"),
        "photos": submission.photos.filter(kind__isnull=True),
        "hood_words": hood_words(),
    }
    return render(request, "bench/receive.html", context, status=400 if request.method == "POST" else 200)


def _received(request: HttpRequest, submission: Submission, seen: BagSeen, box: Box | None) -> HttpResponse:
    """Keep what was seen: shut where it comes from elsewhere, else as a bag with its numbers. Raises ReceivingError."""
    clinic, by = clinic_of(request), person(request)
    if box is None and not is_covered(seen.origin_region, clinic.region):
        parcel = BoxSeen(seen.form_key, seen.origin_region, note=seen.note)
        kept = take_in_box(parcel, clinic=clinic, by=by, submission=submission)
        return redirect("bench:box", number=kept.clinic_number)
    bag = receive(submission, seen, clinic=clinic, by=by, box=box)
    keep_label_photo(request, bag)
    return redirect("bench:bag", number=bag.clinic_number)


def _released_box(submission: Submission) -> Box | None:
    """The parcel that waits for this submission, until its first bag is opened."""
    return submission.box if submission.box and not submission.bags.exists() else None


def hood_words() -> list[tuple[str, str]]:
    """(id, plain word) of every condition and kind of material that asks for the hood, for the page to warn at once."""
    funga = load()
    return [
        (entry.id, entry.plain)
        for part in (funga.conditions, funga.material_kinds)
        for entry in part.values()
        if entry.hood
    ]


def box_of(number: str) -> Box | None:
    return Box.objects.filter(clinic_number=number).first() if number else None


def keep_label_photo(request: HttpRequest, bag: Bag) -> None:
    """The photo of the label, if one came. A photo that cannot be kept never loses the bag."""
    file = request.FILES.get("photo")
    if isinstance(file, UploadedFile):
        try:
            add_photo(
                file.read(MAX_BYTES + 1),
                view=View.LABEL,
                submission=bag.submission,
                name=file.name or "",
                by=person(request),
            )
        except PhotoRefused as reason:
            messages.error(request, _("The bag is kept, its photo is not: %(why)s") % {"why": reason})
