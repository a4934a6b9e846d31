"""Blades of grass, drawn as tapering strokes into the picture with its depths."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from fruitbody.examine.scene import noise
from fruitbody.examine.scene.colour import Floats, linear
from fruitbody.examine.scene.ground import BASE
from fruitbody.examine.scene.shade import World, _sunlight

LIMIT = 10000  # blades at most; farther lawn is texture alone
STEPS = 20


def grow(world: World, light: Floats, depth: Floats) -> None:
    """Draw the blades of the lawn over `light` (h, w, 3) wherever they are nearer than `depth` (h, w), in place."""
    scene, camera = world.scene, world.scene.camera
    rng = np.random.default_rng([scene.seed, 21])
    roots = _roots(world, rng)
    n = len(roots)
    if n == 0:
        return
    length = scene.ground.blade_mm * rng.uniform(0.45, 1.1, n) * _pressed(world, roots)
    turn, droop = rng.uniform(0, 2 * np.pi, n), rng.uniform(0.25, 1.1, n)
    s = np.linspace(0, 1, STEPS)
    out = (np.sin(droop)[:, None] * s**1.6) * length[:, None]
    up = (s - 0.45 * np.sin(droop)[:, None] * s**2) * length[:, None] * np.cos(droop * 0.6)[:, None]
    points = np.stack(
        [roots[:, 0, None] + out * np.cos(turn)[:, None], roots[:, 1, None] + out * np.sin(turn)[:, None], up], axis=2
    )
    px = camera.project(points)
    far = camera.depth(points)
    half = rng.uniform(0.55, 1.25, n)[:, None] * (1 - s**2.5) ** 0.7 * camera.f_px / far
    ok = (length > 4) & ~_before_plates(world, points)
    _draw(light, depth, (px[ok], far[ok], half[ok]), _colours(world, roots, rng, s)[ok])


def _roots(world: World, rng: np.random.Generator) -> Floats:
    """Roots (n, 2) over the part of the ground that the picture shows, thinner with the distance."""
    camera = world.scene.camera
    px = np.stack([rng.uniform(-80, camera.width + 80, LIMIT), rng.uniform(-80, camera.height * 1.25, LIMIT)], axis=1)
    d = camera.directions(px)
    t = -camera.position_mm[2] / np.where(d[:, 2] < -1e-3, d[:, 2], np.nan)
    keep = np.isfinite(t) & (t < 2600)
    p = np.asarray(camera.position_mm) + t[keep, None] * d[keep]
    area = (t[keep] / camera.f_px) ** 2 * (camera.width + 160) * camera.height * 1.25  # mm2 were all at this depth
    share = np.minimum(1, area * 0.22 / LIMIT)
    return p[rng.random(len(p)) < share, :2]


def _pressed(world: World, roots: Floats) -> Floats:
    """Factor on the blades' length: short round stems."""
    factor = np.ones(len(roots))
    for body in world.scene.bodies:
        d = np.hypot(roots[:, 0] - body.base_mm[0], roots[:, 1] - body.base_mm[1])
        factor *= np.clip((d - 4) / (0.9 * body.cap.width_mm + 12), 0.12, 1)
    return factor


def _before_plates(world: World, points: Floats) -> npt.NDArray[np.bool_]:
    """Blades (n,) that would hide part of a reference: a finder presses those down."""
    camera = np.asarray(world.scene.camera.position_mm)
    out = np.zeros(len(points), dtype=bool)
    for item in world.plates:
        ray = points - camera
        t = ((item.centre - camera) @ item.normal) / (ray @ item.normal)
        a, b = item.face(camera + t[..., None] * ray)
        out |= ((item.edge(a, b) < 2.5) & (t > 0.98)).any(axis=1)
    return out


def _colours(world: World, roots: Floats, rng: np.random.Generator, s: Floats) -> Floats:
    """Linear colour (n, steps, 3): dark at the root, each blade of its own hue, shaded by what stands near."""
    base = linear(world.scene.ground.colour or BASE["lawn"])
    n = len(roots)
    tint = base * rng.uniform(0.7, 1.9, n)[:, None] * rng.uniform(0.88, 1.12, (n, 3))
    dry = rng.random(n) < 0.07
    tint[dry] = linear((168, 152, 96)) * rng.uniform(0.6, 1.1, int(dry.sum()))[:, None]
    x, y = roots[:, 0].astype(np.float32), roots[:, 1].astype(np.float32)
    tint *= (
        1 + world.scene.ground.patch * 1.2 * (noise.fractal(x / 170 + 100, y / 170 + 100, world.scene.seed + 51) - 0.5)
    )[:, None]
    p = np.stack([x, y, np.full(n, 8, dtype=np.float32)], axis=1)
    up = np.broadcast_to(np.array([0, 0, 1], dtype=np.float32), p.shape)
    lit = 0.55 + 0.7 * _sunlight(world, p, up, skip_plate=-1)
    return (tint * lit[:, None] * world.scene.light.strength)[:, None, :] * (0.4 + 0.75 * s)[None, :, None]


def _draw(light: Floats, depth: Floats, strokes: tuple[Floats, Floats, Floats], colour: Floats) -> None:
    """Splat short cross bars along every stroke, far strokes first so that the nearest stays on top."""
    order = np.argsort(-strokes[1].mean(axis=1), kind="stable")
    for few in np.array_split(order, max(1, len(order) // 400)):
        if few.size:
            _draw_some(light, depth, (strokes[0][few], strokes[1][few], strokes[2][few]), colour[few])


def _draw_some(light: Floats, depth: Floats, strokes: tuple[Floats, Floats, Floats], colour: Floats) -> None:
    """Strokes of about one distance: as many bars as the largest of them needs."""
    px, far, half = (part.astype(np.float32) for part in strokes)
    height, width = depth.shape
    along = np.diff(px, axis=1)
    length = np.linalg.norm(along, axis=2)
    fine = int(np.clip(np.ceil(np.percentile(length, 99.7)), 1, 10))
    bars = int(np.clip(np.ceil(2 * half.max()), 1, 16))
    across = (
        np.stack([-along[..., 1], along[..., 0]], axis=2) / np.maximum(length, 1e-6)[..., None] * half[:, :-1, None]
    )
    s = np.arange(fine, dtype=np.float32) / fine
    m = np.linspace(-1, 1, bars, dtype=np.float32) if bars > 1 else np.zeros(1, dtype=np.float32)
    at = px[:, :-1, None, None] + along[:, :, None, None] * s[:, None, None] + across[:, :, None, None] * m[:, None]
    x, y = at[..., 0], at[..., 1]
    ok = (x > 0) & (y > 0) & (x < width - 1) & (y < height - 1)
    index = np.rint(y[ok]).astype(np.int64) * width + np.rint(x[ok]).astype(np.int64)
    which = np.broadcast_to(np.arange(length.size).reshape(*length.shape, 1, 1), ok.shape)[ok]
    front = far[:, :-1].ravel()[which] < depth.ravel()[index]
    which = which[front]
    tone = colour[:, :-1].reshape(-1, 3)[which] * np.broadcast_to(1.0 + 0.22 * m, ok.shape)[ok][front, None]
    light.reshape(-1, 3)[index[front]] = tone
