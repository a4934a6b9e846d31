"""A case that is ready to be reported: received, looked at, named, with photos."""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction
from django.test import Client, TestCase
from django.urls import reverse
from django.utils import timezone

from fruitbody.desk.bench.actions.naming import Naming, name_kind, read_second
from fruitbody.desk.bench.models import Bag, Determination, Finding, Kind
from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.records.actions import next_clinic_number
from fruitbody.desk.reports.models import ReportVersion
from fruitbody.desk.submissions.actions import add_photo
from fruitbody.desk.submissions.models import Party, Submission
from tests.desk.finder import photo_bytes


@transaction.atomic
def received(kind: Kind, by: User, **conditions: Any) -> Bag:
    """The kind's bag is opened; both get their clinic numbers."""
    clinic = Clinic.objects.get()
    bag = Bag.objects.create(
        submission=kind.submission,
        clinic_number=next_clinic_number(clinic),
        received_at=timezone.now(),
        received_by=by,
        **conditions,
    )
    kind.bag, kind.clinic_number = bag, f"{bag.clinic_number}-A"
    kind.save()
    return bag


def found(kind: Kind, character: str, value: Any = None, *, by: User | None = None, **more: Any) -> Finding:
    role = {"by_role": "diagnostician"} if by else {"by_role": "finder", "seen_on": "told"}
    return Finding.objects.create(kind=kind, character=character, value=value, by=by, at=timezone.now(), **role | more)


def named(kind: Kind, name: str, by: User, **more: Any) -> Determination:
    """Named at the bench, the dangers seen."""
    return name_kind(kind, Naming(name=name, form_key=secrets.token_hex(8), acknowledged=True, **more), by=by)


def second_read(kind: Kind, name: str, by: User, **more: Any) -> Determination:
    return read_second(kind, Naming(name=name, form_key=secrets.token_hex(8), acknowledged=True, **more), by=by)


def white_button(kind: Kind, by: User) -> None:
    """A white mushroom from a lawn, cut above ground; measured, photographed, told of."""
    received(kind, by, conditions=["cling-film"])
    kind.conditions = ["cut-above-ground"]
    kind.save()
    found(kind, "substrate", "grass")
    found(kind, "cap_width", 6.0 * 10)
    found(kind, "form", "cap-and-stem", by=by)
    found(kind, "cap_colour", "white", by=by)
    found(kind, "cap_width", 62, by=by, uncertainty=1.5, n=1)
    found(kind, "volva", "none", by=by)
    for colour, view in (("tan", "top"), ("ivory", "side")):
        add_photo(photo_bytes(colour), view=view, submission=kind.submission, kind=kind, name=f"{view}.jpg")


def tree_crusts(kind: Kind, by: User) -> None:
    """Story 6: black crusts at the flare of a beech that children play under."""
    submission = kind.submission
    submission.question, submission.place_words = "tree", "playground beech"
    submission.save()
    received(kind, by)
    for character, value in (("substrate", "living-tree"), ("place_on_tree", "flare"), ("host", "fagus")):
        found(kind, character, value)
    found(kind, "form", "crust", by=by)


def add_party(submission: Submission, role: str, name: str, email: str = "") -> Party:
    return Party.objects.create(submission=submission, role=role, name=name, email=email)


def page(name: str, pk: int) -> str:
    return reverse(f"reports:{name}", args=[pk])


def begun(client: Client, submission: Submission) -> ReportVersion:
    """The draft, opened through its page."""
    client.post(page("draft", submission.pk), {"do": "open"})
    return submission.reports.get(issued_at__isnull=True)


def fields(client: Client, submission: Submission, **typed: Any) -> dict[str, Any]:
    """The draft's form as a browser would send it back, with what was typed over it."""
    context = client.get(page("draft", submission.pk)).context
    form: dict[str, Any] = {field.html_name: field.value() or "" for field in context["form"]}
    form |= context["fresh"]
    return form | {name.replace("__", "-"): value for name, value in typed.items()}


def issued(client: Client, submission: Submission, **typed: Any) -> ReportVersion:
    """Issued through its page, second reading waived."""
    given = {"second_reading": "waived", "note": "No second reader today."} | typed
    with committed():
        answer = client.post(page("draft", submission.pk), fields(client, submission, **given) | {"do": "issue"})
    assert answer.status_code == 302, answer.context["pressed"]
    return submission.reports.filter(issued_at__isnull=False).order_by("-version")[0]


def now_at_the_desk() -> str:
    """The time as a browser's field for day and hour sends it, by the clinic's clock."""
    return timezone.localtime(timezone=ZoneInfo("America/New_York")).strftime("%Y-%m-%dT%H:%M")


@contextmanager
def committed() -> Iterator[None]:
    """What an action does after its commit happens in a test too."""
    with TestCase.captureOnCommitCallbacks(execute=True):
        yield
