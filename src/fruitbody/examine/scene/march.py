"""Rays against solids: sphere tracing with a pencil of active rays (Hart 1996, The Visual Computer 12; from memory)."""

from __future__ import annotations

from typing import cast

import numpy as np
import numpy.typing as npt

from fruitbody.examine.scene.colour import Floats
from fruitbody.examine.scene.solids import Solid

Ints = npt.NDArray[np.intp]


def span(sphere: tuple[Floats, float], origin: Floats, directions: Floats) -> tuple[Floats, Floats]:
    """Where each ray enters and leaves a sphere of this centre and radius, in units of its direction.

    `origin` is (3,) or (n, 3); a ray that misses enters at infinity.
    """
    to = (np.asarray(sphere[0]) - origin).astype(np.float32)
    to, directions = np.broadcast_arrays(to, directions)
    along = np.einsum("ij,ij->i", to, directions)
    length2 = np.einsum("ij,ij->i", directions, directions)
    gap2 = np.einsum("ij,ij->i", to, to) - along * along / length2
    half2 = sphere[1] ** 2 - gap2
    half = np.sqrt(np.maximum(half2, 0) / length2)
    middle = along / length2
    enter, leave = np.maximum(middle - half, 0), middle + half
    return cast(Floats, np.where(half2 > 0, enter, np.inf)), cast(Floats, leave)


def first_hit(solid: Solid, origin: Floats, directions: Floats, *, slope: float, limit: Floats) -> Floats:
    """Ray parameter of the first surface within `limit`, inf where there is none.

    `slope` is the width of a pixel at unit distance: a ray has arrived within a twentieth of it.
    """
    out = np.full(len(directions), np.inf, dtype=np.float32)
    enter, leave = span((solid.centre, solid.radius), origin, directions)
    leave = np.minimum(leave, limit)
    active = np.nonzero(enter < leave)[0]
    if active.size == 0:
        return out
    d, t, end = directions[active], enter[active].astype(np.float32), leave[active]
    length = np.linalg.norm(d, axis=1)
    start = origin.astype(np.float32)
    for _ in range(90):
        gap = solid.distance(start + t[:, None] * d)
        arrived = gap < 0.05 * slope * t
        out[active[arrived]] = t[arrived]
        t = t + gap / length
        keep = ~arrived & (t < end)
        if not keep.any():
            break
        if not keep.all():
            active, d, t, end, length = active[keep], d[keep], t[keep], end[keep], length[keep]
    return out


def normals(solid: Solid, p: Floats, step: Floats) -> Floats:
    """Outward unit normals from four differences on a tetrahedron; `step` (n,) mm."""
    total = np.zeros_like(p)
    for corner in ((1, -1, -1), (-1, -1, 1), (-1, 1, -1), (1, 1, 1)):
        k = np.array(corner, dtype=np.float32)
        total += k * solid.distance(p + step[:, None] * k)[:, None]
    return cast(Floats, total / np.maximum(np.linalg.norm(total, axis=1, keepdims=True), 1e-9))


def light_left(solid: Solid, p: Floats, towards: Floats, softness: float) -> Floats:
    """Share 0..1 of a far light that passes the solid on its way to the points; penumbra widens with the distance."""
    left = np.ones(len(p), dtype=np.float32)
    d = np.broadcast_to(towards.astype(np.float32), p.shape)
    enter, leave = span((solid.centre, solid.radius * (1 + 8 * softness)), p, d)  # wide enough for the penumbra
    active = np.nonzero(enter < leave)[0]
    if active.size == 0:
        return left
    here, end, t = p[active], leave[active], np.maximum(enter[active], 0.3).astype(np.float32)
    lit = np.ones(active.size, dtype=np.float32)
    smallest = 0.012 * solid.radius
    for _ in range(24):
        gap = solid.distance(here + t[:, None] * towards.astype(np.float32))
        lit = np.minimum(lit, np.clip(0.5 + gap / solid.slack / (2 * softness * t + 0.3), 0, 1))
        t = t + np.maximum(gap, smallest)
        keep = (lit > 0.01) & (t < end)
        left[active[~keep]] = lit[~keep]
        if not keep.any():
            return left
        active, here, end, t, lit = active[keep], here[keep], end[keep], t[keep], lit[keep]
    left[active] = lit
    return left


def nearness(solid: Solid, p: Floats, normal: Floats, reach: float) -> tuple[Ints, Floats]:
    """Points near the solid, and how it closes in on them `reach` mm along the normal: 0 (free) to 1 (touching)."""
    away = p - np.asarray(solid.centre, dtype=np.float32)
    near = np.nonzero(np.einsum("ij,ij->i", away, away) < (solid.radius + 2 * reach) ** 2)[0]
    gap = solid.distance(p[near] + reach * normal[near]) / solid.slack
    return near, np.clip(1 - gap / reach, 0, 1)
