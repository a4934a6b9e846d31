"""Is the photo good enough: sharpness on the subject, exposure, size of the subject, a reference. It never blocks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np

from fruitbody.examine.photo.picture import Picture

BLURRED, SOFT = 0.24, 0.36  # shares of fine detail: start values, tried on scenes with and without blur, not calibrated
SMALL: Final = 0.02  # of the picture, below which the subject is far away
PATCH_PX: Final = 560

Box = tuple[int, int, int, int]


@dataclass(frozen=True, slots=True)
class Quality:
    """sharpness: 0 to 1; verdicts in words; subject_share: of the picture; sentences: what to do, empty when well."""

    sharpness: float
    sharp: str
    exposure: str
    clipped: float
    dark: float
    subject_share: float
    sentences: tuple[str, ...]


def judge(picture: Picture, boxes: Sequence[Box], *, reference: bool) -> Quality:
    """Judge a photo on its subjects (x0, y0, x1, y1); on its middle where none was found."""
    box = max(boxes, key=_area) if boxes else _middle(picture)
    patch = _patch(picture, box)
    score = sharpness(patch)
    sharp = "blurred" if score < BLURRED else "soft" if score < SOFT else "sharp"
    clipped = float((patch.max(axis=2) >= 253).mean())
    dark = float((patch.max(axis=2) <= 28).mean())
    exposure = "too bright" if clipped > 0.12 else "too dark" if dark > 0.55 else "good"
    share = sum(_area(b) for b in boxes) / (picture.width * picture.height)
    said = []
    if sharp == "blurred":
        said.append("The mushroom is blurred. Hold still, tap on it to focus, and stay at least 15 cm away.")
    elif sharp == "soft":
        said.append("The mushroom is a little soft. If you can, take one more and tap on it to focus.")
    if exposure != "good":
        word = "bright: take it in the shade" if exposure == "too bright" else "dark: take it by a window or outdoors"
        said.append(f"The mushroom is too {word}, without flash.")
    if boxes and share < SMALL:
        said.append("The mushroom is small in the picture. Go nearer.")
    if not reference:
        said.append("No coin, ruler or card lies beside it, so we cannot tell its size.")
    return Quality(score, sharp, exposure, clipped, dark, share, tuple(said))


def sharpness(rgb: np.ndarray[tuple[int, ...], np.dtype[np.uint8]]) -> float:
    """Share of the edge contrast that a slight extra blur would take away: near 0 for a blurred picture.

    The re-blur idea of Crete et al. (2007), simplified: a sharp edge loses much by blur, a blurred one little. Only
    the strongest edges count, so that noise on plain parts does not pass for detail.
    """
    grey = cv2.GaussianBlur(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), (0, 0), 0.6).astype(np.float32)
    again = cv2.GaussianBlur(grey, (0, 0), 2.0)
    before = np.hypot(cv2.Sobel(grey, cv2.CV_32F, 1, 0), cv2.Sobel(grey, cv2.CV_32F, 0, 1))
    after = np.hypot(cv2.Sobel(again, cv2.CV_32F, 1, 0), cv2.Sobel(again, cv2.CV_32F, 0, 1))
    k = int(0.97 * before.size)
    strong = before >= np.partition(before, k, axis=None)[k]
    top = float(before[strong].mean())
    return max(0.0, 1.0 - float(after[strong].mean()) / top) if top > 4 else 0.0


def _area(box: Box) -> int:
    return max(0, box[2] - box[0]) * max(0, box[3] - box[1])


def _middle(picture: Picture) -> Box:
    w, h = picture.width, picture.height
    return w // 4, h // 4, 3 * w // 4, 3 * h // 4


def _patch(picture: Picture, box: Box) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    """The subject at full size, at most PATCH_PX each way from its middle: shrinking would hide the blur."""
    cx, cy = (box[0] + box[2]) // 2, (box[1] + box[3]) // 2
    half_x, half_y = min(PATCH_PX, box[2] - box[0]) // 2 + 8, min(PATCH_PX, box[3] - box[1]) // 2 + 8
    return picture.rgb[max(0, cy - half_y) : cy + half_y, max(0, cx - half_x) : cx + half_x]
