"""What lies in a mount: spores and the things that are taken for spores, as phase and absorption on a patch."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.spores.optics import Optics, coarse, good_side, grid, image

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Look:
    """How spores of one kind look: refractive indices of wall and content, thickness of the wall in µm, optical density
    per µm of wall and of content in red, green and blue; almond: 0 ellipsoid to 1 pointed at one end; warts: height of
    the ornament in µm; apiculus: length of the hilar appendage in µm; drop: radius of an oil drop over the width."""

    wall_index: float = 1.46
    content_index: float = 1.40
    wall_um: float = 0.35
    wall_density: tuple[float, float, float] = (0.05, 0.05, 0.06)
    content_density: tuple[float, float, float] = (0.0, 0.0, 0.0)
    almond: float = 0.0
    warts_um: float = 0.0
    apiculus_um: float = 0.7
    drop: float = 0.0


HYALINE = Look()
BROWN = Look(wall_index=1.50, wall_density=(0.25, 0.45, 0.8), content_density=(0.02, 0.04, 0.08), wall_um=0.5)
STAINED = Look(content_density=(0.02, 0.12, 0.07), wall_density=(0.1, 0.7, 0.5))
ALMOND = Look(wall_density=(0.25, 0.45, 0.8), almond=0.5, wall_um=0.45, warts_um=0.15)


@dataclass(frozen=True, slots=True)
class Pose:
    """length_um, width_um: of the spore itself; angle_deg: of the long axis, clockwise as seen; tilt_deg: out of the
    plane; defocus_um: of its middle; seed: of ornament."""

    length_um: float
    width_um: float
    angle_deg: float = 0.0
    tilt_deg: float = 0.0
    defocus_um: float = 0.0
    seed: int = 0

    def seen_length_um(self) -> float:
        """The long axis as projected."""
        tilt = math.radians(self.tilt_deg)
        return math.hypot(self.length_um * math.cos(tilt), self.width_um * math.sin(tilt))


def patch_px(pose: Pose, optics: Optics) -> int:
    """Side of an even patch that holds the body and its halo."""
    halo = 2.0 + 0.8 * abs(pose.defocus_um) + abs(pose.length_um * math.sin(math.radians(pose.tilt_deg))) / 2
    return good_side((pose.length_um + 2 * halo) / optics.um_per_px)


def spore(pose: Pose, look: Look, optics: Optics) -> Array:
    """A spore's picture: intensity over that of the empty field, [size, size, 3]."""
    size = patch_px(pose, optics)
    u, v = _turned(*grid(size, optics), pose.angle_deg)
    outer, inner, drop = _thicknesses(u, v, pose, look)
    phase = (outer - inner) * (look.wall_index - optics.index) + inner * (look.content_index - optics.index)
    phase = (phase + drop * (1.47 - look.content_index)) * 2 * math.pi / optics.wavelength_um
    channels: dict[tuple[float, float], Array] = {}
    for densities in zip(look.wall_density, look.content_density, strict=True):
        if densities not in channels:
            absorbed = (outer - inner) * densities[0] + inner * densities[1]
            channels[densities] = _at_depths(phase, absorbed, pose, optics)
    return np.stack([channels[d] for d in zip(look.wall_density, look.content_density, strict=True)], axis=2)


def _at_depths(phase: Array, absorbed: Array, pose: Pose, optics: Optics) -> Array:
    """A tilted spore has one end above and one below: three depths, blended along its axis."""
    tilt = math.radians(pose.tilt_deg)
    a, b, seen = pose.length_um / 2, pose.width_um / 2, pose.seen_length_um() / 2
    rise = (a**2 - b**2) * math.sin(tilt) * math.cos(tilt) / seen
    if abs(rise) < 0.05:
        return image(phase, absorbed, pose.defocus_um, optics)
    size = phase.shape[0] // optics.fine
    line = (np.arange(size) - (size - 1) / 2) * optics.um_per_px
    x, y = np.meshgrid(line, line)
    along, _ = _turned(x, y, pose.angle_deg)
    place = np.clip(along / seen, -1, 1)
    low, middle, high = (image(phase, absorbed, pose.defocus_um + k * rise, optics) for k in (-0.8, 0.0, 0.8))
    share = np.abs(place)
    return np.asarray(middle * (1 - share) + np.where(place > 0, high, low) * share)


def _turned(x: Array, y: Array, angle_deg: float) -> tuple[Array, Array]:
    """Coordinates along and across an axis at this angle."""
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return x * c + y * s, y * c - x * s


def _thicknesses(u: Array, v: Array, pose: Pose, look: Look) -> tuple[Array, Array, Array]:
    """Thickness in µm of the whole spore, of its content, and of an oil drop, along the light."""
    a, b = pose.seen_length_um() / 2, pose.width_um / 2
    deep = pose.length_um * pose.width_um / 4 / a
    # An almond narrows towards one end; its length and its greatest width stay.
    narrow = 1 - look.almond * 0.55 * np.clip(u / a + 0.1, 0, 1) ** 2
    t = np.arctan2(v / b, u / a)
    rough = _warts(t, pose.seed) * look.warts_um
    outer = _ellipsoid(u / (a + rough), v / (narrow * (b + rough)), deep * narrow)
    wall = min(look.wall_um, b / 2)
    inner = _ellipsoid(u / (a - wall), v / (narrow * (b - wall)), np.maximum(deep * narrow - wall, 0.01))
    if look.apiculus_um > 0:
        beak = _ellipsoid((u + a + look.apiculus_um * 0.3) / (look.apiculus_um * 0.7), (v - 0.25 * b) / 0.3, 0.3)
        outer = np.maximum(outer, beak)
    drop = _ellipsoid(u / (look.drop * b), v / (look.drop * b), look.drop * b) if look.drop > 0 else np.zeros_like(u)
    return outer, np.minimum(inner, outer), np.minimum(drop, inner)


def _ellipsoid(u: Array, v: Array, half: Array | float) -> Array:
    return 2 * half * np.sqrt(np.maximum(1 - u**2 - v**2, 0))


def _warts(angle: Array, seed: int) -> Array:
    """A bumpy outline, 0 to 1, as a sum of waves round the spore."""
    rng = np.random.default_rng(seed)
    waves = [np.cos(k * angle + rng.uniform(0, 2 * math.pi)) for k in (17, 23, 29)]
    return np.asarray(np.clip(np.sum(waves, axis=0) / 3, 0, None))


# What is taken for spores


def bubble(radius_um: float, optics: Optics) -> Array:
    """An air bubble: a broad black rim, for rays that graze it leave the objective's cone, round a bright middle."""
    size = good_side(2 * (radius_um + 2) / optics.um_per_px)
    r = np.hypot(*grid(size, optics)) / radius_um
    rim = np.clip((r - 0.45) / 0.12, 0, 1) * np.clip((1 - r) / 0.03, 0, 1)
    light = 1 - 0.93 * rim + 0.12 * np.exp(-(((r - 1.05) / 0.05) ** 2)) + 0.2 * np.exp(-((r / 0.25) ** 2))
    return coarse(light, optics)


def debris(size_um: float, density: float, optics: Optics, *, seed: int) -> Array:
    """A flake of anything: an irregular outline, uneven inside."""
    rng = np.random.default_rng(seed)
    size = good_side((size_um * 2.4 + 4) / optics.um_per_px)
    x, y = grid(size, optics)
    angle, r = np.arctan2(y, x), np.hypot(x, y)
    edge = np.full_like(r, size_um / 2)
    for k in range(2, 9):
        edge += size_um * rng.normal(0, 0.28 / k) * np.cos(k * angle + rng.uniform(0, 6.3))
    inside = np.clip((edge - r) / 0.2, 0, 1)
    uneven = 1 + 0.5 * np.cos(x * rng.uniform(0.8, 2.5) + rng.uniform(0, 6)) * np.cos(y * rng.uniform(0.8, 2.5))
    return np.asarray(image(inside * uneven * 0.8, inside * uneven * density, rng.uniform(-2, 2), optics))


def hypha(length_um: float, width_um: float, optics: Optics, *, seed: int) -> Array:
    """A bent tube with thin walls and cross-walls."""
    rng = np.random.default_rng(seed)
    size = good_side((length_um + 6) / optics.um_per_px)
    u, v = _turned(*grid(size, optics), rng.uniform(0, 180))
    v = v - length_um * 0.08 * np.sin(u / length_um * 5 + rng.uniform(0, 6))
    ends = np.clip((length_um / 2 - np.abs(u)) / 0.3, 0, 1)
    tube = 2 * np.sqrt(np.maximum((width_um / 2) ** 2 - v**2, 0)) * ends
    hollow = 2 * np.sqrt(np.maximum((width_um / 2 - 0.3) ** 2 - v**2, 0)) * ends
    septa = np.exp(-((((u + 7) % 23) / 0.25) ** 2)) * hollow
    phase = ((tube - hollow) * 0.12 + hollow * 0.05 + septa * 0.05) * 2 * math.pi / optics.wavelength_um
    return np.asarray(image(phase, tube * 0.01, rng.uniform(-1, 1), optics))
