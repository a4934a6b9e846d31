"""Pages for when something is not there, not allowed or broken: a sentence each, and a way on."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import get_template


def refused(request: HttpRequest, exception: Exception) -> HttpResponse:
    reason = str(exception) or "You may not do this. Ask the manager."
    return render(request, "people/refused.html", {"reason": reason}, status=403)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    return render(request, "people/not_found.html", status=404)


def stale(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form whose page is older than the sign-in or the cookies (cross-site request check)."""
    return render(request, "people/stale.html", status=403)


def broken(request: HttpRequest) -> HttpResponse:
    # A page without database or context: whatever broke may break them too.
    return HttpResponse(get_template("people/broken.html").render({}), status=500)
