"""CIEDE2000: how far apart two colours look (CIE 142:2001; ISO/CIE 11664-6).

Written after the notes of Sharma, Wu and Dalal 2005, *Color Research and Application* 30: 21–30, whose 34 pairs catch
the usual mistakes about hue angles.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from fruitbody.examine.colour.spaces import Floats

_FAR = 25.0**7


def difference(first: npt.ArrayLike, second: npt.ArrayLike) -> Floats:
    """ΔE00 of CIELAB colours (..., 3), all three weights 1; shapes before the last axis are broadcast.

    About 1 is just seen side by side; 5 is seen apart; above 20 the colours have different plain names.
    """
    one, two = np.broadcast_arrays(np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64))
    chroma = (np.hypot(one[..., 1], one[..., 2]) + np.hypot(two[..., 1], two[..., 2])) / 2
    stretch = 1.5 - 0.5 * np.sqrt(chroma**7 / (chroma**7 + _FAR))
    c1, h1 = _polar(one, stretch)
    c2, h2 = _polar(two, stretch)
    turn, hue = _hues(h1, h2, grey=c1 * c2 == 0)
    mean_c = (c1 + c2) / 2
    light = (two[..., 0] - one[..., 0]) / _light_weight((one[..., 0] + two[..., 0]) / 2)
    strength = (c2 - c1) / (1 + 0.045 * mean_c)
    across = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn) / 2) / (1 + 0.015 * mean_c * _hue_weight(hue))
    rotate = 30 * np.exp(-(((hue - 275) / 25) ** 2))
    mixed = -np.sin(np.radians(2 * rotate)) * 2 * np.sqrt(mean_c**7 / (mean_c**7 + _FAR))
    # Rounding may leave a square a hair below zero for equal colours.
    square = light**2 + strength**2 + across**2 + mixed * strength * across
    return np.asarray(np.sqrt(np.maximum(square, 0.0)))


def _polar(lab: Floats, stretch: Floats) -> tuple[Floats, Floats]:
    """Chroma and hue angle (degrees, 0 for greys) with the a axis stretched."""
    a, b = lab[..., 1] * stretch, lab[..., 2]
    return np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360


def _hues(h1: Floats, h2: Floats, *, grey: npt.NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """Difference (−180 to 180) and mean of two hue angles the short way round; a grey has no hue of its own."""
    raw = h2 - h1
    turn = np.where(raw > 180, raw - 360, np.where(raw < -180, raw + 360, raw))
    total = h1 + h2
    mean = np.where(np.abs(raw) <= 180, total / 2, np.where(total < 360, total / 2 + 180, total / 2 - 180))
    return np.where(grey, 0.0, turn), np.where(grey, total, mean)


def _light_weight(mean: Floats) -> Floats:
    square = (mean - 50) ** 2
    return 1 + 0.015 * square / np.sqrt(20 + square)


def _hue_weight(hue: Floats) -> Floats:
    h = np.radians(hue)
    return np.asarray(
        1
        - 0.17 * np.cos(h - np.radians(30))
        + 0.24 * np.cos(2 * h)
        + 0.32 * np.cos(3 * h + np.radians(6))
        - 0.20 * np.cos(4 * h - np.radians(63))
    )
