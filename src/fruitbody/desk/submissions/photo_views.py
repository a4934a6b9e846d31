"""Photos coming in one by one, and going out only to those who may see them."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from fruitbody.desk.people.policy import Act, requires
from fruitbody.desk.submissions.actions import add_photo, drop_waiting_photo
from fruitbody.desk.submissions.choices import FINDER_VIEWS
from fruitbody.desk.submissions.forms import FORM_KEY, NO_FORM_KEY
from fruitbody.desk.submissions.models import Photo, Submission, View
from fruitbody.desk.submissions.parcel_views import own_submission
from fruitbody.examine.photo.intake import MAX_BYTES, PhotoRefused

MAY_ARRIVE = {*FINDER_VIEWS, View.DRAWING, View.LABEL, View.OTHER}


@require_POST
def photo_arrives(request: HttpRequest) -> HttpResponse:
    """One photo before the form is sent. Answers {id, url} or {error}; the page tries again where it got no answer."""
    key = request.POST.get("form_key", "")
    if not FORM_KEY.match(key):
        return JsonResponse({"error": str(NO_FORM_KEY)}, status=400)
    if Submission.objects.filter(form_key=key).exists():
        return JsonResponse({"error": _("This form was sent already. Add the photo on your private page.")}, status=409)
    return _arrived(request, form_key=key, keep_place=bool(request.POST.get("consent_place")))


@require_POST
def photo_added(request: HttpRequest, token: str) -> HttpResponse:
    """A photo later on, from *Follow my parcel*."""
    submission = own_submission(token)
    kind = submission.kinds.filter(finder_label=request.POST.get("kind", "")).first()
    answer = _arrived(request, submission=submission, kind=kind, keep_place=submission.consent_place)
    if request.headers.get("Accept", "").startswith("application/json"):
        return answer
    if answer.status_code == 200:
        messages.success(request, _("The photo is here. Thank you."))
    else:
        messages.error(request, answer.reason_words)  # type: ignore[attr-defined]
    return redirect("submissions:follow", token=token)


def _arrived(request: HttpRequest, **where: Any) -> HttpResponse:
    file = request.FILES.get("photo")
    view = request.POST.get("view", "")
    if file is None:
        return _refusal(_("No photo arrived. Choose it again."))
    try:
        photo = add_photo(
            file.read(MAX_BYTES + 1), view=view if view in MAY_ARRIVE else View.OTHER, name=file.name or "", **where
        )
    except PhotoRefused as reason:
        return _refusal(str(reason))
    key = where.get("form_key")
    url = reverse("submissions:waiting_photo", args=[key, photo.pk]) if key else ""
    return JsonResponse({"id": photo.pk, "url": url, "view": photo.view})


def _refusal(words: str) -> HttpResponse:
    answer = JsonResponse({"error": words}, status=400)
    answer.reason_words = words  # type: ignore[attr-defined]
    return answer


@require_safe
def waiting_photo(request: HttpRequest, form_key: str, pk: int) -> HttpResponse:
    return _file(get_object_or_404(Photo, pk=pk, form_key=form_key, submission__isnull=True), "thumb")


@require_POST
def waiting_photo_dropped(request: HttpRequest, form_key: str, pk: int) -> HttpResponse:
    drop_waiting_photo(form_key, pk)
    return HttpResponse(status=204)


@require_safe
def own_photo(request: HttpRequest, token: str, pk: int) -> HttpResponse:
    """Photos that the finder sent; those made at the bench stay in the clinic."""
    submission = own_submission(token)
    return _file(get_object_or_404(submission.photos.filter(added_by__isnull=True), pk=pk), "thumb")


@requires(Act.VIEW_STAFF_PAGES)
def staff_photo(request: HttpRequest, pk: int, size: str) -> HttpResponse:
    if size not in ("image", "thumb"):
        raise Http404
    return _file(get_object_or_404(Photo, pk=pk), size)


def _file(photo: Photo, size: str) -> HttpResponse:
    field = photo.image if size == "image" else photo.thumb
    try:
        with field.open("rb") as file:
            answer = HttpResponse(file.read(), content_type="image/jpeg")
    except FileNotFoundError as error:
        raise Http404 from error
    answer["Cache-Control"] = "private, max-age=86400, immutable"
    return answer
