"""The start page and *Send a mushroom*."""

from __future__ import annotations

import secrets
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from fruitbody.desk.people.clinic import clinic_of
from fruitbody.desk.submissions import choices
from fruitbody.desk.submissions.actions import add_photo, submit
from fruitbody.desk.submissions.forms import FORM_KEY, SendForm
from fruitbody.desk.submissions.kind_forms import MOST_KINDS, kind_forms, label_of
from fruitbody.desk.submissions.models import Photo, Submission
from fruitbody.examine.photo.intake import MAX_BYTES, PhotoRefused
from fruitbody.handling import guidance


@require_safe
def start(request: HttpRequest) -> HttpResponse:
    return render(request, "submissions/start.html")


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def send(request: HttpRequest) -> HttpResponse:
    """The form. Without JavaScript it carries the photos itself and adds a kind by a button."""
    if request.method != "POST":
        form = SendForm(clinic=clinic_of(request), initial={"form_key": secrets.token_urlsafe(32)})
        return _page(request, form, kind_forms(None))
    posted = request.POST.copy()
    kept = Submission.objects.filter(form_key=posted.get("form_key", "")).exclude(form_key=None).first()
    if kept:
        return _arrived(kept)
    refused = _keep_files(request, posted)
    if "add_kind" in posted:
        return _one_kind_more(request, posted)
    form, kinds = SendForm(posted, clinic=clinic_of(request)), kind_forms(posted)
    # Both are asked, so that every mistake is shown at once.
    if form.is_valid() & kinds.is_valid() and not refused:
        told = tuple(kind.kind_told() for kind in kinds.kept())
        submission = submit(form.announcement(told, request.LANGUAGE_CODE))
        return _arrived(submission)
    return _page(request, form, kinds, refused=refused, status=400)


def _arrived(submission: Submission) -> HttpResponse:
    return redirect(f"{reverse('submissions:follow', args=[submission.token])}?sent")


def _page(
    request: HttpRequest, form: SendForm, kinds: Any, *, refused: tuple[str, ...] = (), status: int = 200
) -> HttpResponse:
    key = str(form["form_key"].value() or "")
    context = {
        "form": form,
        "kinds": kinds,
        "refused": refused,
        "views": choices.FINDER_VIEWS,
        "kinds_shown": _with_photos(key, kinds),
        "most_kinds": MOST_KINDS,
        "max_bytes": MAX_BYTES,
        "before_picking": guidance.before_picking(on_tree=False),
        "on_trees": guidance.ON_TREES,
        "elsewhere": guidance.FROM_ELSEWHERE,
        "child": next(advice for advice in guidance.care() if advice.id == "child"),
    }
    return render(request, "submissions/send.html", context, status=status)


def _with_photos(form_key: str, kinds: Any) -> list[tuple[Any, list[Photo]]]:
    """Each kind's form with the photos that are here already, to show them again after a mistake elsewhere."""
    waiting = Photo.objects.filter(form_key=form_key, submission__isnull=True) if form_key else Photo.objects.none()
    here = {photo.pk: photo for photo in waiting}
    shown = []
    for kind in kinds:
        ids = [int(word) for word in str(kind["photos"].value() or "").split(",") if word.isdecimal()]
        shown.append((kind, [here[pk] for pk in ids if pk in here]))
    return shown


def _keep_files(request: HttpRequest, posted: QueryDict) -> tuple[str, ...]:
    """Take in photos that came with the form itself and note their ids in `posted`, so that they survive any mistake.

    Returns a sentence per photo that was refused.
    """
    refused: list[str] = []
    key = posted.get("form_key", "")
    if not FORM_KEY.match(key):
        return ()
    for field in request.FILES:
        prefix, _dash, view = field.rpartition("-photo_")
        for file in request.FILES.getlist(field):
            try:
                photo = _keep_file(file, view, key, keep_place=bool(posted.get("consent_place")))
            except PhotoRefused as reason:
                refused.append(f"{file.name}: {reason}")
                continue
            ids = [*filter(None, posted.get(f"{prefix}-photos", "").split(",")), str(photo.pk)]
            posted[f"{prefix}-photos"] = ",".join(dict.fromkeys(ids))
    return tuple(refused)


def _keep_file(file: UploadedFile[bytes], view: str, key: str, *, keep_place: bool) -> Photo:
    # One byte more than allowed is enough to know that it is too much.
    return add_photo(
        file.read(MAX_BYTES + 1), view=view if view in choices.FINDER_VIEWS else "other", form_key=key,
        name=file.name or "", keep_place=keep_place,
    )  # fmt: skip


def _one_kind_more(request: HttpRequest, posted: QueryDict) -> HttpResponse:
    """The same form with everything typed, and one empty kind more (for browsers without JavaScript)."""
    count = min(int(posted.get("kind-TOTAL_FORMS") or 1), MOST_KINDS - 1)
    posted["kind-TOTAL_FORMS"] = str(count + 1)
    posted.setdefault(f"kind-{count}-label", label_of(count))
    form, kinds = SendForm(posted, clinic=clinic_of(request)), kind_forms(posted)
    for part in (form, *kinds.forms):
        part.errors.clear()  # nothing is asked of a form that is not finished
    return _page(request, form, kinds)
