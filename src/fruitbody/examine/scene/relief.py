"""Trunks and crusts: a height picture laid round an upright cylinder or over the flat ground."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np

from fruitbody.examine.scene import noise
from fruitbody.examine.scene.colour import RGB, Floats, linear
from fruitbody.examine.scene.model import Crust, Trunk
from fruitbody.examine.scene.skin import smooth


@dataclass(frozen=True)
class Relief:
    """A solid given by its height over a cylinder (`trunk`) or the ground; `grid` holds height, `skin` crust and edge.

    Face coordinates are (along the girth from the side facing -y, z) on a trunk and (x, y) on the ground.
    """

    trunk: Trunk | None
    grid: Floats
    skin: Floats
    top: float
    low: tuple[float, float]
    texel: float
    centre: Floats
    radius: float
    colours: tuple[RGB, RGB]
    seed: int
    gloss: float = 0.1
    slack: float = 0.7

    def _face(self, p: Floats) -> tuple[Floats, Floats, Floats]:
        if self.trunk is None:
            return p[:, 0], p[:, 1], p[:, 2]
        dx, dy = p[:, 0] - np.float32(self.trunk.xy_mm[0]), p[:, 1] - np.float32(self.trunk.xy_mm[1])
        girth = np.arctan2(dx, -dy) * np.float32(self.trunk.radius_mm)
        return girth, p[:, 2], np.hypot(dx, dy) - trunk_radius(self.trunk, p[:, 2], girth)

    def _look(self, grid: Floats, a: Floats, b: Floats) -> Floats:
        rows, columns, channels = grid.shape
        x = np.clip((a - self.low[0]) / self.texel, 0, columns - 1.001)
        y = np.clip((b - self.low[1]) / self.texel, 0, rows - 1.001)
        i, j = x.astype(np.int32), y.astype(np.int32)
        u, v = (x - i)[:, None], (y - j)[:, None]
        flat, k = grid.reshape(-1, channels), j * columns + i
        low = flat[k] * (1 - u) + flat[k + 1] * u
        high = flat[k + columns] * (1 - u) + flat[k + columns + 1] * u
        return cast(Floats, low * (1 - v) + high * v)

    def distance(self, p: Floats) -> Floats:
        """See solids.Solid; slowed to 0.7 because the relief is steep in places."""
        a, b, over = self._face(p)
        out = over - self.top - 1.0
        near = out < 4.0
        out[near] = (over[near] - self._look(self.grid, a[near], b[near])[:, 0]) * self.slack
        return out

    def paint(self, p: Floats, normal: Floats, pixel_mm: Floats) -> Floats:
        """See solids.Solid."""
        a, b, _ = self._face(p)
        height, cover, edge_share = self._look(self.grid, a, b)[:, 0], *self._look(self.skin, a, b).T
        grain = noise.fractal(a * 0.12 + 500, b * 0.05 + 500, self.seed + 61, 4)
        bark = linear(self.trunk.bark if self.trunk else (180, 150, 110))
        deep = smooth(-1.0, 0.6, height / (self.trunk.relief_mm if self.trunk else 1.0))
        colour = bark * (0.45 + 0.85 * deep + 0.45 * (grain - 0.5))[:, None]
        if self.trunk:
            moss = smooth(0.58, 0.75, noise.fractal(a / 90 + 30, b / 110 + 30, self.seed + 67)) * smooth(500, 0, b)
            colour = colour + (0.5 * moss)[:, None] * (linear((104, 112, 66)) - colour)
        lumps = noise.fractal(a * 0.35 + 90, b * 0.35 + 90, self.seed + 71, 3)
        middle, edge = (linear(c) for c in self.colours)
        body = middle + edge_share[:, None] * (edge - middle)
        body = body * (0.62 + 0.76 * lumps)[:, None]
        return cast(Floats, colour + cover[:, None] * (body - colour))


def trunk_radius(trunk: Trunk, z: Floats, girth: Floats) -> Floats:
    """Radius at the height z, mm: flared at the foot, more over four roots."""
    root = 0.72 + 0.28 * np.cos(girth / trunk.radius_mm * 4 + 0.9)
    return cast(Floats, trunk.radius_mm + trunk.flare_mm * root * np.exp(-np.maximum(z, 0) / trunk.flare_height_mm))


def crust_field(crust: Crust, a: Floats, b: Floats, seed: int) -> tuple[Floats, Floats, Floats]:
    """Height (mm), cover 0..1 and nearness of the edge 0..1 of a crust over face coordinates."""
    u, v = (a - crust.at_mm[0]) / (crust.width_mm / 2), (b - crust.at_mm[1]) / (crust.height_mm / 2)
    angle = np.arctan2(v, u)
    ragged = 1 - 0.22 * noise.fractal(np.cos(angle) * 2.2 + 20, np.sin(angle) * 2.2 + 20, seed, 3)
    share = np.hypot(u, v) / ragged
    d, own = noise.cells(a / crust.lump_mm + 128, b / crust.lump_mm + 128, seed + 3)
    lump = np.sqrt(np.clip(1 - (d / 0.85) ** 2, 0, 1)) * (0.55 + 0.45 * own)
    fine = noise.fractal(a * 0.4 + 300, b * 0.4 + 300, seed + 5, 2)
    body = smooth(1.0, 0.86, share)
    height = body * crust.thickness_mm * (0.2 + 0.72 * lump + 0.08 * fine)
    return height.astype(np.float32), smooth(1.0, 0.95, share), smooth(0.72, 0.99, share)


def extent(crust: Crust, seed: int) -> tuple[float, float, float, float]:
    """The crust's true reach in face coordinates: low and high along the first axis, then along the second, mm."""
    texel = max(crust.width_mm, crust.height_mm) / 400
    a, b = np.meshgrid(
        *(
            c + np.arange(-s / 2, s / 2 + texel, texel)
            for c, s in zip(crust.at_mm, (crust.width_mm, crust.height_mm), strict=True)
        )
    )
    on = crust_field(crust, a.astype(np.float32), b.astype(np.float32), seed)[1] > 0.5
    return float(a[on].min()), float(a[on].max()), float(b[on].min()), float(b[on].max())


def relief(trunk: Trunk | None, crusts: tuple[Crust, ...], height_mm: float, seed: int) -> Relief:
    """The trunk up to `height_mm` with the crusts on it, or the crusts on the ground when there is no trunk."""
    if trunk is not None:
        half = trunk.radius_mm * np.pi
        low, high = (-half, 0.0), (half, height_mm)
    else:
        low = (
            min(c.at_mm[0] - c.width_mm / 2 for c in crusts) - 5,
            min(c.at_mm[1] - c.height_mm / 2 for c in crusts) - 5,
        )
        high = (
            max(c.at_mm[0] + c.width_mm / 2 for c in crusts) + 5,
            max(c.at_mm[1] + c.height_mm / 2 for c in crusts) + 5,
        )
    texel = max((high[0] - low[0]) / 1000, (high[1] - low[1]) / 1600, 0.4)
    a, b = np.meshgrid(
        np.arange(low[0], high[0], texel, dtype=np.float32), np.arange(low[1], high[1], texel, dtype=np.float32)
    )
    grid = _channels(trunk, crusts, (a, b), seed)
    first = crusts[0] if crusts else Crust((0, 0), 1, 1)
    middle = [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2, 0.0] if trunk is None else [*trunk.xy_mm, height_mm / 2]
    wide = (
        np.hypot(high[0] - low[0], high[1] - low[1]) / 2
        if trunk is None
        else np.hypot(trunk.radius_mm + trunk.flare_mm, height_mm / 2)
    )
    return Relief(
        trunk,
        np.ascontiguousarray(grid[..., :1]),
        np.ascontiguousarray(grid[..., 1:]),
        float(grid[..., 0].max()),
        low,
        texel,
        np.array(middle),
        float(wide + 20),
        (first.colour, first.margin or first.colour),
        seed,
    )


def _channels(trunk: Trunk | None, crusts: tuple[Crust, ...], at: tuple[Floats, Floats], seed: int) -> Floats:
    """Height (mm), crust cover and nearness of its edge over the face coordinates, (rows, columns, 3)."""
    a, b = at
    grid = np.zeros((*a.shape, 3), dtype=np.float32)
    grid[..., 0] = -0.5
    if trunk is not None:
        plates = noise.value(a / 13 + 60, b / 42 + 60, seed + 79) - 0.5
        ridge = np.minimum(np.abs(plates) * 5, 1.0) * (0.6 + 0.6 * noise.value(a / 30, b / 24, seed + 83))
        grid[..., 0] = trunk.relief_mm * (ridge + 0.35 * noise.fractal(a / 5 + 9, b / 8 + 9, seed + 81) - 0.9)
    for n, crust in enumerate(crusts):
        height, cover, edge = crust_field(crust, a, b, seed + 100 * n)
        grid[..., 0] = np.where(cover > 0.01, np.maximum(height, grid[..., 0]), grid[..., 0])
        grid[..., 1] = np.maximum(grid[..., 1], cover)
        grid[..., 2] = np.where(cover > 0.01, edge, grid[..., 2])
    return grid
