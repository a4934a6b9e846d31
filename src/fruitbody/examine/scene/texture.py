"""Flat pictures in millimetres, kept at several sizes so that a far surface does not glitter."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np

from fruitbody.examine.scene.colour import Floats


@dataclass(frozen=True)
class Texture:
    """`levels[0]` is rows x columns x channels at `texel_mm`; each next level has half the size. Wraps if `repeat`."""

    levels: tuple[Floats, ...]
    texel_mm: float
    repeat: bool

    @classmethod
    def of(cls, picture: Floats, texel_mm: float, *, repeat: bool) -> Texture:
        """Build the smaller levels by averaging two by two."""
        levels = [np.ascontiguousarray(picture, dtype=np.float32)]
        while min(levels[-1].shape[:2]) >= 16:
            p = levels[-1][: levels[-1].shape[0] // 2 * 2, : levels[-1].shape[1] // 2 * 2]
            levels.append(np.ascontiguousarray((p[::2, ::2] + p[1::2, ::2] + p[::2, 1::2] + p[1::2, 1::2]) / 4))
        return cls(tuple(levels), texel_mm, repeat)

    def sample(self, x_mm: Floats, y_mm: Floats, pixel_mm: Floats) -> Floats:
        """Channels (n, c) at points measured from the corner, at the level whose texels come next below the pixel."""
        level = np.clip(np.log2(np.maximum(pixel_mm / self.texel_mm, 1e-3)), 0, len(self.levels) - 1).astype(np.int8)
        out = np.empty((x_mm.size, self.levels[0].shape[2]), dtype=np.float32)
        for k in np.unique(level):
            mask = level == k
            out[mask] = self._bilinear(self.levels[k], x_mm[mask], y_mm[mask], self.texel_mm * 2.0 ** int(k))
        return out

    def _bilinear(self, picture: Floats, x_mm: Floats, y_mm: Floats, texel: float) -> Floats:
        rows, columns, channels = picture.shape
        x, y = x_mm / texel - 0.5, y_mm / texel - 0.5
        if not self.repeat:
            x, y = np.clip(x, 0, columns - 1.001), np.clip(y, 0, rows - 1.001)
        xf, yf = np.floor(x), np.floor(y)
        u, v = (x - xf)[:, None], (y - yf)[:, None]
        i, j = xf.astype(np.int32) % columns, yf.astype(np.int32) % rows
        i1, j1 = (i + 1) % columns, (j + 1) % rows
        flat = picture.reshape(-1, channels)
        low = flat[j * columns + i] * (1 - u) + flat[j * columns + i1] * u
        high = flat[j1 * columns + i] * (1 - u) + flat[j1 * columns + i1] * u
        return cast(Floats, low * (1 - v) + high * v)


def with_slopes(colour: Floats, height_mm: Floats, texel_mm: float) -> Floats:
    """Five channels: the colour and the slopes of a repeating relief along x and y."""
    gx = (np.roll(height_mm, -1, 1) - np.roll(height_mm, 1, 1)) / (2 * texel_mm)
    gy = (np.roll(height_mm, -1, 0) - np.roll(height_mm, 1, 0)) / (2 * texel_mm)
    return np.concatenate([colour, gx[..., None], gy[..., None]], axis=2).astype(np.float32)
