"""Light along the normals of ellipses: read, differentiated, and the flank that is the outline picked.

Arrays: n bodies, NORMALS normals each, DEPTHS samples along a normal from inside to outside.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Array = NDArray[np.float64]

NORMALS = 96
DEPTHS = 72
NEARLY = 0.55
"""A flank further out counts as the outline where its steepness is at least this share of the steepest."""

PREFERENCE = 0.4
"""A flank of the other sign than the picture's counts with this share of its steepness."""


@dataclass(frozen=True, slots=True)
class Ellipses:
    """Centres, full axes and angles in pixels and radians, [n] each; a is the half long axis, b the half short one."""

    x: Array
    y: Array
    a: Array
    b: Array
    angle: Array

    def __len__(self) -> int:
        return len(self.x)

    def pick(self, chosen: NDArray[np.bool_] | NDArray[np.intp] | slice) -> Ellipses:
        return Ellipses(self.x[chosen], self.y[chosen], self.a[chosen], self.b[chosen], self.angle[chosen])


def normals(at: Ellipses) -> tuple[Array, Array]:
    """(points on the ellipses, outward unit normals), [n, NORMALS, 2], spread evenly along the outline."""
    t = np.linspace(0, 2 * math.pi, NORMALS, endpoint=False)
    # Equal steps of this angle lie nearly evenly on an ellipse of moderate Q.
    a, b = at.a[:, None], at.b[:, None]
    c, s = np.cos(at.angle)[:, None], np.sin(at.angle)[:, None]
    u, v = a * np.cos(t), b * np.sin(t)
    nu, nv = np.cos(t) / a, np.sin(t) / b
    size = np.hypot(nu, nv)
    nu, nv = nu / size, nv / size
    origin = np.stack([at.x[:, None] + u * c - v * s, at.y[:, None] + u * s + v * c], axis=2)
    return origin, np.stack([nu * c - nv * s, nu * s + nv * c], axis=2)


def read(light: Floats, origin: Array, normal: Array, offset: Array) -> Array:
    """Light along the normals, [n, NORMALS, DEPTHS]."""
    x = origin[:, :, 0, None] + normal[:, :, 0, None] * offset[:, None, :]
    y = origin[:, :, 1, None] + normal[:, :, 1, None] * offset[:, None, :]
    shape = x.shape
    maps = [m.reshape(-1, DEPTHS).astype(np.float32) for m in (x, y)]
    seen = cv2.remap(light, maps[0], maps[1], cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    return seen.reshape(shape).astype(np.float64)


def slopes(profile: Array, sigma: Array) -> Array:
    """Derivative along depth after Gaussian smoothing of so many steps (per body), and of one normal round the body."""
    depths = profile.shape[2]
    f = np.fft.rfftfreq(2 * depths)
    mirrored = np.concatenate([profile, profile[:, :, ::-1]], axis=2)
    spectrum = np.fft.rfft(mirrored.astype(np.float32), axis=2)
    shape = (2j * math.pi * f * np.exp(-2 * (math.pi * f * sigma[:, None]) ** 2))[:, None, :]
    smooth = np.fft.irfft(spectrum * shape.astype(np.complex64), 2 * depths, axis=2)
    slope = smooth[:, :, :depths].astype(np.float64)
    return 0.5 * slope + 0.25 * (np.roll(slope, 1, axis=1) + np.roll(slope, -1, axis=1))


def common_flank(slope: Array, prefer: float) -> Array:
    """Per body the depth of the outline in steps, with the sign of its slope: +: brighter outside.

    Slopes are pooled over the normals; a flank that only some of them show (an appendage, a neighbour) does not count.
    """
    pooled = np.median(slope, axis=1)
    size = np.abs(pooled)
    peak = size >= np.maximum(np.roll(size, 1, axis=1), np.roll(size, -1, axis=1))
    peak[:, :2] = peak[:, -2:] = False
    height = np.where(peak, size * np.where(np.sign(pooled) == -prefer, PREFERENCE, 1.0), 0)
    strong = height >= NEARLY * np.maximum(height.max(axis=1, keepdims=True), 1e-12)
    last = slope.shape[2] - 1 - np.argmax(strong[:, ::-1], axis=1)
    sign = np.sign(np.take_along_axis(pooled, last[:, None], axis=1)[:, 0])
    return np.asarray(np.where(sign == 0, 1, sign) * np.maximum(last, 1), dtype=np.float64)


def peaks(slope: Array, chosen: Array, window: Array) -> tuple[Array, Array]:
    """Per normal the place (in steps, between samples) and steepness of the chosen flank near the chosen depth."""
    depths = slope.shape[2]
    signed = slope * np.sign(chosen)[:, None, None]
    steps = np.arange(depths)
    off = np.abs(steps[None, :] - np.abs(chosen)[:, None]) / window[:, None]
    # A soft preference for the common depth keeps single normals from jumping to another flank.
    weighed = np.where(off[:, None, :] <= 1, signed * (1 - 0.7 * off**2)[:, None, :], -np.inf)
    weighed[:, :, 0] = weighed[:, :, -1] = -np.inf
    best = np.clip(np.argmax(weighed, axis=2), 1, depths - 2)
    low, mid, high = (np.take_along_axis(signed, (best + k)[:, :, None], axis=2)[:, :, 0] for k in (-1, 0, 1))
    bend = low - 2 * mid + high
    shift = np.where(bend < 0, 0.5 * (low - high) / np.where(bend < 0, bend, -1), 0)
    return best + np.clip(shift, -1, 1), mid * np.sign(chosen)[:, None]


def rise(profile: Array, place: Array) -> Array:
    """How far the light changes over the flank: between its turning points on both sides of the edge."""
    inside = np.arange(profile.shape[2])[None, None, :] <= place[:, :, None]
    low = np.where(inside, profile, np.inf).min(axis=2), np.where(~inside, profile, np.inf).min(axis=2)
    high = np.where(inside, profile, -np.inf).max(axis=2), np.where(~inside, profile, -np.inf).max(axis=2)
    return np.asarray(np.maximum(high[1] - low[0], high[0] - low[1]), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Flanks:
    """Light on both sides of the edges, medians over the normals, [n] each.

    rim: the extreme within 1.2 blurs inside; deep: 2.5 blurs inside; halo: the opposite extreme within 1.2 blurs
    outside; line: the same within 1.2 to 3 blurs inside; both 0 where there is none.
    """

    rim: Array
    deep: Array
    halo: Array
    line: Array


def flanks(profile: Array, place: Array, blur: Array, sign: Array) -> Flanks:
    """The light beside edges at `place` (steps), of width `blur` (steps); sign: + where it is brighter outside."""
    last = profile.shape[2] - 1

    def seen(back: float) -> Array:
        index = np.clip(np.rint(place - back * blur[:, None]), 0, last).astype(np.intp)
        return np.asarray(np.median(np.take_along_axis(profile, index[:, :, None], axis=2)[:, :, 0], axis=1))

    near = np.stack([seen(back) for back in np.linspace(0, 1.2, 7)]) * sign
    outside = np.stack([seen(-back) for back in np.linspace(0, 1.2, 7)]) * sign
    within = np.stack([seen(back) for back in np.linspace(1.2, 3.0, 7)]) * sign
    halo, line = (np.maximum(one.max(axis=0), 0) * sign for one in (outside, within))
    return Flanks(near.min(axis=0) * sign, seen(2.5), halo, line)
