"""From outlines to first ellipses: which bodies are worth a close look, and which are plainly something else."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.spores.field import Contour, Field
from fruitbody.examine.spores.profiles import Ellipses

CUT_OFF: Final = "cut off by the edge of the picture"
TOUCHING: Final = "touches or overlaps another body"
LONG: Final = "a hypha or another long body"
DEBRIS: Final = "debris: the outline is no spore's"

LEAST_AREA = 40.0
"""Working pixels. Smaller ones are specks: nobody could measure them."""

SOLID = 0.9
"""Least share of its convex hull that a single body fills; clumps, hyphae and flakes are hollow at the side."""

LONGEST = 7.0
"""Longest body, length over width, that is looked at as a spore."""


@dataclass(frozen=True, slots=True)
class Outlines:
    """n bodies: first ellipses at full size, area in full pixels, and the reason against each, or ''."""

    first: Ellipses
    area: NDArray[np.float64]
    reasons: tuple[str, ...]


def outlines(field: Field) -> Outlines:
    """A first ellipse for every body that is no speck, with what speaks against it at first sight."""
    rows, areas, reasons = [], [], []
    solids = [area for c in field.contours if (area := cv2.contourArea(c)) > LEAST_AREA and _solidity(c) > SOLID]
    usual = float(np.median(solids)) if solids else 0.0
    height, width = field.mask.shape
    for contour in field.contours:
        area = cv2.contourArea(contour)
        if area < LEAST_AREA:
            continue
        rows.append(_ellipse(contour, field.scale))
        areas.append(area / field.scale**2)
        reasons.append(_at_first_sight(contour, (width, height), usual))
    table = np.array(rows, dtype=np.float64).reshape(-1, 5).T
    return Outlines(Ellipses(*table), np.array(areas), tuple(reasons))


def _ellipse(contour: Contour, scale: float) -> tuple[float, float, float, float, float]:
    """(x, y, a, b, angle) of the ellipse with the same moments, in full pixels, less the mask's skirt."""
    m = cv2.moments(contour)
    x, y = m["m10"] / m["m00"], m["m01"] / m["m00"]
    xx, yy, xy = (m[key] / m["m00"] for key in ("mu20", "mu02", "mu11"))
    middle, half = (xx + yy) / 2, math.hypot((xx - yy) / 2, xy)
    a, b = 2 * math.sqrt(max(middle + half, 1.0)), 2 * math.sqrt(max(middle - half, 0.25))
    skirt = min(1.5, b / 3)
    full = 1 / scale
    return (
        (x + 0.5) * full - 0.5, (y + 0.5) * full - 0.5, (a - skirt) * full, (b - skirt) * full,
        0.5 * math.atan2(2 * xy, xx - yy) % math.pi,
    )  # fmt: skip


def _at_first_sight(contour: Contour, size: tuple[int, int], usual: float) -> str:
    x, y, w, h = cv2.boundingRect(contour)
    if x <= 1 or y <= 1 or x + w >= size[0] - 1 or y + h >= size[1] - 1:
        return CUT_OFF
    (_, _), (d1, d2), _ = cv2.minAreaRect(contour)
    if max(d1, d2) > LONGEST * max(min(d1, d2), 1):
        return LONG
    if _solidity(contour) >= SOLID:
        return ""
    area, around = cv2.contourArea(contour), cv2.arcLength(contour, closed=True)
    side = math.sqrt(max(usual, 1.0))
    # A thread has a breadth of twice its area over its outline, whichever way it winds.
    if max(d1, d2) > 2.5 * side and 2 * area / around < 0.6 * side:
        return LONG
    return TOUCHING if usual and area > 1.35 * usual else DEBRIS


def _solidity(contour: Contour) -> float:
    hull = cv2.contourArea(cv2.convexHull(contour))
    return cv2.contourArea(contour) / hull if hull > 0 else 0.0
