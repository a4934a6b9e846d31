"""From a photo's bytes to upright sRGB codes fit for measuring colour. What would shift colours unseen is refused."""

from __future__ import annotations

import io
import warnings

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageCms, ImageOps

from fruitbody.examine.colour.spaces import ColourError
from fruitbody.examine.photo.intake import open_checked

Pixels = npt.NDArray[np.uint8]
"""(height, width, 3) sRGB codes; the centre of the upper left pixel is (0, 0)."""

_PNG_DEPTH_AT = 24  # the byte of a PNG's header that says how many bits a channel has


def read_pixels(data: bytes) -> Pixels:
    """The photo at full size, upright, its colour profile brought to sRGB.

    Raises PhotoRefused for what is no photo, and ColourError where its colours cannot be relied on: printing colours
    (CMYK), 16 bits a channel, black and white, a palette or an animation.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of broken metadata, which says nothing about colour
        image = open_checked(data)
        _check(image, data)
        try:
            image.load()
            upright = ImageOps.exif_transpose(image)
        except (OSError, ValueError, SyntaxError, RuntimeError, MemoryError) as error:
            raise ColourError("This photo arrived incomplete or damaged. Send it again.") from error
        if upright.mode == "RGBA":
            white = Image.new("RGBA", upright.size, "white")
            white.alpha_composite(upright)
            return np.array(white.convert("RGB"))
        return np.array(_srgb(upright))


def _check(image: Image.Image, data: bytes) -> None:
    if getattr(image, "is_animated", False) and image.format in ("PNG", "WEBP"):
        raise ColourError("This is an animation, not a photo. Send one single photo.")
    if image.mode == "CMYK":
        raise ColourError(
            "This picture is in printing colours (CMYK), which depend on a press. Send the photo as the camera made it."
        )
    if image.mode.startswith("I") or (image.format == "PNG" and data[_PNG_DEPTH_AT] == 16):
        raise ColourError("This picture has 16 bits a channel; we measure 8-bit sRGB. Save it as JPEG and send that.")
    if image.mode in ("L", "LA", "1"):
        raise ColourError("This picture is black and white, so it shows no colour. Send a colour photo.")
    if image.mode not in ("RGB", "RGBA"):
        raise ColourError("The colours of this picture were reduced to a palette. Send the photo itself, as JPEG.")


def _srgb(image: Image.Image) -> Image.Image:
    """Phones write wider colour spaces with a profile; without bringing it over, every colour shifts."""
    profile = image.info.get("icc_profile")
    if not profile:
        return image
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        converted = ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB"), outputMode="RGB")
    except (ImageCms.PyCMSError, OSError, ValueError):
        return image  # a broken profile says nothing; the pixels still do
    return image if converted is None else converted
