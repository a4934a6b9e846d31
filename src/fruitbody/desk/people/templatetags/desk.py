"""What templates of every room use: the staff's rooms, telephone numbers, moments with their zone."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import template
from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from fruitbody.desk.people.models import Clinic
from fruitbody.desk.people.phones import phone_in_words
from fruitbody.desk.people.policy import Act, may

register = template.Library()

ROOMS: tuple[tuple[str, str, Act], ...] = (
    ("Today", "bench:today", Act.VIEW_STAFF_PAGES),
    ("Urgent call", "people:urgent", Act.VIEW_STAFF_PAGES),
    ("Receiving", "bench:receiving", Act.RECEIVE),
    ("Bench", "bench:bench", Act.FIND),
    ("Second reading", "bench:second_reading", Act.SECOND_READ),
    ("Reports", "reports:list", Act.DRAFT_REPORT),
    ("Records", "records:list", Act.SEE_RECORDS),
    ("Season", "records:season", Act.VIEW_STAFF_PAGES),
    ("Funga", "records:funga", Act.VIEW_STAFF_PAGES),
    ("Clinic", "people:clinic", Act.VIEW_STAFF_PAGES),
)
"""Title, name of its first page, what one must be allowed. A room whose page does not exist is not shown."""


@register.simple_tag(takes_context=True)
def rooms(context: dict[str, Any]) -> list[dict[str, Any]]:
    """The rooms this person may enter, with `here` for the one the page belongs to."""
    request: HttpRequest = context["request"]
    shown = []
    for title, name, act in ROOMS:
        try:
            url = reverse(name)
        except NoReverseMatch:
            continue
        if may(request.user, act):
            shown.append({"title": _(title), "url": url, "here": request.path == url or _inside(request.path, url)})
    return shown


def _inside(path: str, url: str) -> bool:
    return url.count("/") > 2 and path.startswith(url)


@register.filter
def tel(number: str) -> str:
    """The number as a link dials it: digits and a leading plus only."""
    return "".join(c for c in number if c.isdigit() or c == "+")


@register.filter
def phone(number: str, clinic: Clinic) -> str:
    """The number as people of the clinic's country read it."""
    return phone_in_words(number, clinic.country)


@register.filter
def moment(at: datetime | None) -> str:
    """A moment with its zone: 25 Nov 2026, 14:05 EST."""
    return timezone.localtime(at).strftime("%-d %b %Y, %H:%M %Z") if at else ""


@register.filter
def ended(text: str) -> str:
    """The text with one full stop at its end, whether or not it has one: an abbreviation ends its sentence too."""
    text = text.rstrip()
    return text if text.endswith((".", "!", "?")) else f"{text}."


@register.filter
def allows(user: Any, act: str) -> bool:
    """In templates: `{% if user|allows:"ISSUE_REPORT" %}`."""
    return bool(may(user, Act[act]))
