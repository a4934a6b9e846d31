"""What was burnt into a picture after it was taken: a scale bar and the lettering that goes with it."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.spores.bodies_found import LEAST_AREA
from fruitbody.examine.spores.field import Bytes, Contour, Field

PRINTED: Final = "printed on the picture: a scale bar or lettering"

FLAT = 8
"""Grey values: spread within anything printed, with room for JPEG."""

MOST_INK = 0.05
"""Print covers less of a picture than this; more of one extreme value is clipped light or a mask."""


def printed(picture: Bytes, field: Field) -> NDArray[np.bool_]:
    """Which bodies (contours of at least LEAST_AREA, in order) have print on them.

    There must be a bar: level or upright, straight-edged, all of the darkest or all of the brightest value of the
    picture; then everything else of that value is lettering. Without a bar nothing is print: black spores are flat too.
    """
    contours = [c for c in field.contours if cv2.contourArea(c) >= LEAST_AREA]
    found = np.zeros(len(contours), dtype=np.bool_)
    grey = picture if picture.ndim == 2 else np.asarray(cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY), dtype=np.uint8)
    for ink in (grey <= int(grey.min()) + FLAT, grey >= int(grey.max()) - FLAT):
        if ink.mean() < MOST_INK and _has_bar(ink.astype(np.uint8)):
            h, w = field.mask.shape
            small = cv2.resize(ink.astype(np.float32), (w, h), interpolation=cv2.INTER_AREA) > 0.3
            found |= np.array([_inked(small, contour) for contour in contours], dtype=np.bool_)
    return found


def _has_bar(ink: Bytes) -> bool:
    """Whether one connected piece of ink is a filled upright rectangle at least four times as long as broad."""
    _, _, stats, _ = cv2.connectedComponentsWithStats(ink, connectivity=4)
    width, height, area = stats[1:, [cv2.CC_STAT_WIDTH, cv2.CC_STAT_HEIGHT, cv2.CC_STAT_AREA]].T.astype(np.float64)
    long, broad = np.maximum(width, height), np.minimum(width, height)
    bar = (long >= 4 * broad) & (broad >= 2) & (long >= 0.02 * max(ink.shape)) & (area >= 0.93 * long * broad)
    return bool(bar.any())


def _inked(ink: NDArray[np.bool_], contour: Contour) -> bool:
    x, y, w, h = cv2.boundingRect(contour)
    body = np.zeros((h, w), dtype=np.uint8)
    cv2.drawContours(body, [contour], -1, 1, thickness=cv2.FILLED, offset=(-x, -y))
    return bool(np.count_nonzero(ink[y : y + h, x : x + w] & (body > 0)) >= 6)
