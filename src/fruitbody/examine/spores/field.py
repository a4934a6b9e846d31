"""The whole picture: one channel, light evened out, and the bodies in it as outlines without holes.

A hyaline spore is as bright inside as the field; only its rim tells. So bodies are found by how steeply the light
changes as well as by how far it lies from the field's, and their outlines are filled.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Bytes = NDArray[np.uint8]
Contour = NDArray[np.int32]

WORKING_PX = 2000
"""Bodies are looked for on a copy whose longer side has at most so many pixels; edges are measured at full size."""

LARGEST_HOLE = 0.2
"""Share of the picture up to which the inside of a closed line is a body's."""

NOISE_TIMES = 6.0
SHARE_OF_STRONG = 0.16
"""A pixel belongs to a body above so many times the noise, and above this share of what strong edges show."""


@dataclass(frozen=True, slots=True)
class Field:
    """light: intensity over that of the empty field minus 1, full size, float32 [height, width]; scale: working pixels
    per full pixel; contours: outer outlines of bodies in working pixels; noise: of `light`, full size; mask: bodies on
    the working copy, without holes; uneven: the field's own light, its bright parts over its dark ones."""

    light: Floats
    scale: float
    contours: tuple[Contour, ...]
    noise: float
    mask: NDArray[np.uint8]
    uneven: float

    @property
    def covered(self) -> float:
        """Share of the picture that is body and not field."""
        return float(np.count_nonzero(self.mask)) / self.mask.size


def read_field(picture: Bytes) -> Field:
    """The bodies in a picture [height, width] or [height, width, 3] (RGB), eight bits."""
    grey = telling_channel(picture)
    outside = surround(grey)
    light, uneven = evened(grey, outside)
    scale = min(1.0, WORKING_PX / max(light.shape))
    small = _smoothed(
        light if scale == 1 else cv2.resize(light, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    )
    inside = ~_as_large(outside, small.shape)
    steep, deviation = _steepness(small), np.abs(small)
    mask = (steep > _level(steep, inside)) | (deviation > max(_level(deviation, inside), 0.04))
    filled = _filled(_morphed((mask & inside).astype(np.uint8), cv2.MORPH_CLOSE))
    # Opening takes away threads and the bridges that halos build between neighbours.
    opened = _morphed(filled, cv2.MORPH_OPEN)
    contours, above = cv2.findContours(opened, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    outer = tuple(np.asarray(c, dtype=np.int32) for i, c in enumerate(contours) if above[0][i][3] < 0)
    return Field(light, scale, outer, noise_of(light), opened, uneven)


def telling_channel(picture: Bytes) -> Floats:
    """One channel as float32: red, green and blue weighed by how far their dark and bright ends lie apart.

    Brown spores speak in blue, stained ones in green, hyaline ones alike in all.
    """
    if picture.ndim == 2:
        return picture.astype(np.float32)
    sparse = picture[:: max(1, picture.shape[0] // 400), :: max(1, picture.shape[1] // 400)].reshape(-1, 3)
    low, middle, high = np.percentile(sparse, (2, 50, 98), axis=0)
    weight = np.maximum((high - low) / np.maximum(middle, 1), 0.01) ** 2
    mix = (weight / weight.sum()).astype(np.float32)
    return np.asarray(cv2.transform(picture.astype(np.float32), mix[None, :]), dtype=np.float32)


def surround(grey: Floats) -> NDArray[np.bool_]:
    """What lies outside the round field of an eyepiece, on a copy of at most 96 pixels a side, with a margin.

    Dark (under a third of the bright part), connected with the picture's edge; what it leaves is one rounded piece of
    more than a third of the picture. All false where there is none.
    """
    small = _copy(grey)
    dark = (small < 0.33 * np.percentile(small, 75)).astype(np.uint8)
    _, labels = cv2.connectedComponents(dark, connectivity=4)
    edge = np.unique(np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]]))
    found = (np.isin(labels, edge[edge > 0]) & (dark > 0)).astype(np.uint8)
    nothing = np.zeros(small.shape, dtype=np.bool_)
    if not 0.04 < found.mean() < 0.65:
        return nothing
    pieces, _ = cv2.findContours(1 - found, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    lit = max(pieces, key=cv2.contourArea)
    if cv2.contourArea(lit) < 0.93 * max(cv2.contourArea(cv2.convexHull(lit)), 0.9 * float((1 - found).sum())):
        return nothing
    return np.asarray(cv2.dilate(found, np.ones((7, 7), dtype=np.uint8)) > 0)


def evened(grey: Floats, outside: NDArray[np.bool_] | None = None) -> tuple[Floats, float]:
    """Intensity over the local field's, minus 1, and how uneven the field is (95th over 5th percentile).

    The field is the median over a quarter of the picture. outside: as `surround` finds it; it becomes 0.
    """
    small = np.clip(_copy(grey), 0, 255).astype(np.uint8)
    out = np.zeros(small.shape, dtype=np.bool_) if outside is None else outside
    if out.any():
        small[out] = np.median(small[~out])
    least = min(small.shape)
    middle = cv2.medianBlur(small, 31 if least > 31 else max(3, 2 * (least // 2) - 1))
    field = cv2.GaussianBlur(middle.astype(np.float32), (0, 0), 6)
    h, w = grey.shape
    full = cv2.resize(field, (w, h), interpolation=cv2.INTER_LINEAR)
    dark, bright = np.percentile(field, (5, 95))
    light = np.asarray(grey / np.maximum(full, 4.0) - 1, dtype=np.float32)
    if out.any():
        light[_as_large(out, grey.shape)] = 0
    return light, float(bright / max(dark, 1.0))


def _copy(grey: Floats) -> Floats:
    """A copy whose longer side has 96 pixels."""
    h, w = grey.shape
    share = 96 / max(h, w)
    size = (max(3, round(w * share)), max(3, round(h * share)))
    return np.asarray(cv2.resize(grey, size, interpolation=cv2.INTER_AREA), dtype=np.float32)


def _as_large(flags: NDArray[np.bool_], shape: tuple[int, ...]) -> NDArray[np.bool_]:
    large = cv2.resize(flags.astype(np.uint8), (shape[1], shape[0]), interpolation=cv2.INTER_NEAREST)
    return np.asarray(large > 0)


def noise_of(light: Floats) -> float:
    """Standard deviation of the noise of single pixels, from differences of next neighbours but one (robust)."""
    sparse = light[::2]
    return float(np.median(np.abs(sparse[:, 2:] - sparse[:, :-2]))) / 0.6745 / 2**0.5


def _smoothed(light: NDArray[Any]) -> Floats:
    return np.asarray(cv2.GaussianBlur(light, (0, 0), 1.0), dtype=np.float32)


def _steepness(small: Floats) -> Floats:
    dx = cv2.Scharr(small, cv2.CV_32F, 1, 0, scale=1 / 32)
    dy = cv2.Scharr(small, cv2.CV_32F, 0, 1, scale=1 / 32)
    return np.asarray(cv2.magnitude(dx, dy), dtype=np.float32)


def _level(values: Floats, inside: NDArray[np.bool_]) -> float:
    """Above the noise, and above a share of what the strong ones show; only of pixels inside the field."""
    sparse = values[::3, ::3][inside[::3, ::3]]
    middle = float(np.median(sparse))
    noise = NOISE_TIMES * middle / 1.1774 + 1e-4  # the median of a Rayleigh distribution is 1.1774 σ
    strong = sparse[sparse > noise]
    if strong.size < 20:
        return noise
    return max(noise * 0.6, SHARE_OF_STRONG * float(np.percentile(strong, 90)))


def _morphed(mask: Bytes, how: int) -> Bytes:
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (5, 5))
    return np.asarray(cv2.morphologyEx(mask, how, disc), dtype=np.uint8)


def _filled(mask: Bytes) -> Bytes:
    """Holes filled, but not those as large as a field: a ring round the whole picture is no body."""
    contours, above = cv2.findContours(mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_SIMPLE)
    out = mask.copy()
    holes = [c for i, c in enumerate(contours) if above[0][i][3] >= 0 and cv2.contourArea(c) < LARGEST_HOLE * mask.size]
    cv2.drawContours(out, holes, -1, 1, thickness=cv2.FILLED)
    return out
