"""Photos on the paper: upright, without hidden data, and never the reason that a report is lost."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
from PIL import Image

from fruitbody.report import Photo, content_digest, report_pdf
from tests.report.sample import button, content, picture, whole


def test_a_photo_gives_the_same_digest_as_bytes_and_as_file(tmp_path: Path) -> None:
    file = tmp_path / "cap.jpg"
    file.write_bytes(picture())
    as_bytes, as_file = (replace(button(), photos=(Photo(image=i, view="top"),)) for i in (picture(), file))
    assert content_digest(content(as_bytes)) == content_digest(content(as_file))


@pytest.mark.parametrize("image", [b"not a picture", b"", Path("/nowhere/cap.jpg"), picture()[:2000]])
def test_a_photo_that_is_none_loses_the_photo_and_not_the_report(image: bytes | Path) -> None:
    kind = replace(button(), photos=(Photo(image=image, view="side"),))
    assert "The photo “side” could not be read." in whole(report_pdf(content(kind)))


def test_hidden_data_of_a_photo_does_not_reach_the_paper() -> None:
    out = io.BytesIO()
    exif = Image.Exif()
    exif[0x010E] = "SECRET PLACE"
    Image.new("RGB", (40, 30), "#aa5500").save(out, "JPEG", exif=exif)
    assert b"SECRET" in out.getvalue()
    pdf = report_pdf(content(replace(button(), photos=(Photo(image=out.getvalue(), view="top"),))))
    streams = b"".join(image.data for page in pypdf.PdfReader(io.BytesIO(pdf)).pages for image in page.images)
    assert b"SECRET" not in streams + pdf


def test_a_photo_stands_upright_as_its_camera_meant() -> None:
    out = io.BytesIO()
    exif = Image.Exif()
    exif[0x0112] = 6  # rotate by 90 degrees: the left side of the file is the top
    stored = Image.new("RGB", (400, 200), "#0000ff")
    stored.paste("#ff0000", (0, 0, 200, 200))
    stored.save(out, "JPEG", exif=exif, quality=95)
    pdf = report_pdf(content(replace(button(), photos=(Photo(image=out.getvalue(), view="top"),))))
    image = next(i.image for page in pypdf.PdfReader(io.BytesIO(pdf)).pages for i in page.images)
    assert image is not None
    upright = image.convert("RGB")
    assert upright.size == (200, 400)
    top, bottom = upright.getpixel((100, 50)), upright.getpixel((100, 350))
    assert isinstance(top, tuple)
    assert isinstance(bottom, tuple)
    assert top[0] > 200 > bottom[0]
    assert bottom[2] > 200 > top[2]
