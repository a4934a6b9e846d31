"""Colours of materials in the renderer's types; the conversions are those of `examine/colour/spaces.py`."""

from __future__ import annotations

import numpy as np

from fruitbody.examine.colour.spaces import RGB, Floats, decode, encode, lab_of_srgb

__all__ = ["RGB", "Floats", "decode", "encode", "lab", "linear"]


def lab(code: RGB) -> tuple[float, float, float]:
    """CIELAB of an sRGB colour."""
    lightness, a, b = lab_of_srgb(code)
    return float(lightness), float(a), float(b)


def linear(code: RGB) -> Floats:
    """Linear light of one colour as float32, the renderer's working type."""
    return decode(code).astype(np.float32)
