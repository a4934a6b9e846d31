"""Light on surfaces: what each ray sees (`see`), and how bright it is (`radiance`)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np
import numpy.typing as npt

from fruitbody.examine.scene import ground, march, noise
from fruitbody.examine.scene.colour import Floats, linear
from fruitbody.examine.scene.model import Coin, Light, Scene
from fruitbody.examine.scene.plates import Plate, plate
from fruitbody.examine.scene.relief import relief
from fruitbody.examine.scene.skin import smooth
from fruitbody.examine.scene.solids import BodySolid, Solid

Ints = npt.NDArray[np.int16]
SKY, GROUND = 0, 1


@dataclass(frozen=True)
class World:
    """A scene made ready: plates take the numbers 2…, their rims the same, solids those after them."""

    scene: Scene
    plates: tuple[Plate, ...]
    solids: tuple[Solid, ...]

    @classmethod
    def of(cls, scene: Scene) -> World:
        """Build the plates and solids."""
        solids: list[Solid] = [BodySolid(b, scene.seed + 1000 * n) for n, b in enumerate(scene.bodies)]
        if scene.trunk is not None or scene.crusts:
            solids.append(relief(scene.trunk, scene.crusts, 2600.0, scene.seed))
        return cls(scene, tuple(plate(r) for r in scene.references), tuple(solids))

    @property
    def hull(self) -> tuple[Floats, float]:
        """Centre and radius of a sphere round all fruit bodies; radius 0 without any."""
        bodies = [s for s in self.solids if isinstance(s, BodySolid)]
        if not bodies:
            return np.zeros(3), 0.0
        centre = np.mean([b.centre for b in bodies], axis=0)
        return centre, max(float(np.linalg.norm(b.centre - centre)) + b.radius for b in bodies)

    @property
    def towards_light(self) -> Floats:
        """Unit vector to the light."""
        a, e = np.radians([self.scene.light.azimuth_deg, self.scene.light.elevation_deg])
        return np.array([np.sin(a) * np.cos(e), np.cos(a) * np.cos(e), np.sin(e)])


@dataclass(frozen=True)
class Seen:
    """What n rays see: object number, ray parameter (= depth in mm), whether it is a coin's rim."""

    number: Ints
    depth: Floats
    rim: npt.NDArray[np.bool_]


def see(world: World, directions: Floats) -> Seen:
    """The first object along each ray from the camera."""
    origin = np.asarray(world.scene.camera.position_mm, dtype=np.float64)
    n = len(directions)
    slope = 1.0 / world.scene.camera.f_px
    with np.errstate(divide="ignore", invalid="ignore"):
        depth = np.where(directions[:, 2] < -1e-6, -origin[2] / directions[:, 2], np.inf).astype(np.float32)
    number = np.where(np.isfinite(depth), GROUND, SKY).astype(np.int16)
    rim = np.zeros(n, dtype=bool)
    for k, item in enumerate(world.plates):
        hit, side = _plate_hit(item, origin, directions)
        nearer = hit < depth
        depth, number, rim = np.where(nearer, hit, depth), np.where(nearer, k + 2, number), np.where(nearer, side, rim)
    enter, leave = march.span(world.hull, origin, directions)
    near = np.nonzero(enter < leave)[0]
    for k, solid in enumerate(world.solids):
        some = near if isinstance(solid, BodySolid) else np.arange(n)
        hit = march.first_hit(solid, origin, directions[some], slope=slope, limit=depth[some])
        front = hit < depth[some]
        taken = some[front]
        depth[taken], number[taken], rim[taken] = hit[front], k + 2 + len(world.plates), False
    return Seen(number.astype(np.int16), depth, rim)


def _plate_hit(item: Plate, origin: Floats, d: Floats) -> tuple[Floats, npt.NDArray[np.bool_]]:
    """Ray parameter of the face or, for a coin, of the rim below it."""
    with np.errstate(divide="ignore", invalid="ignore"):
        t = ((item.centre - origin) @ item.normal) / (d @ item.normal)
    out = np.full(len(d), np.inf, dtype=np.float32)
    ahead = np.nonzero((t > 0) & np.isfinite(t))[0]
    a, b = item.face(origin + t[ahead, None] * d[ahead])
    on = ahead[item.edge(a, b) <= 0]
    out[on] = t[on]
    side = np.zeros(len(d), dtype=bool)
    coin = item.reference
    if isinstance(coin, Coin) and coin.thickness_mm > 0:
        near = np.setdiff1d(ahead[np.hypot(a, b) < item.half[0] + 4 * coin.thickness_mm], on)
        at = origin[:2] - item.centre[:2]
        qa, qb = (d[near, :2] ** 2).sum(axis=1), (d[near, :2] * at).sum(axis=1)
        root = qb * qb - qa * (at @ at - item.half[0] ** 2)
        first = np.where(root > 0, (-qb - np.sqrt(np.maximum(root, 0))) / np.maximum(qa, 1e-12), np.inf)
        below = item.centre[2] - (origin[2] + np.where(np.isfinite(first), first, 0) * d[near, 2])
        hit = (root > 0) & (below >= 0) & (below <= coin.thickness_mm)
        out[near[hit]], side[near[hit]] = first[hit], True
    return out, side


def radiance(world: World, directions: Floats, seen: Seen) -> Floats:
    """Linear light (n, 3) of what the rays see."""
    out = np.empty((len(directions), 3), dtype=np.float32)
    origin = np.asarray(world.scene.camera.position_mm, dtype=np.float32)
    for number in np.unique(seen.number):
        mask = np.nonzero(seen.number == number)[0]
        d = directions[mask].astype(np.float32)
        if number == SKY:
            out[mask] = _backdrop(world, d)
            continue
        p = origin + seen.depth[mask, None] * d
        pixel = seen.depth[mask] / np.float32(world.scene.camera.f_px)
        out[mask] = _lit(world, p, d, int(number), (pixel, seen.rim[mask]))
        if number == GROUND:
            start = 4 * np.linalg.norm(world.scene.camera.position_mm)  # out of focus and out of mind
            haze = smooth(float(start), float(7 * start), seen.depth[mask])[:, None]
            out[mask] += haze * (_backdrop(world, d) - out[mask])
    return out


def _lit(world: World, p: Floats, d: Floats, number: int, extra: tuple[Floats, npt.NDArray[np.bool_]]) -> Floats:
    pixel, rim = extra
    scene, gloss = world.scene, 0.0
    if number == GROUND:
        # pixels are longer on a slanting floor: half way between the two axes of their footprint
        slant = np.sqrt(np.linalg.norm(d, axis=1) / np.maximum(-d[:, 2], 0.02))
        albedo, n = ground.paint(scene.ground, scene.seed, p[:, 0], p[:, 1], pixel * slant)
        flat = np.broadcast_to(np.array([0, 0, 1], dtype=np.float32), n.shape)
    elif number < 2 + len(world.plates):
        item = world.plates[number - 2]
        albedo, n = item.paint(p, pixel)
        out = p - item.centre.astype(np.float32)
        n = np.where(rim[:, None], out / np.linalg.norm(out, axis=1, keepdims=True), n)
        albedo = np.where(rim[:, None], albedo * 0.6, albedo)
        flat, gloss = n, 0.25 if isinstance(item.reference, Coin) and not item.reference.plain else 0.0
    else:
        solid = world.solids[number - 2 - len(world.plates)]
        n = march.normals(solid, p, np.maximum(pixel, 0.25))
        albedo, flat, gloss = solid.paint(p, n, pixel), n, solid.gloss
    sun = _sunlight(world, p, flat, skip_plate=number - 2)
    return _shine(scene.light, world.towards_light, (albedo, n, d), (sun, _openness(world, p, flat)), gloss)


def _sunlight(world: World, p: Floats, n: Floats, *, skip_plate: int) -> Floats:
    """Share of the light's rays that reach the points."""
    light, softness = world.towards_light, world.scene.light.softness
    left = np.ones(len(p), dtype=np.float32)
    lifted = (p + 0.35 * n).astype(np.float32)
    facing = np.nonzero(n @ light > 0)[0]
    centre, radius = world.hull
    enter, leave = march.span((centre, radius * (1 + 8 * softness)), lifted[facing], light.astype(np.float32)[None])
    near = facing[enter < leave]
    for solid in world.solids:
        some = near if isinstance(solid, BodySolid) else facing
        left[some] *= march.light_left(solid, lifted[some], light, softness)
    for k, item in enumerate(world.plates):
        if k == skip_plate:
            continue
        t = ((item.centre - p) @ item.normal) / (light @ item.normal)
        a, b = item.face(p + t[:, None] * light)
        cover = np.clip(0.5 - item.edge(a, b) / (2 * softness * np.abs(t) + 0.25), 0, 1)
        left *= np.where(t > 0.02, 1 - cover, 1).astype(np.float32)
    return left


def _openness(world: World, p: Floats, n: Floats) -> Floats:
    """How much of the sky the points keep beside the solids and close to the ground, 0..1."""
    out = np.ones(len(p), dtype=np.float32)
    centre, radius = world.hull
    away = p - centre.astype(np.float32)
    near = np.nonzero(np.einsum("ij,ij->i", away, away) < (radius + 120.0) ** 2)[0]
    for solid in world.solids:
        some = near if isinstance(solid, BodySolid) else np.arange(len(p))
        for reach, weight in ((0.10, 0.5), (0.35, 0.45)):
            close, share = march.nearness(solid, p[some], n[some], min(reach * solid.radius, 60.0))
            out[some[close]] *= 1 - weight * share * np.sqrt(share)
    rise = np.clip(1 - p[:, 2] / 12.0, 0, 1) * (1 - np.clip(n[:, 2] + 0.2, 0, 1))
    return cast(Floats, out * (1 - 0.35 * rise))


def _shine(
    light: Light, towards: Floats, what: tuple[Floats, Floats, Floats], reach: tuple[Floats, Floats], gloss: float
) -> Floats:
    """Lambert's law under sun and sky, scaled so that level ground in the open returns its albedo times `strength`."""
    albedo, n, d = what
    sun, open_sky = reach
    warm = 1 + light.warmth * np.array([0.10, 0.01, -0.16], dtype=np.float32)
    cool = 1 - 0.5 * light.warmth * np.array([0.10, 0.0, -0.16], dtype=np.float32)
    direct = (1 - light.ambient) * np.maximum(n @ towards, 0) / towards[2] * sun
    sky = light.ambient * open_sky * (0.64 + 0.36 * n[:, 2])
    total = direct[:, None] * warm + sky[:, None] * cool
    out = light.strength * albedo * total
    if gloss:
        view = -d / np.linalg.norm(d, axis=1, keepdims=True)
        halfway = view + towards
        halfway /= np.linalg.norm(halfway, axis=1, keepdims=True)
        spark = np.maximum((n * halfway).sum(axis=1), 0) ** 36 * sun
        out = out + (gloss * light.strength * spark)[:, None]
    return cast(Floats, out.astype(np.float32))


def _backdrop(world: World, d: Floats) -> Floats:
    """Blurred shrubs under a pale sky, or a plain wall behind paper and boards, by direction."""
    rise = d[:, 2] / np.linalg.norm(d[:, :2], axis=1)
    turn = np.arctan2(d[:, 0], d[:, 1])
    if world.scene.ground.kind in ("paper", "board"):
        wall = linear((206, 203, 196) if world.scene.ground.kind == "paper" else (150, 134, 116))
        return cast(Floats, (wall * (0.95 + 0.4 * np.clip(rise, -0.2, 0.4))[:, None]).astype(np.float32))
    blob = noise.fractal(turn * 9 + 50, rise * 14 + 50, world.scene.seed + 91, 3)
    top = np.clip(
        (rise - 0.16 - 0.22 * (noise.fractal(turn * 5 + 20, rise * 0 + 3, world.scene.seed + 93) - 0.5)) / 0.35, 0, 1
    )
    hedge = linear((98, 116, 78)) * (0.45 + 1.1 * blob)[:, None]
    sky = linear((226, 232, 236)) * (0.92 + 0.1 * blob)[:, None]
    return cast(Floats, (hedge + top[:, None] * (sky - hedge)).astype(np.float32))
