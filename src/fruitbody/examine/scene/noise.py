"""Repeatable procedural noise over the plane, built from one table of random numbers per seed."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from fruitbody.examine.scene.colour import Floats

_SIZE = 256


@lru_cache(maxsize=64)
def _table(seed: int) -> Floats:
    return np.random.default_rng(seed).random((_SIZE, _SIZE), dtype=np.float32)


def value(x: Floats, y: Floats, seed: int) -> Floats:
    """Smooth noise 0..1 with a period of 256 units and features one unit wide."""
    xf, yf = np.floor(x), np.floor(y)
    u, v = x - xf, y - yf
    u, v = u * u * (3 - 2 * u), v * v * (3 - 2 * v)
    i, j = xf.astype(np.int32) & (_SIZE - 1), yf.astype(np.int32) & (_SIZE - 1)
    i1, j1 = (i + 1) & (_SIZE - 1), (j + 1) & (_SIZE - 1)
    t = _table(seed).ravel()
    low = t[j * _SIZE + i] * (1 - u) + t[j * _SIZE + i1] * u
    high = t[j1 * _SIZE + i] * (1 - u) + t[j1 * _SIZE + i1] * u
    return low * (1 - v) + high * v


def fractal(x: Floats, y: Floats, seed: int, octaves: int = 3) -> Floats:
    """Sum of `octaves` of value noise, each twice as fine and half as strong, scaled to 0..1."""
    total = np.zeros(np.broadcast(x, y).shape, dtype=np.float32)
    for o in range(octaves):
        total += value(x * 2**o + 17.3 * o, y * 2**o + 5.1 * o, seed + o) / 2**o
    return total / (2 - 2.0 ** (1 - octaves))


def cells(x: Floats, y: Floats, seed: int) -> tuple[Floats, Floats]:
    """Distance to the nearest of one random point per unit square, and that point's own random number 0..1."""
    xf, yf = np.floor(x), np.floor(y)
    best = np.full(x.shape, 9.0, dtype=np.float32)
    own = np.zeros(x.shape, dtype=np.float32)
    px, py, pick = _table(seed).ravel(), _table(seed + 1).ravel(), _table(seed + 2).ravel()
    for dy in (-1, 0, 1):
        for dx in (-1, 0, 1):
            i, j = (xf + dx).astype(np.int32) & (_SIZE - 1), (yf + dy).astype(np.int32) & (_SIZE - 1)
            k = j * _SIZE + i
            d = np.hypot(xf + dx + px[k] - x, yf + dy + py[k] - y)
            nearer = d < best
            best = np.where(nearer, d, best)
            own = np.where(nearer, pick[k], own)
    return best, own
