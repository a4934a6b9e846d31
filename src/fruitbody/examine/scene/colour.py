"""sRGB, linear light and CIELAB for materials. Constants: IEC 61966-2-1 (sRGB) and CIE 15 (L*a*b*, D65, 2 degrees)."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.floating[Any]]
RGB = tuple[int, int, int]

# Linear sRGB to CIE XYZ for D65, as tabled in IEC 61966-2-1.
_TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])


def decode(code: npt.ArrayLike) -> Floats:
    """Linear light 0..1 of sRGB code values 0..255 (any shape)."""
    v = np.asarray(code, dtype=np.float64) / 255.0
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)


def encode(linear: Floats) -> Floats:
    """sRGB code values 0..255 (not yet rounded) of linear light; values outside 0..1 are clipped first."""
    v = np.clip(linear, 0.0, 1.0)
    return np.where(v <= 0.0031308, 12.92 * v, 1.055 * v ** (1 / 2.4) - 0.055) * 255.0


def lab(code: RGB) -> tuple[float, float, float]:
    """CIELAB of an sRGB colour; the white is the matrix's own white, so that greys come out with a = b = 0."""
    ratio = (_TO_XYZ @ decode(code)) / _TO_XYZ.sum(axis=1)
    f = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio / (3 * (6 / 29) ** 2) + 4 / 29)
    return float(116 * f[1] - 16), float(500 * (f[0] - f[1])), float(200 * (f[1] - f[2]))


def linear(code: RGB) -> Floats:
    """Linear light of one colour as float32, the renderer's working type."""
    return decode(code).astype(np.float32)
