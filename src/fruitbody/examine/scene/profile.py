"""The half profile of a fruit body (radius against height) as polygons, and their signed distances on a grid."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import cast

import numpy as np

from fruitbody.examine.scene.colour import Floats
from fruitbody.examine.scene.model import Cap, FruitBody, Stem

GRID = 360  # cells along the longer side: a margin rounded over 1 mm keeps its place within 0.01 mm
HEIGHTS = {"convex": 0.62, "conical": 1.0, "bell": 1.2, "flat": 0.24, "depressed": 0.26, "umbonate": 0.42, "egg": 1.55}


@dataclass(frozen=True)
class Shape:
    """Signed distances (negative inside) of the parts over (z, r), and the heights the truth record needs."""

    fields: dict[str, Floats]
    step: float
    z_low: float
    outline: Floats  # (n, 2) points (r, z) of the whole outer outline
    margin_z: float
    apex_z: float
    top_z: float

    def look(self, name: str, r: Floats, z: Floats) -> Floats:
        """Bilinear distance; beyond the grid the way back to it is added."""
        grid = self.fields[name]
        rows, columns = grid.shape
        x, y = r / self.step, (z - self.z_low) / self.step
        xc, yc = np.clip(x, 0, columns - 1.001), np.clip(y, 0, rows - 1.001)
        i, j = xc.astype(np.int32), yc.astype(np.int32)
        u, v = xc - i, yc - j
        flat, k = grid.ravel(), j * columns + i
        low = flat[k] * (1 - u) + flat[k + 1] * u
        high = flat[k + columns] * (1 - u) + flat[k + columns + 1] * u
        return cast(Floats, low * (1 - v) + high * v + (np.abs(x - xc) + np.abs(y - yc)) * (0.7 * self.step))


def cap_curves(cap: Cap) -> tuple[Floats, Floats, Floats]:
    """Upper line, lower edge of the gills or tubes, and lower edge of the flesh, as (r, z) with the margin at z = 0.

    The upper line runs from the centre to the margin; the others from the margin to the centre. For "egg" the widest
    place has z = 0 and the margin lies lower, drawn in.
    """
    radius = cap.width_mm / 2
    height = cap.height_mm if cap.height_mm is not None else HEIGHTS[cap.profile] * radius
    if cap.profile == "egg":
        a = np.linspace(0, 2.25, 60)
        top = np.stack([radius * np.sin(a), np.where(a < np.pi / 2, 0.58, 0.5) * height * np.cos(a)], axis=1)
        inner = np.linspace(2.25, 0, 50)
        flesh = np.stack([0.8 * radius * np.sin(inner), 0.30 * height * np.cos(inner) - 0.05 * height], axis=1)
        gills = np.stack([0.62 * radius * np.sin(inner), 0.12 * height * np.cos(inner) - 0.12 * height], axis=1)
        return top, gills, flesh
    t = 1 - np.linspace(1, 0, 70) ** 1.5
    z = height * _rise(cap.profile, t)
    thin, thick = 0.03 * radius, min(0.26 * radius, 0.6 * height + 0.06 * radius)
    flesh_z = z - thin - (thick - thin) * (1 - t) ** 0.8
    gill_z = flesh_z - 0.11 * radius * np.sin(np.pi * t**0.9) ** 0.6
    r_in = radius * t * (1 - 0.006 * t**8)
    top = np.stack([radius * t, z], axis=1)
    return top, np.stack([r_in, gill_z], axis=1)[::-1], np.stack([r_in, flesh_z], axis=1)[::-1]


def _rise(profile: str, t: Floats) -> Floats:
    """Height of the upper line over the margin, as a share of the cap's height, at the share t of the radius."""
    if profile == "conical":
        return cast(Floats, 1 - (np.sqrt(t**2 + 0.02) - 0.02**0.5) / (1.02**0.5 - 0.02**0.5))
    if profile == "bell":
        return (1 - t**2.4) ** 0.9
    if profile == "flat":
        return 1 - t**3.2
    if profile == "depressed":
        return cast(Floats, 1.1 * (1 - t**5) - 0.85 * np.exp(-((t / 0.45) ** 2)) * (1 - t))
    if profile == "umbonate":
        return cast(Floats, 0.62 * (1 - t**2.4) + 0.38 * np.exp(-((t / 0.24) ** 2)) * (1 - t**2))
    return (1 - t**2.3) ** 0.75


def stem_radius(stem: Stem, share: Floats) -> Floats:
    """Half width at shares 0 (base) to 1 (apex) of the length; the base width holds in the lowest tenth (a bulb)."""
    knots = np.array([0.0, 0.08, 0.30, 0.5, 1.0])
    widths = np.array(
        [stem.base_mm, stem.base_mm, 0.25 * stem.base_mm + 0.75 * stem.middle_mm, stem.middle_mm, stem.apex_mm]
    )
    i = np.clip(np.searchsorted(knots, share, side="right") - 1, 0, 3)
    u = np.clip((share - knots[i]) / (knots[i + 1] - knots[i]), 0, 1)
    u = u * u * (3 - 2 * u)
    return cast(Floats, (widths[i] * (1 - u) + widths[i + 1] * u) / 2)


def _stem_parts(stem: Stem, reach: float) -> dict[str, Floats]:
    """Polygons of stem, ring and sac; the stem goes on to z = reach inside the cap."""
    share = np.linspace(0, 1, 40)
    z, r = share * stem.length_mm, stem_radius(stem, share)
    if not stem.cut_off:  # a rounded foot
        foot = 0.5 * stem.base_mm
        r = np.where(z < foot, r * np.sqrt(np.clip(1 - (1 - z / foot) ** 2, 0, 1)), r)
    side = np.stack([r, z], axis=1)
    parts = {"stem": np.concatenate([[[0.0, 0.0]], side, [[float(r[-1]), reach], [0.0, reach]]])}
    for n, place in enumerate(stem.rings):
        at, half = place * stem.length_mm, float(stem_radius(stem, np.array([place]))[0])
        out, drop = half + 0.34 * stem.apex_mm + 1.2, 0.45 * stem.apex_mm
        parts[f"ring{n}"] = np.array(
            [
                [half * 0.8, at + 0.6],
                [half + 0.6, at + 0.5],
                [out, at - drop],
                [out - 0.8, at - drop - 0.5],
                [half, at - 0.9],
                [half * 0.8, at - 0.9],
            ]
        )
    if stem.volva is not None:
        wide, tall = 0.62 * stem.base_mm + 1.5, 0.9 * stem.base_mm
        a = np.linspace(-np.pi / 2, 0.6, 24)
        outer = np.stack([wide * np.cos(a), tall * 0.55 * (1 + np.sin(a))], axis=1)
        inner = outer[::-1] * [0.9, 1.0] + [0.0, 0.4]
        parts["volva"] = np.concatenate([outer, inner])
    return parts


def _distance(polygon: Floats, r: Floats, z: Floats, closed: bool = True) -> Floats:
    """Distance of grid points from a polygon (negative inside) or from an open line."""
    best = np.full(r.shape, np.inf, dtype=np.float32)
    inside = np.zeros(r.shape, dtype=bool)
    points = np.concatenate([polygon, polygon[:1]]) if closed else polygon
    for (ax, ay), (bx, by) in pairwise(points):
        ex, ey = bx - ax, by - ay
        length2 = ex * ex + ey * ey
        if length2 < 1e-12:
            continue
        s = np.clip(((r - ax) * ex + (z - ay) * ey) / length2, 0, 1)
        if abs(ax) + abs(bx) > 1e-6:  # the axis closes a polygon but is no surface
            best = np.minimum(best, (r - ax - s * ex) ** 2 + (z - ay - s * ey) ** 2)
        if closed and ey != 0:
            inside ^= ((z >= ay) != (z >= by)) & (r < ax + (z - ay) * (ex / ey))
    return cast(Floats, np.where(inside, -1.0, 1.0).astype(np.float32) * np.sqrt(best))


def _ball(cap: Cap) -> Floats:
    radius, height = cap.width_mm / 2, cap.height_mm or 0.9 * cap.width_mm
    a = np.linspace(np.pi, 0, 70)
    foot = np.clip((a - 2.1) / 0.9, 0, 1)
    pinch = 1 - 0.3 * foot * foot * (3 - 2 * foot)
    return np.stack([radius * np.sin(a) * pinch, height * (0.5 - 0.5 * np.cos(np.pi - a))], axis=1)


@lru_cache(maxsize=64)
def shape_of(cap: Cap, stem: Stem | None, form: str) -> Shape:
    """Distances of the parts: "cap", "upper" and "lower" (lines), "gill", "stem", "ring0"…, "volva", "union"."""
    lines: dict[str, Floats] = {}
    if form == "ball":
        polygons = {"cap": _ball(cap)}
        margin_z = apex_z = float(polygons["cap"][np.argmax(polygons["cap"][:, 0]), 1])
    else:
        top, under, flesh = cap_curves(cap)
        length = stem.length_mm if stem is not None else 0.0
        half = stem.apex_mm / 2 if stem is not None else 0.0
        order = np.argsort(under[:, 0])
        touch = (
            float(np.interp(half, under[order, 0], under[order, 1])) if stem is not None else float(under[:, 1].min())
        )
        margin_z, apex_z = length - touch, length
        up = np.array([0.0, margin_z])
        lines = {"upper": top + up, "lower": under + up}
        polygons = {"cap": np.concatenate([top, under]) + up, "gill": np.concatenate([under, flesh[::-1]]) + up}
        if stem is not None:
            polygons |= _stem_parts(
                stem, reach=min(length + 0.5 * stem.apex_mm, margin_z + float(top[0, 1]) * 0.9 + 0.01)
            )
    return _gridded(polygons, lines, margin_z, apex_z)


def _gridded(polygons: dict[str, Floats], lines: dict[str, Floats], margin_z: float, apex_z: float) -> Shape:
    outline = np.concatenate([p for name, p in polygons.items() if name != "gill"])
    low, high, wide = float(outline[:, 1].min()), float(outline[:, 1].max()), float(outline[:, 0].max())
    pad = 0.06 * max(high - low, wide)
    step = max(high - low, wide) * 1.12 / GRID
    r = (np.arange(int((wide + pad) / step) + 2) * step).astype(np.float32)
    z = (low - pad + np.arange(int((high - low + 2 * pad) / step) + 2) * step).astype(np.float32)
    rr, zz = np.meshgrid(r, z)
    for polygon in polygons.values():
        polygon[np.abs(polygon[:, 0]) < 1e-9, 0] = 0.0
    fields = {name: _distance(p, rr, zz) for name, p in polygons.items()}
    fields["union"] = cast(Floats, np.minimum.reduce([f for name, f in fields.items() if name != "gill"]))
    fields |= {name: _distance(p, rr, zz, closed=False) for name, p in lines.items()}
    return Shape(fields, step, float(z[0]), outline, margin_z, apex_z, high)


def solid(body: FruitBody) -> Shape:
    """The shape of a body, shared between bodies and views that differ only in place and colour of the light."""
    return shape_of(body.cap, body.stem, body.form)
