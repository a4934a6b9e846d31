"""Photos as they come: four formats, every orientation, hidden places, bombs, and files that are no photos."""

from __future__ import annotations

import hashlib
import io
import struct
import zlib
from datetime import UTC, datetime, timedelta, timezone

import pytest
from PIL import ExifTags, Image

from fruitbody.examine.photo import intake
from fruitbody.examine.photo.intake import PhotoRefused, take_in
from tests.examine.heic_sample import SAMPLE


def picture(width: int = 64, height: int = 48) -> Image.Image:
    """Left half red, right half blue: which way is up can be told."""
    image = Image.new("RGB", (width, height), "blue")
    image.paste("red", (0, 0, width // 2, height))
    return image


def saved(image: Image.Image, form: str = "JPEG", **options: object) -> bytes:
    out = io.BytesIO()
    image.save(out, form, **options)
    return out.getvalue()


def reopened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


def exif_block() -> Image.Exif:
    exif = Image.Exif()
    exif[ExifTags.Base.Model] = "Pocket 7"
    exif[ExifTags.Base.Orientation] = 6
    inner = exif.get_ifd(ExifTags.IFD.Exif)
    inner[ExifTags.Base.DateTimeOriginal] = "2026:10:03 08:15:30"
    inner[ExifTags.Base.OffsetTimeOriginal] = "-04:00"
    inner[ExifTags.Base.FocalLengthIn35mmFilm] = 26
    gps = exif.get_ifd(ExifTags.IFD.GPSInfo)
    gps[ExifTags.GPS.GPSLatitudeRef], gps[ExifTags.GPS.GPSLatitude] = "N", (42.0, 30.0, 36.0)
    gps[ExifTags.GPS.GPSLongitudeRef], gps[ExifTags.GPS.GPSLongitude] = "W", (76.0, 15.0, 0.0)
    return exif


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_each_format_is_taken_in_as_jpeg(form: str) -> None:
    taken = take_in(saved(picture(), form))
    assert reopened(taken.image_bytes).format == "JPEG"
    assert (taken.width_px, taken.height_px) == (64, 48)


def test_the_digest_is_that_of_the_bytes_as_they_came() -> None:
    data = saved(picture())
    assert take_in(data).sha256 == hashlib.sha256(data).hexdigest()


def test_the_picture_is_turned_upright() -> None:
    taken = take_in(saved(picture(), exif=exif_block()))
    # Orientation 6: the stored picture is to be turned right; red was left, so it is on top.
    assert (taken.width_px, taken.height_px) == (48, 64)
    red, _, blue = reopened(taken.image_bytes).convert("RGB").getpixel((24, 5))
    assert red > 200 > blue


def test_nothing_hidden_is_left_in_the_copies() -> None:
    taken = take_in(saved(picture(), exif=exif_block(), comment=b"kitchen window"))
    for data in (taken.image_bytes, taken.thumb_bytes):
        assert not dict(reopened(data).getexif())
        assert b"Exif" not in data
        assert b"kitchen window" not in data


def test_the_place_comes_back_as_degrees_apart_from_the_picture() -> None:
    taken = take_in(saved(picture(), exif=exif_block()))
    # 42 deg 30 min 36 s = 42 + 0.5 + 0.01; 76 deg 15 min west = -76.25.
    assert taken.latitude == pytest.approx(42.51)
    assert taken.longitude == pytest.approx(-76.25)


def test_the_camera_says_when_and_with_which_lens() -> None:
    taken = take_in(saved(picture(), exif=exif_block()))
    assert taken.taken_at == datetime(2026, 10, 3, 12, 15, 30, tzinfo=UTC)
    assert taken.taken_at.utcoffset() == timedelta(hours=-4) == timezone(timedelta(hours=-4)).utcoffset(None)
    assert (taken.camera.model, taken.camera.f35_mm) == ("Pocket 7", 26)


def test_a_photo_without_metadata_says_nothing_of_itself() -> None:
    taken = take_in(saved(picture()))
    assert (taken.taken_at, taken.latitude, taken.longitude, taken.camera.model) == (None, None, None, "")


def test_a_large_photo_is_made_smaller() -> None:
    taken = take_in(saved(picture(5000, 1000)))
    assert (taken.width_px, taken.height_px) == (4096, 819)
    assert max(reopened(taken.thumb_bytes).size) == 480


def test_transparent_parts_turn_white() -> None:
    taken = take_in(saved(Image.new("RGBA", (40, 40), (0, 0, 0, 0)), "PNG"))
    assert reopened(taken.image_bytes).convert("RGB").getpixel((20, 20)) == (255, 255, 255)


def test_the_name_and_type_of_a_file_do_not_matter_but_its_content() -> None:
    with pytest.raises(PhotoRefused, match="no photo that we can read"):
        take_in(b"%PDF-1.7 this is not a photo, whatever its name")


def test_formats_beside_the_four_are_refused() -> None:
    with pytest.raises(PhotoRefused, match="JPEG, HEIC, PNG or WebP"):
        take_in(saved(picture(), "TIFF"))


def bomb(width: int, height: int) -> bytes:
    """A PNG whose header claims this size; its pixels would never be decoded."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 64)) + chunk(b"IEND", b"")
    )


def test_two_hundred_megapixels_are_refused_from_the_header(monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*_: object) -> None:
        raise AssertionError("the pixels were decoded")

    monkeypatch.setattr(intake, "_decode", never)
    with pytest.raises(PhotoRefused, match="60 million"):
        take_in(bomb(20_000, 10_000))


def test_sixty_one_megapixels_are_refused_with_their_count() -> None:
    with pytest.raises(PhotoRefused, match="61 million pixels"):
        take_in(bomb(10_000, 6_100))


def test_a_file_of_more_than_25_megabytes_is_refused() -> None:
    with pytest.raises(PhotoRefused, match="25 MB"):
        take_in(b"\xff\xd8" + b"\0" * (25 * 1024 * 1024))


def test_half_a_photo_is_refused() -> None:
    whole = saved(picture(800, 600))
    with pytest.raises(PhotoRefused, match="incomplete or damaged"):
        take_in(whole[: len(whole) // 2])


def test_an_empty_file_is_refused() -> None:
    with pytest.raises(PhotoRefused, match="empty"):
        take_in(b"")


def test_a_preview_of_a_few_pixels_is_refused() -> None:
    with pytest.raises(PhotoRefused, match="too small"):
        take_in(saved(picture(8, 8)))


def test_a_broken_metadata_block_does_not_cost_the_photo() -> None:
    data = saved(picture())
    broken = data[:2] + b"\xff\xe1\x00\x10Exif\x00\x00MM\x00\x2a\xff\xff" + data[2:]
    assert take_in(broken).width_px == 64


def test_a_heic_photo_is_taken_in() -> None:
    taken = take_in(SAMPLE)
    assert reopened(taken.image_bytes).format == "JPEG"
    assert (taken.width_px, taken.height_px) == (64, 64)
