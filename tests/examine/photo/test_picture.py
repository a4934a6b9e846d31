"""Opening a photo for measuring: every odd file gets its sentence, none a silently wrong scale."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pytest
from PIL import ExifTags, Image, ImageOps

from fruitbody.examine.photo.budget import U_FOCAL, U_FOCAL_VOID
from fruitbody.examine.photo.intake import PhotoRefused
from fruitbody.examine.photo.picture import SAID, open_picture

GRAIN = np.random.default_rng(4).integers(0, 255, (90, 120, 3), dtype=np.uint8)


def saved(image: Image.Image, kind: str = "JPEG", **options: Any) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def with_exif(tags: dict[int, Any], inner: dict[int, Any] | None = None) -> Image.Exif:
    exif = Image.Exif()
    for tag, value in tags.items():
        exif[tag] = value
    exif.get_ifd(ExifTags.IFD.Exif).update(inner or {})
    return exif


CAMERA = {ExifTags.Base.FocalLengthIn35mmFilm: 26}


def test_a_camera_photo_knows_its_focal_length() -> None:
    picture = open_picture(saved(Image.fromarray(GRAIN), exif=with_exif({}, CAMERA)))
    assert (picture.f35_mm, picture.odd, picture.lens.u) == (26, (), U_FOCAL)


def test_a_photo_from_a_chat_has_a_void_focal_length_and_says_so() -> None:
    picture = open_picture(saved(Image.fromarray(GRAIN)))
    assert picture.lens.u == U_FOCAL_VOID
    assert SAID["no focal length"] in picture.warnings


@pytest.mark.parametrize(
    "inner",
    [
        {ExifTags.Base.DigitalZoomRatio: 2.0},
        {ExifTags.Base.ExifImageWidth: 4032, ExifTags.Base.ExifImageHeight: 2268},
    ],
)
def test_a_zoomed_or_cropped_photo_has_a_void_focal_length(inner: dict[int, Any]) -> None:
    picture = open_picture(saved(Image.fromarray(GRAIN), exif=with_exif({}, CAMERA | inner)))
    assert "cropped" in picture.odd
    assert picture.lens.void


def test_a_plain_resize_keeps_the_focal_length() -> None:
    inner = CAMERA | {ExifTags.Base.ExifImageWidth: 4032, ExifTags.Base.ExifImageHeight: 3024}
    assert not open_picture(saved(Image.fromarray(GRAIN), exif=with_exif({}, inner))).lens.void


@pytest.mark.parametrize("note", range(1, 9))
def test_a_photo_is_turned_upright_as_the_camera_noted(note: int) -> None:
    data = saved(Image.fromarray(GRAIN), "PNG", exif=with_exif({ExifTags.Base.Orientation: note}))
    expected = np.asarray(ImageOps.exif_transpose(Image.open(io.BytesIO(data))))
    picture = open_picture(data)
    np.testing.assert_array_equal(picture.rgb, expected)
    assert ("turned" in picture.odd) == (note not in (1, 2))


def test_a_panorama_says_that_nothing_is_measured_on_it() -> None:
    picture = open_picture(saved(Image.fromarray(np.tile(GRAIN, (1, 3, 1)))))
    assert SAID["panorama"] in picture.warnings


def test_a_screenshot_is_told_by_its_plain_bars() -> None:
    screen = np.tile(GRAIN, (3, 1, 1))
    screen[:15] = screen[-15:] = 250
    assert "screenshot" in open_picture(saved(Image.fromarray(screen), "PNG")).odd


def test_a_cmyk_photo_is_measured_with_a_sentence() -> None:
    assert SAID["cmyk"] in open_picture(saved(Image.fromarray(GRAIN).convert("CMYK"))).warnings


def test_a_16_bit_picture_keeps_its_light_and_dark() -> None:
    deep = Image.fromarray((np.arange(90 * 120, dtype=np.uint16) * 6).reshape(90, 120))
    picture = open_picture(saved(deep, "PNG"))
    assert "16-bit" in picture.odd
    assert picture.rgb[0, 0, 0] == 0
    assert picture.rgb[-1, -1, 0] == pytest.approx(252, abs=1)


def test_a_truncated_file_is_refused_with_a_sentence() -> None:
    with pytest.raises(PhotoRefused, match="incomplete or damaged"):
        open_picture(saved(Image.fromarray(GRAIN))[:2500])


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_an_animation_is_refused_with_a_sentence(kind: str) -> None:
    frames = [Image.fromarray(GRAIN), Image.fromarray(GRAIN[::-1].copy())]
    with pytest.raises(PhotoRefused, match="animation"):
        open_picture(saved(frames[0], kind, save_all=True, append_images=frames[1:]))
