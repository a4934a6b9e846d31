"""Pictures with known bodies, drawn in ways that have nothing to do with the project's optical model."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def drawn_ellipses(
    length: float,
    width: float,
    *,
    blur: float = 1.0,
    field: float = 200,
    ink: float = 120,
    line: float = 0.0,
    seed: int = 0,
) -> tuple[NDArray[np.uint8], Array]:
    """30 ellipses on a grid, at 4 × 4 samples per pixel, blurred and with noise of 3; line: only a rim of this breadth.

    Returns the picture and their (x, y, length, width), [30, 4].
    """
    rng = np.random.default_rng(seed)
    picture, truth = np.full((1200, 1600), field, dtype=np.float64), []
    for i in range(30):
        x, y = 190 + i % 6 * 240 + rng.uniform(-20, 20), 170 + i // 6 * 210 + rng.uniform(-20, 20)
        own = length * rng.normal(1, 0.05), width * rng.normal(1, 0.05)
        half = int(length) + 20
        x0, y0 = int(x) - half, int(y) - half
        cover = _cover((x - x0, y - y0), own, rng.uniform(0, np.pi), size=2 * half, line=line)
        cover = cv2.GaussianBlur(cover, (0, 0), blur) if blur else cover
        picture[y0 : y0 + 2 * half, x0 : x0 + 2 * half] += (ink - field) * cover
        truth.append((x, y, *own))
    picture += rng.normal(0, 3, picture.shape)
    return np.clip(np.rint(picture), 0, 255).astype(np.uint8), np.array(truth)


def _cover(at: tuple[float, float], axes: tuple[float, float], angle: float, *, size: int, line: float) -> Array:
    fine = np.arange(size * 4) / 4 + 0.125 - 0.5
    xx, yy = np.meshgrid(fine - at[0], fine - at[1])
    u, v = xx * np.cos(angle) + yy * np.sin(angle), yy * np.cos(angle) - xx * np.sin(angle)
    inside = np.hypot(u / (axes[0] / 2), v / (axes[1] / 2)) <= 1
    if line:
        inside &= np.hypot(u / (axes[0] / 2 - line), v / (axes[1] / 2 - line)) > 1
    return inside.reshape(size, 4, size, 4).mean(axis=(1, 3))


def with_scale_bar(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The picture with a black bar and '10 um' burnt into its lower right corner."""
    out = picture.copy()
    h, w = out.shape[:2]
    cv2.rectangle(out, (w - 330, h - 60), (w - 80, h - 48), (0, 0, 0), -1)
    cv2.putText(out, "10 um", (w - 290, h - 80), cv2.FONT_HERSHEY_SIMPLEX, 2.0, (0, 0, 0), 6)
    return out
