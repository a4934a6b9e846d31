"""The colour of a round patch of a photo: mean in linear light, spread within, glare and shadow left out, uncertainty.

The mean is one of light, so it is taken before encoding. The uncertainty is that of the part's own colour, and nearly
all of it comes from the light: how strong and how warm it was, and how the surface faced it. It is kept as a covariance
of ln R, G, B and carried to L, a, b by the slopes of the conversion, so that a dim patch is known to be off along the
line to black and not in hue. How wide each part is taken stands in correction.py.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import numpy.typing as npt

from fruitbody.examine.colour.correction import FLAT, NONE, ROUNDED, Correction, Sample
from fruitbody.examine.colour.pixels import Pixels
from fruitbody.examine.colour.spaces import ColourError, Floats, Lab, decode, lab_of_linear, slopes

LEAST_RADIUS_PX: Final = 2.0
TONE_FLOOR: Final = (2.0, 1.5, 1.5)
"""Standard uncertainty of L, a, b left by the phone's own rendering, even where white is right (chosen by us)."""
TONE_CHROMA: Final = 0.11
"""… and of chroma, relative: phones strengthen or mute colours by scene (chosen by us)."""
_CLIPPED: Final = 10.0  # units of L, a, b for a patch that is clipped all over
_BLOCK: Final = 16  # neighbouring pixels of a JPEG share their colour; so many count as one
_BRIGHT, _DARK = 254, 1  # codes at and beyond which a channel may be cut off
_TRIM_LEAST: Final = 0.18  # ln of luminance: nothing nearer to the median is glare or shadow

TONE_MAPPED: Final = (
    "Phones change contrast and colour from scene to scene, so a photo's colour weighs less than a trained eye's word."
)


@dataclass(frozen=True, slots=True)
class Disc:
    """A round patch in a photo: centre (x, y) and radius, pixels."""

    x: float
    y: float
    r: float


@dataclass(frozen=True, slots=True)
class Measured:
    """A measured colour.

    lab: CIELAB (D65, 2°); covariance: of that value, (3, 3), standard; spread: covariance of the pixels' own colours
    within the patch, (3, 3). pixels, used, glare, shadow: counts. correction: none, white, grey or card.
    """

    lab: Lab
    covariance: Floats
    spread: Floats
    pixels: int
    used: int
    glare: int
    shadow: int
    correction: str
    warnings: tuple[str, ...] = ()

    @property
    def expanded(self) -> Lab:
        """Expanded uncertainty (k = 2) of L, a and b."""
        lightness, a, b = 2 * np.sqrt(np.diag(self.covariance))
        return float(lightness), float(a), float(b)

    @property
    def u(self) -> float:
        """One standard uncertainty per axis, the root mean square of the three; what `Soft.lab_uncertainty` takes."""
        return float(math.sqrt(np.trace(self.covariance) / 3))


def sample(pixels: Pixels, disc: Disc, *, what: str = "patch") -> Sample:
    """The light of a disc. what: how a sentence calls it. Raises ColourError outside the photo or for a tiny disc."""
    codes = _inside(pixels, disc, what)
    light = decode(codes)
    bright = np.log(np.maximum(light @ np.array([0.2126, 0.7152, 0.0722]), 1e-4))
    middle = float(np.median(bright))
    limit = max(3 * 1.4826 * float(np.median(np.abs(bright - middle))), _TRIM_LEAST)
    glare, shadow = bright > middle + limit, bright < middle - limit
    keep = ~(glare | shadow)
    lab = lab_of_linear(light[keep])
    return Sample(
        light=light[keep].mean(axis=0),
        spread=np.cov(lab.T, bias=True),
        pixels=len(codes),
        used=int(keep.sum()),
        glare=int(glare.sum()),
        shadow=int(shadow.sum()),
        burnt=(codes[keep] >= _BRIGHT).mean(axis=0),
        black=(codes[keep] <= _DARK).mean(axis=0),
    )


def measure(pixels: Pixels, disc: Disc, correction: Correction = NONE, *, flat: bool = False) -> Measured:
    """The colour of a patch with the light taken out by `correction`.

    flat: the patch lies flat beside the reference, as a print on paper does; a cap may face the light otherwise.
    Raises ColourError as `sample`.
    """
    taken = sample(pixels, disc)
    light = taken.light @ correction.matrix.T
    lab = lab_of_linear(light)
    doubt = correction.doubt + (FLAT if flat else ROUNDED) ** 2 * np.ones((3, 3))
    slope = slopes(light)
    clipped = float(max(taken.burnt.max(), taken.black.max()))
    covariance = (
        slope @ doubt @ slope.T
        + np.diag(np.square(TONE_FLOOR))
        + np.square(TONE_CHROMA) * np.outer([0, lab[1], lab[2]], [0, lab[1], lab[2]])
        + taken.spread * _BLOCK / max(taken.used, _BLOCK)
        + np.square(_CLIPPED * min(1.0, 2 * clipped)) * np.eye(3)
    )
    value = (float(min(max(lab[0], 0.0), 100.0)), float(lab[1]), float(lab[2]))
    found = Measured(
        lab=value,
        covariance=covariance,
        spread=taken.spread,
        pixels=taken.pixels,
        used=taken.used,
        glare=taken.glare,
        shadow=taken.shadow,
        correction=correction.kind,
    )
    said = (*correction.warnings, *_warnings(taken, lightness=float(lab[0])), *_unknown_light(found), TONE_MAPPED)
    return replace(found, warnings=said)


def _inside(pixels: Pixels, disc: Disc, what: str) -> npt.NDArray[np.uint8]:
    """Codes (n, 3) of the pixels whose centres lie within the disc."""
    height, width = pixels.shape[:2]
    if not all(math.isfinite(v) for v in (disc.x, disc.y, disc.r)):
        raise ColourError(f"The {what} needs three numbers: x, y and radius in pixels.")
    if disc.r < LEAST_RADIUS_PX:
        raise ColourError(
            f"The {what} has a radius of {disc.r:g} pixels; at least {LEAST_RADIUS_PX:g} are needed. Draw it larger."
        )
    if (
        disc.x - disc.r < -0.5
        or disc.y - disc.r < -0.5
        or disc.x + disc.r > width - 0.5
        or disc.y + disc.r > height - 0.5
    ):
        raise ColourError(
            f"The {what} at {disc.x:g}, {disc.y:g} with radius {disc.r:g} reaches out of the photo, which is {width} × "
            f"{height} pixels. Move it inside."
        )
    x0, y0 = math.ceil(disc.x - disc.r), math.ceil(disc.y - disc.r)
    box = pixels[y0 : math.floor(disc.y + disc.r) + 1, x0 : math.floor(disc.x + disc.r) + 1]
    y, x = np.ogrid[y0 : y0 + box.shape[0], x0 : x0 + box.shape[1]]
    return box[(x - disc.x) ** 2 + (y - disc.y) ** 2 <= disc.r**2]


def _warnings(taken: Sample, *, lightness: float) -> list[str]:
    """Sentences about the patch itself."""
    said = []
    for name, burnt, black in zip(("red", "green", "blue"), taken.burnt, taken.black, strict=True):
        for share, end in ((burnt, "brightest"), (black, "darkest")):
            if share > 0.01:
                said.append(
                    f"In {100 * share:.0f} % of the patch the {name} channel is cut off at its {end} end, so the "
                    "colour is only roughly right. Choose a place with better light."
                )
    left_out = (taken.glare + taken.shadow) / taken.pixels
    if left_out > 0.25:
        said.append(f"{100 * left_out:.0f} % of the patch was glare or shadow and left out. Choose a more even place.")
    if math.sqrt(float(np.linalg.eigvalsh(taken.spread)[-1])) > 10:
        said.append(
            "The patch holds more than one colour; the value is their mean. Choose a smaller or more even place."
        )
    if lightness > 100.5:
        said.append("The patch is brighter than the white it was compared with: glare, or the white lay in shade.")
    return said


def _unknown_light(found: Measured) -> list[str]:
    """What a photo without a white or card leaves open, in numbers."""
    if found.correction not in ("none", "grey"):
        return []
    lost = "strong or how warm" if found.correction == "none" else "strong"
    lightness, a, b = found.expanded
    return [
        f"Nothing in the photo says how {lost} the light was, so the colour is known to ± {lightness:.0f} in L, "
        f"± {a:.0f} in a and ± {b:.0f} in b only. Mark a white place, or use the card."
    ]
