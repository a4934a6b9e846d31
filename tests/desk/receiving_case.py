"""What comes over the counter: bags as somebody sees them, forms as a browser posts them."""

from __future__ import annotations

import io
import secrets
from typing import Any

from django.urls import reverse
from django.utils import timezone
from PIL import Image

from fruitbody.desk.bench.models import Finding, Kind
from fruitbody.desk.bench.seen import BagSeen, KindSeen
from fruitbody.desk.people.models import User

HOME = "US-NY"


def key() -> str:
    return secrets.token_urlsafe(32)


def jpeg(colour: str = "tan") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (640, 480), colour).save(out, "JPEG")
    return out.getvalue()


def bag_of(*kinds: Kind, **changes: Any) -> BagSeen:
    told: dict[str, Any] = {"form_key": key(), "origin_region": HOME}
    return BagSeen(kinds=tuple(KindSeen(kind.finder_label, kind.pk) for kind in kinds), **(told | changes))


def form_for(kind: Kind, **changes: Any) -> dict[str, Any]:
    """The receiving form as a browser posts it, with one announced kind ticked."""
    form = {
        "form_key": key(),
        "origin_region": HOME,
        "label": "A",
        f"kind-{kind.pk}-here": "on",
        f"kind-{kind.pk}-material": "fresh-whole",
        "new-0-material": "fresh-whole",
        "new-1-material": "fresh-whole",
    }
    return form | changes


def no_form(**changes: Any) -> dict[str, Any]:
    form = {"form_key": key(), "label": "A", "origin": "walk-in", "origin_region": HOME, "material": "fresh-whole"}
    return form | changes


def url(name: str, *args: object) -> str:
    return reverse(f"bench:{name}", args=args)


def finding(kind: Kind, by: User | None = None, **changes: Any) -> Finding:
    told = {"character": "cap_colour", "value": "white", "by_role": "diagnostician", "at": timezone.now(), "by": by}
    return Finding.objects.create(kind=kind, **(told | changes))
