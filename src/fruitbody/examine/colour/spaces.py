"""sRGB, linear light, XYZ, CIELAB and CIELCh. The one place where colours are converted.

    ColourError    a colour that cannot be used as it stands; a sentence that says what to do

sRGB by IEC 61966-2-1:1999; CIELAB and CIELCh by CIE 15:2004, illuminant D65, 2° observer. The white is the sum of each
row of the standard's matrix, (0.9505, 1, 1.0890), so that greys come out with a = b = 0. Arrays hold a colour in the
last axis; any shape before it.
"""

from __future__ import annotations

import re
from typing import Any, Final

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.floating[Any]]
RGB = tuple[int, int, int]
Lab = tuple[float, float, float]


class ColourError(ValueError):
    """A colour, patch or code that cannot be used. The message is a sentence that says what to do."""


TO_XYZ: Final = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
"""Linear sRGB to CIE XYZ for D65, as tabled in IEC 61966-2-1."""
WHITE: Final = TO_XYZ.sum(axis=1)
"""XYZ of the white."""
_FROM_XYZ: Final = np.linalg.inv(TO_XYZ)
_KNEE: Final = 6 / 29  # CIE 15: below its cube the root gives way to a straight line


def decode(code: npt.ArrayLike) -> Floats:
    """Linear light 0..1 of sRGB code values 0..255 (any shape)."""
    v = np.asarray(code, dtype=np.float64) / 255.0
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)


def encode(linear: Floats) -> Floats:
    """sRGB code values 0..255 (not yet rounded) of linear light; values outside 0..1 are clipped first."""
    v = np.clip(linear, 0.0, 1.0)
    return np.where(v <= 0.0031308, 12.92 * v, 1.055 * v ** (1 / 2.4) - 0.055) * 255.0


def lab_of_linear(linear: npt.ArrayLike) -> Floats:
    """CIELAB (..., 3) of linear sRGB (..., 3); values below 0 or above 1 are allowed and not clipped."""
    ratio = np.asarray(linear, dtype=np.float64) @ TO_XYZ.T / WHITE
    f = np.where(ratio > _KNEE**3, np.cbrt(ratio), ratio / (3 * _KNEE**2) + 4 / 29)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def linear_of_lab(lab: npt.ArrayLike) -> Floats:
    """Linear sRGB (..., 3) of CIELAB (..., 3). Colours that no screen shows lie outside 0..1."""
    v = np.asarray(lab, dtype=np.float64)
    y = (v[..., 0] + 16) / 116
    f = np.stack([y + v[..., 1] / 500, y, y - v[..., 2] / 200], axis=-1)
    ratio = np.where(f > _KNEE, f**3, 3 * _KNEE**2 * (f - 4 / 29))
    return np.asarray(ratio * WHITE @ _FROM_XYZ.T, dtype=np.float64)


def lab_of_srgb(code: npt.ArrayLike) -> Floats:
    """CIELAB (..., 3) of sRGB codes 0..255 (..., 3)."""
    return lab_of_linear(decode(code))


def srgb_of_lab(lab: npt.ArrayLike) -> npt.NDArray[np.uint8]:
    """The nearest sRGB codes (..., 3) by clipping each channel; see `shown` for whether it is the same colour."""
    return np.rint(encode(linear_of_lab(lab))).astype(np.uint8)


def shown(lab: npt.ArrayLike) -> npt.NDArray[np.bool_]:
    """Whether a screen (sRGB) can show the colour, within half a code."""
    light = linear_of_lab(lab)
    return np.asarray(((light > -1.6e-4) & (light < 1.005)).all(axis=-1))


def lch_of_lab(lab: npt.ArrayLike) -> Floats:
    """Lightness, chroma and hue angle (degrees, 0 to below 360, from +a towards +b)."""
    v = np.asarray(lab, dtype=np.float64)
    hue = np.degrees(np.arctan2(v[..., 2], v[..., 1])) % 360
    return np.stack([v[..., 0], np.hypot(v[..., 1], v[..., 2]), hue], axis=-1)


def lab_of_lch(lch: npt.ArrayLike) -> Floats:
    """CIELAB of lightness, chroma and hue angle in degrees."""
    v = np.asarray(lch, dtype=np.float64)
    hue = np.radians(v[..., 2])
    return np.stack([v[..., 0], v[..., 1] * np.cos(hue), v[..., 1] * np.sin(hue)], axis=-1)


def slopes(linear: npt.ArrayLike) -> Floats:
    """d(L, a, b) / d ln(R, G, B) of one colour, (3, 3): how relative errors of the light move the colour."""
    light = np.maximum(np.asarray(linear, dtype=np.float64), 1e-5)
    step = 1e-4
    return np.stack(
        [
            (lab_of_linear(light * np.exp(step * axis)) - lab_of_linear(light * np.exp(-step * axis))) / (2 * step)
            for axis in np.eye(3)
        ],
        axis=1,
    )


def parse_hex(text: str) -> RGB:
    """sRGB codes of "#RRGGBB" (the # may be left out, and capitals do not matter). Raises ColourError."""
    match = re.fullmatch(r"#?([0-9a-fA-F]{6})", text.strip())
    if match is None:
        raise ColourError(
            f"“{text}” is no colour code. Write # and six digits from 0 to 9 and A to F, such as #B5763A."
        )
    red, green, blue = bytes.fromhex(match[1])
    return red, green, blue


def check_lab(lab: tuple[float, ...]) -> Lab:
    """Three numbers within CIELAB. Raises ColourError for what cannot be."""
    if len(lab) != 3 or not all(np.isfinite(v) for v in lab):
        raise ColourError("A colour in CIELAB has three numbers, L, a and b, such as 54,21,38.")
    if not 0 <= lab[0] <= 100:
        raise ColourError(
            f"L is {lab[0]:g}, but lightness runs from 0 (black) to 100 (white). Check the order: L, a, b."
        )
    for name, value in zip("ab", lab[1:], strict=True):
        if not -128 <= value <= 128:
            raise ColourError(f"{name} is {value:g}; no colour lies outside −128 to 128. Check the order: L, a, b.")
    return float(lab[0]), float(lab[1]), float(lab[2])
