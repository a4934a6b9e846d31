"""Sub-pixel edges: the light is read along normals of a first ellipse, the flank that is the outline is picked, and an
ellipse is fitted to the places of steepest change.

Convention of the edge. The outline is the outer flank of the rim: the steepest change of light that all normals share;
of two nearly equal ones the outer one. A blurred disc, a dark rim with or without halo, and a bright rim below focus
are met alike.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.spores.profiles import (
    DEPTHS,
    NORMALS,
    Ellipses,
    Flanks,
    common_flank,
    flanks,
    normals,
    peaks,
    read,
    rise,
    slopes,
)

Floats = NDArray[np.float32]
Array = NDArray[np.float64]

BATCH = 320
"""Bodies per reading: OpenCV takes maps of up to 32,767 rows."""

SMOOTHING_PX = 0.9

BRIGHT = 0.15
"""Bodies this much brighter at the rim than the field, without a dark line beside it, are luminous: dark field."""

NARROW, BROAD = 5, 11
"""Normals in the two running medians. A pointed end is broad enough for the narrow one to keep it."""

JUT = 0.1
"""How far, over the half width, an outline may stand out from the broad median before it counts as an appendage."""


@dataclass(frozen=True, slots=True)
class Edges:
    """What the normals of n bodies show.

    points: edge points [n, NORMALS, 2] (x, y) in pixels; sound: which of them hold [n, NORMALS]; fit: the ellipses;
    ellipse_rms: their scatter about it in pixels [n]; steep: light per pixel at each edge point, [n, NORMALS], positive
    where it is brighter outside; blur: width of the edge in pixels [n, NORMALS], its rise over its steepness;
    beside: the light on both sides of the edge.
    """

    points: Array
    sound: NDArray[np.bool_]
    fit: Ellipses
    ellipse_rms: Array
    steep: Array
    blur: Array
    beside: Flanks


def find_edges(light: Floats, first: Ellipses) -> Edges:
    """Edges of all bodies, in three rounds: a wide look from the first ellipses, one from the fitted ellipses, and a
    close one along the outline then found, so that pointed and bent spores are followed too.

    In bright field the rim is darker than what is outside; above or below focus a bright line lies beside it, which may
    be the steeper one. So the dark flank is preferred, unless the bodies as a whole are brighter than the field.
    """
    batches = [first.pick(slice(start, start + BATCH)) for start in range(0, len(first), BATCH)]
    wide = [_round(light, batch, reach=0.6, prefer=0.0) for batch in batches]
    rim, halo = (np.concatenate([getattr(part.beside, name) for part in wide]) for name in ("rim", "halo"))
    prefer = -1.0 if np.median(rim) > BRIGHT and np.median(np.abs(halo)) < np.median(rim) / 2 else 1.0
    parts = []
    for batch, found in zip(batches, wide, strict=True):
        at = _kept(found, batch)
        bend = _bend(_round(light, at, reach=0.45, prefer=prefer), at)
        parts.append(_round(light, at, reach=0.25, prefer=prefer, bend=bend))
    return parts[0] if len(parts) == 1 else _joined(parts)


def _kept(found: Edges, before: Ellipses) -> Ellipses:
    """The fit, but where it ran away the ellipse before it."""
    f = found.fit
    wild = (f.a > 1.8 * before.a) | (f.b < 0.4 * before.b) | (f.b > 1.8 * before.b)
    wild |= np.hypot(f.x - before.x, f.y - before.y) > before.b
    pairs = ((f.x, before.x), (f.y, before.y), (f.a, before.a), (f.b, before.b), (f.angle, before.angle))
    return Ellipses(*(np.where(wild, old, new) for new, old in pairs))


def _bend(found: Edges, at: Ellipses) -> Array:
    """How far the outline lies outside the ellipse along each normal, smoothed, [n, NORMALS]."""
    origin, normal = normals(at)
    off = ((found.points - origin) * normal).sum(axis=2)
    weak = np.abs(found.steep) < 0.25 * np.median(np.abs(found.steep), axis=1, keepdims=True)
    return without_appendage(np.where(weak, np.nan, off), at.b)


def _joined(parts: list[Edges]) -> Edges:
    fit = Ellipses(*(np.concatenate([getattr(p.fit, name) for p in parts]) for name in ("x", "y", "a", "b", "angle")))
    rest = {
        name: np.concatenate([getattr(p, name) for p in parts])
        for name in ("points", "sound", "ellipse_rms", "steep", "blur")
    }
    beside = Flanks(
        *(np.concatenate([getattr(p.beside, name) for p in parts]) for name in ("rim", "deep", "halo", "line"))
    )
    return Edges(fit=fit, beside=beside, **rest)


def _round(light: Floats, at: Ellipses, *, reach: float, prefer: float, bend: Array | None = None) -> Edges:
    """One look along the normals, from so far inside to so far outside, as a share of the half short axis; bend: where
    along the normals to begin, pixels."""
    depth = np.maximum(reach * at.b, 4.0)
    origin, normal = normals(at)
    if bend is not None:
        origin = origin + normal * bend[:, :, None]
    steps = np.linspace(-1, 1, DEPTHS)
    offset = depth[:, None] * steps  # [n, DEPTHS]
    profile = read(light, origin, normal, offset)
    step = offset[:, 1] - offset[:, 0]
    # A little smoothing along each normal, and round the body, against noise.
    sigma = np.maximum(SMOOTHING_PX / step, 1.0)
    slope = slopes(profile, sigma) / step[:, None, None]
    chosen = common_flank(slope, prefer)
    place, steep = peaks(slope, chosen, window=np.maximum(DEPTHS * (0.24 if bend is None else 0.14), 1.6 / step))
    d = (place - (DEPTHS - 1) / 2) * step[:, None]
    points = origin + normal * d[:, :, None]
    fit, sound, rms = _fits(points, steep * np.sign(chosen)[:, None])
    blur = rise(profile, place) / np.maximum(np.abs(steep), 1e-9)
    beside = flanks(profile, place, np.median(blur, axis=1) / step, np.sign(chosen))
    return Edges(points, sound, fit, rms, steep, blur, beside)


def _fits(points: Array, steep: Array) -> tuple[Ellipses, NDArray[np.bool_], Array]:
    """Robust ellipses: fitted twice, points that lie off or show a weak edge left out the second time."""
    n = len(points)
    out, rms = np.empty((n, 5)), np.empty(n)
    sound = steep > 0.25 * np.median(steep, axis=1, keepdims=True)
    for i in range(n):
        keep = sound[i] if np.count_nonzero(sound[i]) >= 12 else np.ones(NORMALS, dtype=bool)
        ellipse = _fit(points[i][keep])
        for _ in range(2):
            off = radial_off(points[i], ellipse)
            scale = max(float(np.median(np.abs(off[keep]))) / 0.6745, 0.05)
            near = keep & (np.abs(off) < 3 * scale)
            if np.count_nonzero(near) >= 12:
                ellipse = _fit(points[i][near])
        off = radial_off(points[i], ellipse)
        sound[i] = keep & (np.abs(off) < 4 * scale)
        out[i] = ellipse
        rms[i] = math.sqrt(float(np.mean(off[near] ** 2))) if near.any() else math.inf
    return Ellipses(*out.T), sound, rms


def _fit(points: Array) -> tuple[float, float, float, float, float]:
    """Direct least-squares ellipse (x, y, a, b, angle in radians) with a ≥ b; a speck where there is none."""
    (x, y), (d1, d2), degrees = cv2.fitEllipseDirect(points.astype(np.float32))
    if not math.isfinite(x + y + d1 + d2 + degrees):
        return float(points[:, 0].mean()), float(points[:, 1].mean()), 1.0, 1.0, 0.0
    angle = math.radians(degrees)
    if d1 < d2:
        d1, d2, angle = d2, d1, angle + math.pi / 2
    return x, y, max(d1 / 2, 1e-3), max(d2 / 2, 1e-3), angle % math.pi


def radial_off(points: Array, ellipse: tuple[float, float, float, float, float]) -> Array:
    """Distance of points [m, 2] from an ellipse, outwards, to first order in pixels."""
    x, y, a, b, angle = ellipse
    c, s = math.cos(angle), math.sin(angle)
    dx, dy = points[:, 0] - x, points[:, 1] - y
    u, v = (dx * c + dy * s) / a, (dy * c - dx * s) / b
    value = u**2 + v**2 - 1
    slope = 2 * np.hypot(u / a, v / b)
    return np.asarray(value / np.maximum(slope, 1e-9), dtype=np.float64)


def without_appendage(off: Array, b: Array) -> Array:
    """The distances freed of what only a few normals show, then lightly smoothed; NaN where there was no edge."""
    broad = _running_median(off, BROAD)
    middle = np.clip(_running_median(off, NARROW), broad - JUT * b[:, None], broad + JUT * b[:, None])
    kernel = np.exp(-0.5 * (np.arange(-2, 3) / 0.9) ** 2)
    kernel /= kernel.sum()
    rolled = [k * np.roll(middle, i, axis=1) for i, k in zip(range(-2, 3), kernel, strict=True)]
    return np.asarray(np.sum(rolled, axis=0), dtype=np.float64)


def _running_median(off: Array, size: int) -> Array:
    """Round the outline. Where whole windows are missing, the ellipse itself stands in."""
    index = (np.arange(NORMALS)[:, None] + np.arange(-(size // 2), size // 2 + 1)) % NORMALS
    windows = off[:, index]
    known = np.asarray(np.isfinite(windows).any(axis=2))
    middle = np.nanmedian(np.where(known[:, :, None], windows, 0.0), axis=2)
    return np.asarray(np.where(known, middle, 0.0), dtype=np.float64)
