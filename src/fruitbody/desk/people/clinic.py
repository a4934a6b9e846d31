"""The clinic a request belongs to: its letterhead on every page, its time zone for every moment shown."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from fruitbody.desk.people.models import Clinic
from fruitbody.report import CAUTIONS


def current_clinic() -> Clinic:
    """The clinic's row; before one is made, a nameless one, so that the poison centre's number is always shown."""
    return Clinic.objects.order_by("pk").first() or Clinic(name="Mushroom desk", phone="", email="", hours="")


class ClinicMiddleware:
    """Puts the clinic on the request and its time zone in force."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        clinic = current_clinic()
        request.clinic = clinic  # type: ignore[attr-defined]
        with timezone.override(ZoneInfo(clinic.time_zone)):
            return self.get_response(request)


def clinic_of(request: HttpRequest) -> Clinic:
    """The clinic that `ClinicMiddleware` put on the request."""
    clinic = getattr(request, "clinic", None)
    return clinic if isinstance(clinic, Clinic) else current_clinic()


def page_context(request: HttpRequest) -> dict[str, Any]:
    """For templates: `clinic`, and `cautions` with the fixed sentences in the page's language."""
    language = "es" if getattr(request, "LANGUAGE_CODE", "en").startswith("es") else "en"
    return {
        "clinic": clinic_of(request),
        "cautions": {key: sentences[language] for key, sentences in CAUTIONS.items()},
    }
