"""A bag on the bench: the submission of the fixtures received, and findings as they are typed there."""

from __future__ import annotations

import itertools
from typing import Any

from django.test import Client
from django.utils import timezone

from fruitbody.desk.bench.actions.findings import Typed, write_finding
from fruitbody.desk.bench.entry import read_entry
from fruitbody.desk.bench.models import Bag, Finding, Kind
from fruitbody.desk.people.models import User
from fruitbody.desk.submissions.models import Submission
from fruitbody.funga import load

KEYS = itertools.count()


def received(
    submission: Submission, by: User, *, material: str = "fresh-whole", conditions: tuple[str, ...] = ()
) -> Kind:
    """The kind of the submission in its bag, with numbers."""
    bag = Bag.objects.create(
        submission=submission, clinic_number="F26-00001-X", received_at=timezone.now(), received_by=by,
        conditions=list(conditions), place="shelf 2",
    )  # fmt: skip
    kind = submission.kinds.get()
    kind.bag, kind.clinic_number = bag, "F26-00002-V"
    kind.material, kind.conditions, kind.fold_drawn = material, list(conditions), 0.9
    kind.save()
    return kind


def found(kind: Kind, text: str, *, by: User, blind: bool = False, seen_on: str = "material") -> Finding:
    """A finding typed in one line."""
    last = Finding.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
    fields = read_entry(load(), text) | {"seen_on": seen_on}
    return write_finding(kind, Typed(fields, f"key-{next(KEYS)}", last, blind=blind), by=by).row


def typed(client: Client, kind: Kind, text: str, *, htmx: bool = True, **more: Any) -> Any:
    """Post the entry line."""
    last = Finding.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
    form = {"entry": text, "last": last, "form_key": f"key-{next(KEYS)}", **more}
    headers = {"HX-Request": "true"} if htmx else {}
    return client.post(f"/staff/bench/{kind.pk}/entry/", form, headers=headers)
