"""What a scanned or typed code leads to: a submission, a kind or bag that is here already, or a box."""

from __future__ import annotations

from urllib.parse import urlencode

from django.urls import reverse

from fruitbody.desk.bench.errors import ReceivingError
from fruitbody.desk.bench.models import Bag, Box, Kind
from fruitbody.desk.submissions.models import Submission
from fruitbody.handling.codes import CodeError, read_slip


def leads_to(typed: str, *, box: str = "") -> str:
    """The page for a code; with `box`, what is received there goes into that box. Raises ReceivingError."""
    try:
        code, label = read_slip(typed)
    except CodeError as error:
        raise ReceivingError(str(error)) from error
    if Submission.objects.filter(code=code).exists():
        carried = {key: value for key, value in (("kind", label), ("box", box)) if value}
        return reverse("bench:receive", args=[code]) + (f"?{urlencode(carried)}" if carried else "")
    if bag := Bag.objects.filter(clinic_number=code).first():
        return reverse("bench:bag", args=[bag.clinic_number])
    if kind := Kind.objects.filter(clinic_number=code).select_related("bag").first():
        return (
            reverse("bench:bag", args=[kind.bag.clinic_number])
            if kind.bag
            else reverse("records:record", args=[kind.submission.code])
        )
    if Box.objects.filter(clinic_number=code).exists():
        return reverse("bench:box", args=[code])
    raise ReceivingError(
        f"Nothing here goes by {code}. It reads well, so it may be another clinic's. Compare it with the slip, "
        "or receive the bag without a form below."
    )
