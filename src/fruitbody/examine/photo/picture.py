"""A photo opened for measuring: pixels upright at full size, what the camera wrote, and what is odd about the file.

Sizes are measured on the pixels as they came, not on the stored copy. What would make a scale wrong without anybody
noticing (a panorama, a crop, a screenshot) is found here and said in a sentence.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass, field
from typing import Any, Final, cast

import cv2
import numpy as np
import numpy.typing as npt
from PIL import ExifTags, Image

from fruitbody.examine.photo.budget import Lens, lens_of
from fruitbody.examine.photo.intake import PhotoRefused, camera_of, exif_of, exif_part, open_checked, plain_number

Pixels = npt.NDArray[np.uint8]

PANORAMA_RATIO: Final = 2.4  # longer than any single frame of a usual camera, its wide crop (21:9) included
COARSE_PX: Final = 950  # longest side of the copy that is kept for making smaller ones, at least
_BAND: Final = 0.03  # share of the height that a bar of a screen takes at least

SAID: Final = {
    "screenshot": "This looks like a screenshot, so what the camera knew is lost and the distance is only guessed. "
    "Send the photo itself.",
    "panorama": "This is a panorama: no one scale holds across it, so nothing is measured on it. Send a single photo.",
    "cropped": "The photo was cropped or zoomed after it was taken, so the distance is only guessed. Send the whole "
    "photo as the camera made it.",
    "no focal length": "The photo does not say with which focal length it was taken (chat programs remove that), so "
    "the distance is only guessed. Lay the reference at the height of the part, or send the original file.",
    "cmyk": "The photo is in printing colours (CMYK); sizes are measured, but its colours cannot be relied on.",
    "16-bit": "The photo has 16 bits a channel; it is measured on a copy of 8 bits.",
    "turned": "The photo was turned upright by {degrees} degrees, as the camera noted.",
}


@dataclass(frozen=True, slots=True)
class Picture:
    """rgb: (height, width, 3) sRGB codes, upright. f35_mm: as the camera wrote it. odd: keys of `SAID` that hold."""

    rgb: Pixels
    f35_mm: float | None = None
    odd: tuple[str, ...] = ()
    turned_deg: int = 0
    _kept: dict[int, Pixels] = field(default_factory=dict, compare=False, repr=False)

    @property
    def width(self) -> int:
        return int(self.rgb.shape[1])

    @property
    def height(self) -> int:
        return int(self.rgb.shape[0])

    @property
    def lens(self) -> Lens:
        void = any(key in self.odd for key in ("screenshot", "cropped", "panorama"))
        return lens_of(self.f35_mm, self.width, self.height, void=void)

    @property
    def warnings(self) -> tuple[str, ...]:
        """A sentence for each oddity."""
        return tuple(SAID[key].format(degrees=self.turned_deg) for key in self.odd)

    def reduced(self, longest: int) -> tuple[Pixels, float]:
        """A copy at most `longest` pixels long, averaged over areas, and its size over that of the picture.

        Small copies are made from one a whole number of times smaller, which is kept: averaging is dear only once.
        """
        side = max(self.width, self.height)
        factor = longest / side
        if factor >= 1:
            return self.rgb, 1.0
        size = (max(1, round(self.width * factor)), max(1, round(self.height * factor)))
        source = self._coarse() if 1.15 * longest < side // self._step else self.rgb
        return cast(Pixels, cv2.resize(source, size, interpolation=cv2.INTER_AREA)), factor

    @property
    def _step(self) -> int:
        return max(1, max(self.width, self.height) // COARSE_PX)

    def _coarse(self) -> Pixels:
        step = self._step
        if step == 1:
            return self.rgb
        if step not in self._kept:
            h, w = self.height // step * step, self.width // step * step
            # Rows and columns beyond the last whole block are less than a pixel of the copy.
            size = (w // step, h // step)
            self._kept[step] = cast(Pixels, cv2.resize(self.rgb[:h, :w], size, interpolation=cv2.INTER_AREA))
        return self._kept[step]


def open_picture(data: bytes) -> Picture:
    """Decode a photo for measuring. Raises PhotoRefused, with a sentence, for what is no single whole photo."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # broken metadata; judged here
        image = open_checked(data)
        if image.format in ("PNG", "WEBP") and getattr(image, "is_animated", False):
            raise PhotoRefused("This is an animation, not a photo. Send one single photo.")
        exif = exif_of(image)
        odd = _oddities(image, exif)
        mode, deep = image.mode, _deep(image)
        rgb = _plain_jpeg(data, image)
        rgb = _pixels(image) if rgb is None else rgb
        rgb, turned = _upright(rgb, exif)
        if _banded(rgb) and "no focal length" in odd:
            odd = ["screenshot", *(key for key in odd if key != "no focal length")]
    odd += [key for key, holds in (("cmyk", mode == "CMYK"), ("16-bit", deep)) if holds]
    return Picture(rgb, camera_of(exif).f35_mm, tuple(odd + (["turned"] if turned else [])), turned)


def _oddities(image: Image.Image, exif: Image.Exif) -> list[str]:
    inner = exif_part(exif, ExifTags.IFD.Exif)
    written = " ".join(str(inner.get(tag, "")) for tag in (ExifTags.Base.UserComment,)).lower()
    about = str(image.info.get("xmp", b"")[:20_000]).lower() + written
    odd = []
    if "gpano:" in about or max(image.size) > PANORAMA_RATIO * min(image.size):
        odd.append("panorama")
    if "screenshot" in about:
        odd.append("screenshot")
    elif camera_of(exif).f35_mm is None:
        odd.append("no focal length")
    elif _cropped(image, inner):
        odd.append("cropped")
    return odd


def _cropped(image: Image.Image, inner: Any) -> bool:
    """Digital zoom, or another shape than the camera wrote. A plain resize keeps the angle of view and is no crop."""
    zoom = plain_number(inner.get(ExifTags.Base.DigitalZoomRatio)) or 1.0
    wide, high = (plain_number(inner.get(tag)) for tag in (ExifTags.Base.ExifImageWidth, ExifTags.Base.ExifImageHeight))
    if zoom > 1.01:
        return True
    if not wide or not high:
        return False
    then, now = max(wide, high) / min(wide, high), max(image.size) / min(image.size)
    return abs(then / now - 1) > 0.01


def _deep(image: Image.Image) -> bool:
    """Before decoding: afterwards a colour picture of 16 bits is one of 8."""
    raw = " ".join(str(part) for tile in getattr(image, "tile", []) for part in tile[3:])
    return image.mode.startswith("I") or image.mode == "F" or ";16" in raw


def _plain_jpeg(data: bytes, image: Image.Image) -> Pixels | None:
    """An ordinary JPEG decoded without the copies of the general way; None for any other, or one without its end."""
    if image.format != "JPEG" or image.mode != "RGB" or not data.endswith(b"\xff\xd9"):
        return None
    flags = cv2.IMREAD_COLOR_RGB | cv2.IMREAD_IGNORE_ORIENTATION
    rgb = cv2.imdecode(np.frombuffer(data, np.uint8), flags)
    return cast(Pixels, rgb) if rgb is not None and rgb.shape[1::-1] == image.size else None


def _pixels(image: Image.Image) -> Pixels:
    """sRGB codes; wider colour spaces are left as they are, since edges do not depend on them."""
    try:
        image.load()
        if image.mode.startswith("I") or image.mode == "F":
            grey = np.asarray(image, dtype=np.float64)
            top = 65535.0 if grey.max() > 255 else 255.0
            return np.repeat((grey / top * 255).clip(0, 255).astype(np.uint8)[..., None], 3, axis=2)
        if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
            white = Image.new("RGBA", image.size, "white")
            white.alpha_composite(image.convert("RGBA"))
            image = white
        return np.asarray(image if image.mode == "RGB" else image.convert("RGB"))
    except (OSError, ValueError, SyntaxError, RuntimeError, MemoryError) as error:
        raise PhotoRefused("This photo arrived incomplete or damaged. Send it again.") from error


def _upright(rgb: Pixels, exif: Image.Exif) -> tuple[Pixels, int]:
    """Turn (and mirror) the pixels as the camera noted; degrees clockwise."""
    note = exif.get(ExifTags.Base.Orientation, 1)
    if note not in range(2, 9):
        return rgb, 0
    if note in (2, 4, 5, 7):
        rgb = rgb[:, ::-1]
    turns = {3: 2, 4: 2, 5: 1, 6: 3, 7: 3, 8: 1}.get(note, 0)  # np.rot90 counts against the clock
    return np.ascontiguousarray(np.rot90(rgb, turns)), (-90 * turns) % 360


def _banded(rgb: Pixels) -> bool:
    """Whether plain bars run along the upper and lower edge, as on a screen."""
    n = max(4, round(_BAND * rgb.shape[0]))
    step = max(1, rgb.shape[1] // 200)
    ends = (rgb[:n, ::step].astype(np.float64), rgb[-n:, ::step].astype(np.float64))
    return all(float(end.std(axis=(0, 1)).max()) < 1.5 for end in ends)
