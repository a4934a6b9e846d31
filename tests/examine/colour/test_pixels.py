"""Photos whose colours can be relied on, and those whose cannot."""

from __future__ import annotations

import io

import cv2
import numpy as np
import pytest
from PIL import Image, ImageCms

from fruitbody.examine.colour.pixels import read_pixels
from fruitbody.examine.colour.spaces import ColourError
from fruitbody.examine.photo.intake import PhotoRefused

BROWN = Image.new("RGB", (60, 40), (150, 105, 65))


def written(image: Image.Image, kind: str = "PNG", **more: object) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **more)  # type: ignore[arg-type]
    return out.getvalue()


def test_a_plain_photo_gives_its_codes_at_full_size() -> None:
    pixels = read_pixels(written(BROWN))
    assert pixels.shape == (40, 60, 3)
    assert pixels[20, 30].tolist() == [150, 105, 65]


def test_a_photo_turned_by_its_metadata_is_measured_upright() -> None:
    image = Image.new("RGB", (60, 40), "white")
    image.putpixel((0, 0), (150, 105, 65))
    exif = Image.Exif()
    exif[0x0112] = 6  # 90 degrees clockwise
    pixels = read_pixels(written(image, exif=exif))
    assert pixels.shape == (60, 40, 3)
    assert pixels[0, 39].tolist() == [150, 105, 65]


def test_a_profile_is_brought_to_srgb() -> None:
    """An sRGB profile whose red and blue primaries were exchanged says that the numbers mean the reverse."""
    plain = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    turned = plain.replace(b"rXYZ", b"????").replace(b"bXYZ", b"rXYZ").replace(b"????", b"bXYZ")
    assert read_pixels(written(BROWN, icc_profile=plain))[0, 0] == pytest.approx([150, 105, 65], abs=1)
    assert read_pixels(written(BROWN, icc_profile=turned))[0, 0] == pytest.approx([65, 105, 150], abs=1)


def test_a_broken_profile_is_passed_over() -> None:
    assert read_pixels(written(BROWN, "JPEG", icc_profile=b"none")).shape == (40, 60, 3)


def test_transparent_parts_lie_on_white() -> None:
    assert read_pixels(written(Image.new("RGBA", (20, 20), (0, 0, 0, 0))))[0, 0].tolist() == [255, 255, 255]


def deep() -> bytes:
    ok, data = cv2.imencode(".png", np.full((40, 60, 3), 30000, dtype=np.uint16))
    assert ok
    return data.tobytes()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (written(BROWN.convert("CMYK"), "JPEG"), "printing colours"),
        (deep(), "16 bits a channel"),
        (written(Image.fromarray(np.full((40, 60), 30000, dtype=np.uint16))), "16 bits a channel"),
        (written(BROWN.convert("L")), "black and white"),
        (written(BROWN.convert("P")), "palette"),
        (written(BROWN, save_all=True, append_images=[Image.new("RGB", (60, 40))]), "animation"),
        (written(BROWN.resize((600, 400)), "JPEG")[:900], "incomplete or damaged"),
    ],
    ids=["cmyk", "16-bit", "16-bit grey", "grey", "palette", "animation", "truncated"],
)
def test_a_picture_whose_colours_cannot_be_relied_on_is_refused(data: bytes, words: str) -> None:
    with pytest.raises(ColourError, match=words):
        read_pixels(data)


def test_what_is_no_photo_is_refused_at_the_door() -> None:
    with pytest.raises(PhotoRefused):
        read_pixels(b"no photo")
