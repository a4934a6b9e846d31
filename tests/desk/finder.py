"""What a finder sends: a form filled as a browser would, and photos."""

from __future__ import annotations

import io
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import ExifTags, Image

FORM_KEY = "Zx8-test_form_key_0123456789abcdefghij"


def filled(kinds: int = 1, **changes: Any) -> dict[str, Any]:
    """The form as posted with one kind (or more); `changes` by field name, with kind__0__width for kind-0-width."""
    form: dict[str, Any] = {
        "form_key": FORM_KEY,
        "eaten": "no",
        "picked": "yes",
        "question": "curious",
        "name": "Wren Hollis",
        "email": "wren@example.org",
        "phone": "(607) 555-0142",
        "way": "e-mail",
        "region": "US-NY",
        "county": "Alder",
        "place_words": "lawn by the school",
        "kind-TOTAL_FORMS": str(kinds),
        "kind-INITIAL_FORMS": "1",
        "kind-MIN_NUM_FORMS": "0",
        "kind-MAX_NUM_FORMS": "12",
    }
    for index in range(kinds):
        form |= {f"kind-{index}-label": "ABCDEFGH"[index], f"kind-{index}-unit": "cm"}
    return form | {name.replace("__", "-"): value for name, value in changes.items()}


def photo_bytes(colour: str = "sienna", *, place: bool = False) -> bytes:
    out = io.BytesIO()
    exif = Image.Exif()
    if place:
        gps = exif.get_ifd(ExifTags.IFD.GPSInfo)
        gps[ExifTags.GPS.GPSLatitudeRef], gps[ExifTags.GPS.GPSLatitude] = "N", (42.0, 30.0, 0.0)
        gps[ExifTags.GPS.GPSLongitudeRef], gps[ExifTags.GPS.GPSLongitude] = "W", (76.0, 15.0, 0.0)
    Image.new("RGB", (80, 60), colour).save(out, "JPEG", exif=exif)
    return out.getvalue()


def photo_file(colour: str = "sienna", *, name: str = "mushroom.jpg", place: bool = False) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, photo_bytes(colour, place=place), "image/jpeg")
