"""Fruit bodies as solids that rays can meet: pose, distance to the surface, paint."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol, cast

import numpy as np

from fruitbody.examine.scene import profile, skin
from fruitbody.examine.scene.colour import Floats
from fruitbody.examine.scene.model import FruitBody


class Solid(Protocol):
    """What the ray marcher asks of a solid. Points are (n, 3) in world millimetres."""

    @property
    def centre(self) -> Floats:
        """Centre of a sphere round the whole solid, (3,)."""

    @property
    def radius(self) -> float:
        """Radius of that sphere, mm."""

    @property
    def gloss(self) -> float:
        """Strength of the highlight, 0 to 1."""

    @property
    def slack(self) -> float:
        """How much shorter the steps of `distance` are than the true distance, 0 to 1."""

    def distance(self, p: Floats) -> Floats:
        """A step that never overshoots the surface, (n,); negative inside."""

    def paint(self, p: Floats, normal: Floats, pixel_mm: Floats) -> Floats:
        """Linear-light colour (n, 3) at surface points."""


def pose(body: FruitBody) -> Floats:
    """Rotation from the body's own axes to the world; azimuth 0 leans away along +y, 90 to the right along +x."""
    lean, azimuth, spin = np.radians([body.lean_deg, body.azimuth_deg, body.spin_deg])
    k = np.array([-np.cos(azimuth), np.sin(azimuth), 0.0])
    cross = np.array([[0, -k[2], k[1]], [k[2], 0, -k[0]], [-k[1], k[0], 0]])
    tip = np.eye(3) + np.sin(lean) * cross + (1 - np.cos(lean)) * cross @ cross
    turn = np.array([[np.cos(spin), -np.sin(spin), 0], [np.sin(spin), np.cos(spin), 0], [0, 0, 1.0]])
    return cast(Floats, tip @ turn)


def bend_at(body: FruitBody, z: Floats) -> Floats:
    """Sideways shift (local x, mm) at the height z of a bent stem; the cap is shifted whole, so it keeps its shape."""
    if body.stem is None or body.stem.bend_mm == 0:
        return np.zeros_like(z)
    u = np.clip(z / body.stem.length_mm, 0, 1)
    return cast(Floats, body.stem.bend_mm * u * u * (3 - 2 * u))


def lift_at(body: FruitBody, x: Floats, y: Floats) -> Floats:
    """How far a wavy margin is lifted (local z, mm) at x, y from the axis: three lobes, growing with the cube of r."""
    size = 0.5 * body.cap.wavy_mm / (body.cap.width_mm / 2) ** 3
    sine, cosine = y * (3 * x * x - y * y), x * (x * x - 3 * y * y)  # r^3 sin 3a and r^3 cos 3a
    return size * (0.765 * sine + 0.644 * cosine)


@dataclass(frozen=True)
class BodySolid:
    """A fruit body in its place."""

    body: FruitBody
    seed: int
    shape: profile.Shape = field(init=False)
    rotation: Floats = field(init=False)
    centre: Floats = field(init=False)
    radius: float = field(init=False)

    def __post_init__(self) -> None:
        shape = profile.solid(self.body)
        low, high = shape.outline[:, 1].min(), shape.outline[:, 1].max()
        bend = self.body.stem.bend_mm if self.body.stem is not None else 0.0
        middle = np.array([bend / 2, 0.0, (low + high) / 2])
        reach = np.hypot(shape.outline[:, 0] + abs(bend) / 2, shape.outline[:, 1] - middle[2]).max()
        rotation = pose(self.body)
        for name, value in (
            ("shape", shape),
            ("rotation", rotation.astype(np.float32)),
            ("centre", self.body.base_mm + rotation @ middle),
            ("radius", float(reach + abs(self.body.cap.wavy_mm) + 0.5)),
        ):
            object.__setattr__(self, name, value)

    @property
    def gloss(self) -> float:
        """Of the cap."""
        return self.body.cap.gloss

    @property
    def slack(self) -> float:
        """See Solid."""
        cap = self.body.cap
        bent = self.body.stem is not None and self.body.stem.bend_mm != 0
        return 0.95 - (0.15 if bent else 0.0) - (0.2 if cap.wavy_mm else 0.0) - (0.3 if cap.wrinkle else 0.0)

    def local(self, p: Floats) -> Floats:
        """World points in the body's own axes, base at the origin."""
        return cast(Floats, (p - np.asarray(self.body.base_mm, dtype=np.float32)) @ self.rotation)

    def _rz(self, q: Floats) -> tuple[Floats, Floats]:
        """Radius and height on the profile, after taking out bend, waves and wrinkles."""
        x, z = q[:, 0] - bend_at(self.body, q[:, 2]), q[:, 2]
        r = np.sqrt(x * x + q[:, 1] * q[:, 1])
        cap = self.body.cap
        if cap.wavy_mm:
            z = z - lift_at(self.body, x, q[:, 1])
        if cap.wrinkle:
            angle = np.arctan2(q[:, 1], x)
            folds = np.cos(7 * angle + 0.35 * z) + np.cos(11 * angle - 0.5 * z + 1.0)
            r = r * (1 + cap.wrinkle * (0.5 + 0.25 * folds))
        return r, z

    def distance(self, p: Floats) -> Floats:
        """See Solid."""
        q = self.local(p)
        r, z = self._rz(q)
        d = self.shape.look("union", r, z)
        cap = self.body.cap
        d = d * self.slack
        if cap.bite is not None:
            a, size = np.radians(cap.bite[0]), cap.bite[1]
            out = cap.width_mm / 2 + 0.15 * size
            at = np.array([out * np.cos(a), out * np.sin(a), self.shape.margin_z], dtype=np.float32)
            if self.body.stem is not None:
                at[0] += self.body.stem.bend_mm
            d = np.maximum(d, size - np.linalg.norm(q - at, axis=1))
        if self.body.halved:
            d = np.maximum(d, -q[:, 1])
        return d

    def paint(self, p: Floats, normal: Floats, pixel_mm: Floats) -> Floats:
        """See Solid."""
        q = self.local(p)
        r, z = self._rz(q)
        inner = self.shape.look("union", r, z)
        spot = skin.Spot(q[:, 0] - bend_at(self.body, q[:, 2]), q[:, 1], z, r, pixel_mm)
        colour = skin.surface(self.body, self.shape, spot, self.seed)
        opened = inner < (-0.35 if self.body.halved or self.body.cap.bite is not None else -np.inf)
        if opened.any():
            colour[opened] = skin.flesh(self.body, self.shape, spot.at(opened), -inner[opened], self.seed)
        return colour


def lowest(body: FruitBody) -> float:
    """Height of the lowest point of a body over its own base height, mm (bend and waves set aside)."""
    outline, tip = profile.solid(body).outline, pose(body)[2]
    return float((outline[:, 1] * tip[2] - outline[:, 0] * np.hypot(tip[0], tip[1])).min())
