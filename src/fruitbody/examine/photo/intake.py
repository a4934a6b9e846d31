"""Taking a photo in: is it one, can we bear it, which way is up; then a clean copy without anything hidden in it.

    PhotoRefused    a file that is not taken; the message is a sentence that says what to do

The original bytes are not kept: what is kept is a JPEG made anew from the pixels. What the camera wrote beside them
(moment, model, lens, place) comes back as plain values, for the caller to keep or to drop.
"""

from __future__ import annotations

import hashlib
import io
import math
import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from typing import Any

import pi_heif
from PIL import ExifTags, Image, ImageCms, ImageOps, UnidentifiedImageError

MAX_BYTES = 25 * 1024 * 1024
MAX_PIXELS = 60_000_000
LONGEST_SIDE_PX = 4096
THUMB_SIDE_PX = 480
QUALITY = 88
FORMATS = ("JPEG", "PNG", "WEBP", "HEIF")
SMALLEST_SIDE_PX = 16

pi_heif.register_heif_opener(thumbnails=False)


class PhotoRefused(ValueError):  # noqa: N818 - said to people in these words
    """A file that is not taken in. The message is a sentence that says what to do."""


@dataclass(frozen=True, slots=True)
class Camera:
    """model: as the camera names itself, at most 60 characters; f35_mm: focal length as on 35 mm film, or None."""

    model: str = ""
    f35_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Intake:
    """A photo as taken in.

    image_bytes, thumb_bytes: JPEG in sRGB, upright, without metadata; longest side at most 4096 and 480 px.
    width_px, height_px: of `image_bytes`. sha256: hex digest of the bytes as they arrived.
    taken_at: by the camera's clock, aware where the camera wrote its offset, else naive; None where it wrote none.
    latitude, longitude: degrees north and east (WGS 84) as the camera wrote them, or None. Keep them only with consent.
    """

    image_bytes: bytes
    thumb_bytes: bytes
    width_px: int
    height_px: int
    sha256: str
    taken_at: datetime | None
    camera: Camera
    latitude: float | None
    longitude: float | None


def take_in(data: bytes) -> Intake:
    """Check a photo and make the clean copies. Raises PhotoRefused."""
    if not data:
        raise PhotoRefused("The file is empty. Choose the photo again.")
    if len(data) > MAX_BYTES:
        raise PhotoRefused(
            f"The file has {len(data) / 2**20:.0f} MB; we take up to {MAX_BYTES // 2**20} MB. Send a smaller copy."
        )
    with warnings.catch_warnings():
        # Pillow warns of large pictures at a bound of its own and of broken metadata; both are judged here.
        warnings.simplefilter("ignore")
        image = open_checked(data)
        exif = exif_of(image)
        picture = _bounded(_decode(image), LONGEST_SIDE_PX)
        latitude, longitude = _place(exif)
    return Intake(
        image_bytes=_jpeg(picture),
        thumb_bytes=_jpeg(_bounded(picture, THUMB_SIDE_PX)),
        width_px=picture.width,
        height_px=picture.height,
        sha256=hashlib.sha256(data).hexdigest(),
        taken_at=_taken_at(exif),
        camera=camera_of(exif),
        latitude=latitude,
        longitude=longitude,
    )


def open_checked(data: bytes) -> Image.Image:
    """Read the header only: the kind of file from its content, and the pixels it claims."""
    try:
        image = Image.open(io.BytesIO(data), formats=FORMATS)
    except UnidentifiedImageError as error:
        raise PhotoRefused("This file is no photo that we can read. Send it as JPEG, HEIC, PNG or WebP.") from error
    except Image.DecompressionBombError as error:
        raise PhotoRefused(_too_many("far more")) from error
    except (OSError, ValueError, SyntaxError, RuntimeError, OverflowError) as error:
        raise PhotoRefused("This file is damaged, so the photo in it cannot be read. Send it again.") from error
    if image.width * image.height > MAX_PIXELS:
        raise PhotoRefused(_too_many(f"{image.width * image.height / 1e6:.0f} million"))
    if min(image.size) < SMALLEST_SIDE_PX:
        raise PhotoRefused("This picture is too small to show anything. Send the photo itself, not its preview.")
    return image


def _too_many(how_many: str) -> str:
    return (
        f"The photo has {how_many} pixels; we take up to {MAX_PIXELS // 1_000_000} million. Send a smaller copy of it."
    )


def _decode(image: Image.Image) -> Image.Image:
    """The pixels, upright, in sRGB, on white where they are transparent."""
    try:
        # A JPEG larger than needed is decoded at half size: same picture, a quarter of the work.
        if image.format == "JPEG" and max(image.size) >= 2 * LONGEST_SIDE_PX:
            image.draft("RGB", (LONGEST_SIDE_PX, LONGEST_SIDE_PX))
        image.load()
        upright = ImageOps.exif_transpose(image)
    except (OSError, ValueError, SyntaxError, RuntimeError, MemoryError) as error:
        raise PhotoRefused("This photo arrived incomplete or damaged. Send it again.") from error
    if upright.mode in ("RGBA", "LA", "PA") or "transparency" in upright.info:
        on_white = Image.new("RGBA", upright.size, "white")
        on_white.alpha_composite(upright.convert("RGBA"))
        return on_white.convert("RGB")
    return _srgb(upright)


def _srgb(image: Image.Image) -> Image.Image:
    """Phones write wider colour spaces; a copy without its profile must be in sRGB, or every colour shifts."""
    profile = image.info.get("icc_profile")
    if profile and image.mode in ("RGB", "CMYK", "L"):
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            converted = ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB"), outputMode="RGB")
            if converted is not None:
                return converted
        except (ImageCms.PyCMSError, OSError, ValueError):
            pass  # A broken profile says nothing; the pixels still do.
    return image.convert("RGB")


def _bounded(image: Image.Image, longest: int) -> Image.Image:
    if max(image.size) <= longest:
        return image
    scale = longest / max(image.size)
    size = (max(1, round(image.width * scale)), max(1, round(image.height * scale)))
    return image.resize(size, Image.Resampling.LANCZOS, reducing_gap=3.0)


def _jpeg(image: Image.Image) -> bytes:
    clean = image.copy()
    clean.info.clear()
    out = io.BytesIO()
    clean.save(out, "JPEG", quality=QUALITY, optimize=False, subsampling=0)
    return out.getvalue()


def exif_of(image: Image.Image) -> Image.Exif:
    try:
        return image.getexif()
    except Exception:  # whatever a broken block raises, the photo is still a photo
        return Image.Exif()


def exif_part(exif: Image.Exif, part: ExifTags.IFD) -> Mapping[int, Any]:
    try:
        return exif.get_ifd(part)
    except Exception:
        return {}


def camera_of(exif: Image.Exif) -> Camera:
    model = plain_text(exif.get(ExifTags.Base.Model))[:60]
    f35 = plain_number(exif_part(exif, ExifTags.IFD.Exif).get(ExifTags.Base.FocalLengthIn35mmFilm))
    return Camera(model, f35 if f35 and 1 <= f35 <= 2000 else None)


def _taken_at(exif: Image.Exif) -> datetime | None:
    inner = exif_part(exif, ExifTags.IFD.Exif)
    text = plain_text(inner.get(ExifTags.Base.DateTimeOriginal) or exif.get(ExifTags.Base.DateTime))
    try:
        moment = datetime.strptime(text[:19], "%Y:%m:%d %H:%M:%S")  # noqa: DTZ007 - the zone follows, if there is one
    except ValueError:
        return None
    zone = _offset(plain_text(inner.get(ExifTags.Base.OffsetTimeOriginal)))
    return moment.replace(tzinfo=zone)


def _offset(text: str) -> timezone | None:
    try:
        sign = {"+": 1, "-": -1}[text[0]]
        return timezone(sign * timedelta(hours=int(text[1:3]), minutes=int(text[4:6])))
    except (KeyError, IndexError, ValueError):
        return None


def _place(exif: Image.Exif) -> tuple[float | None, float | None]:
    gps = exif_part(exif, ExifTags.IFD.GPSInfo)
    latitude = _degrees(gps.get(ExifTags.GPS.GPSLatitude), gps.get(ExifTags.GPS.GPSLatitudeRef), 90.0)
    longitude = _degrees(gps.get(ExifTags.GPS.GPSLongitude), gps.get(ExifTags.GPS.GPSLongitudeRef), 180.0)
    return (None, None) if latitude is None or longitude is None else (latitude, longitude)


def _degrees(parts: Any, side: Any, most: float) -> float | None:
    """Degrees, minutes, seconds to signed degrees; None for anything that is no place on Earth."""
    if not isinstance(parts, tuple) or len(parts) != 3:
        return None
    numbers = [plain_number(part) for part in parts]
    if any(number is None for number in numbers):
        return None
    value = sum(number / 60**i for i, number in enumerate(numbers) if number is not None)
    signed = -value if plain_text(side).upper() in ("S", "W") else value
    return signed if abs(signed) <= most else None


def plain_number(value: Any) -> float | None:
    try:
        number = float(value)
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    return number if math.isfinite(number) else None


def plain_text(value: Any) -> str:
    if isinstance(value, bytes):
        value = value.decode("latin-1")
    return "".join(c for c in str(value or "") if c.isprintable()).strip()
