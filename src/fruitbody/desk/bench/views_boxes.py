"""Boxes: an agent's parcel with bags of several submissions, and parcels that stay shut until a supervisor decides."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from fruitbody.desk.bench.actions.boxes import destroy_box, release_box, take_in_box, was_destroyed
from fruitbody.desk.bench.errors import ReceivingError
from fruitbody.desk.bench.forms_receiving import BoxForm, NoFormForm, ReleaseForm
from fruitbody.desk.bench.models import Box
from fruitbody.desk.bench.scanned import leads_to
from fruitbody.desk.bench.views_receiving import hood_words, person
from fruitbody.desk.people.clinic import clinic_of
from fruitbody.desk.people.policy import Act, may, requires
from fruitbody.desk.submissions.choices import region_name
from fruitbody.desk.submissions.models import Origin


@require_POST
@requires(Act.RECEIVE)
def box_in(request: HttpRequest) -> HttpResponse:
    """A parcel gets its number before anything is opened."""
    form = BoxForm(request.POST, clinic=clinic_of(request))
    if not form.is_valid():
        for errors in form.errors.values():
            messages.error(request, " ".join(str(error) for error in errors))
        return redirect("bench:receiving")
    box = take_in_box(form.seen(), clinic=clinic_of(request), by=person(request))
    return redirect("bench:box", number=box.clinic_number)


@never_cache
@requires(Act.RECEIVE)
def box(request: HttpRequest, number: str) -> HttpResponse:
    """One box: shut, with who may decide; or open, with a field for the next slip and the bags so far."""
    row = get_object_or_404(Box, clinic_number=number)
    typed, problem, status = request.GET.get("code", "").strip(), "", 200
    form = ReleaseForm(request.POST or None)
    if typed and not row.shut:
        try:
            return redirect(leads_to(typed, box=row.clinic_number))
        except ReceivingError as error:
            problem, status = str(error), 404
    if request.method == "POST":
        status = 400
        if form.is_valid():
            try:
                return _decided(request, row, form)
            except ReceivingError as error:
                form.add_error(None, str(error))
    no_form = NoFormForm(None, clinic=clinic_of(request), posted_in=row.origin_region)
    no_form.initial["origin"] = Origin.AGENT
    context = {
        "box": row,
        "posted_in": region_name(row.origin_region),
        "bags": row.bags.select_related("submission").prefetch_related("kinds"),
        "waiting": row.submissions.filter(bags__isnull=True).order_by("pk"),
        "typed": typed,
        "problem": problem,
        "form": form,
        "no_form": no_form,
        "destroyed": was_destroyed(row),
        "decision": may(request.user, Act.OPEN_SHUT_BOX),
        "hood_words": hood_words(),
    }
    return render(request, "bench/box.html", context, status=status)


def _decided(request: HttpRequest, row: Box, form: ReleaseForm) -> HttpResponse:
    told, by = form.cleaned_data, person(request)
    if told["decision"] == "open":
        release_box(row, permit=told["permit"], words=told["words"], by=by)
        messages.success(request, f"Box {row} may be opened now.")
    else:
        destroy_box(row, words=told["words"], by=by)
        messages.success(request, f"It is on record that box {row} was destroyed unopened.")
    return redirect("bench:box", number=row.clinic_number)
