"""Reading a picture for measuring: every pixel as the camera made it, nothing made smaller or compressed anew.

(Photos for letters and pages go through `examine.photo.intake`, which makes smaller copies: no scale survives that.)
"""

from __future__ import annotations

import io
import warnings

import numpy as np
import pi_heif
from PIL import Image, ImageOps, UnidentifiedImageError

from fruitbody.examine.spores.errors import FieldError
from fruitbody.examine.spores.field import Bytes

FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "BMP", "HEIF")
MAX_PIXELS = 100_000_000
SIXTEEN_BITS = ("I;16", "I;16L", "I;16B", "I;16N", "I", "F")

pi_heif.register_heif_opener(thumbnails=False)


def read_picture(data: bytes) -> Bytes:
    """The picture, upright, as bytes [height, width] or [height, width, 3] (RGB). Raises FieldError.

    Sixteen-bit greys are stretched from their darkest to their brightest value.
    """
    if not data:
        raise FieldError("The file is empty. Choose the photo again.")
    with warnings.catch_warnings():
        # Pillow warns of large pictures at a bound of its own and of broken metadata; both are judged here.
        warnings.simplefilter("ignore")
        try:
            image = Image.open(io.BytesIO(data), formats=FORMATS)
        except UnidentifiedImageError as error:
            raise FieldError("This file is no picture that can be read. Use JPEG, PNG, TIFF, HEIC or WebP.") from error
        except (OSError, ValueError, SyntaxError, RuntimeError, Image.DecompressionBombError) as error:
            raise FieldError("This file is damaged or far too large. Use the photo as the camera made it.") from error
        if image.width * image.height > MAX_PIXELS:
            raise FieldError(
                f"The picture has {image.width * image.height / 1e6:.0f} million pixels; up to "
                f"{MAX_PIXELS // 1_000_000} million are read. Cut it into fields."
            )
        try:
            return _array(ImageOps.exif_transpose(image))
        except (OSError, ValueError, SyntaxError, RuntimeError, MemoryError) as error:
            raise FieldError("This picture is incomplete or damaged. Copy it from the camera again.") from error


def _array(image: Image.Image) -> Bytes:
    if image.mode in SIXTEEN_BITS:
        values = np.asarray(image, dtype=np.float64)
        low, high = float(values.min()), float(values.max())
        return np.asarray(np.rint((values - low) * (255 / max(high - low, 1e-9))), dtype=np.uint8)
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        on_white = Image.new("RGBA", image.size, "white")
        on_white.alpha_composite(image.convert("RGBA"))
        return np.asarray(on_white.convert("RGB"), dtype=np.uint8)
    return np.asarray(image.convert("L" if image.mode in ("1", "L") else "RGB"), dtype=np.uint8)
