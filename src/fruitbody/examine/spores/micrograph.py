"""A bright-field photo of a spore mount of known truth: the project's own model, for tests, bench and demo.

A field is laid out (where lies what), each body is imaged by `optics` at its own depth, the pictures are multiplied
into the field, and light, camera and noise are added. Everything follows from the settings and the seed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.spores import bodies
from fruitbody.examine.spores.bodies import HYALINE, Look, Pose
from fruitbody.examine.spores.optics import Optics

Floats = NDArray[np.float32]
Picture = NDArray[np.uint8]

SIDE_VIEW = 0.96
"""A spore whose long axis looks shorter than this share of itself does not count as seen from the side; one of Q 1.6
reaches it at a tilt of 21 degrees."""


TOUCH_UM = 0.5
"""Spores with less than this between their outlines touch."""


@dataclass(frozen=True, slots=True)
class Setting:
    """A field to be drawn. width_px, height_px; spores: free ones; clumps, debris, bubbles, hyphae: how many.

    mean_um, sd_um: of length and width; look: of the kind. defocus_um: standard deviation of the spores' depths about
    `focus_um`; tilt_deg: standard deviation; stray: share of spores that lie far out of focus or steep. noise: relative
    standard deviation at full light; gradient: of the light over the field; anywhere: spores are strewn
    without regard to one another, and may overlap.
    """

    optics: Optics
    width_px: int = 1600
    height_px: int = 1200
    spores: int = 40
    clumps: int = 4
    debris: int = 6
    bubbles: int = 2
    hyphae: int = 2
    mean_um: tuple[float, float] = (9.3, 5.6)
    sd_um: tuple[float, float] = (0.55, 0.3)
    look: Look = HYALINE
    defocus_um: float = 0.3
    focus_um: float = 0.0
    tilt_deg: float = 6.0
    stray: float = 0.15
    anywhere: bool = False
    noise: float = 0.015
    gradient: float = 0.15
    seed: int = 1


@dataclass(frozen=True, slots=True)
class Lying:
    """One body of the truth. kind: spore, clump (each of its spores), debris, bubble, hypha; x, y in pixels; length and
    width of the spore itself in µm; cut: it reaches over the picture's edge."""

    kind: str
    x: float
    y: float
    pose: Pose
    cut: bool = False

    def countable(self, optics: Optics, focus_um: float = 0.0) -> bool:
        """A free, whole spore in side view, within twice the depth of field and half a micrometre of focus."""
        sharp = abs(self.pose.defocus_um - focus_um) <= 2 * optics.depth_um + 0.5
        level = self.pose.seen_length_um() >= SIDE_VIEW * self.pose.length_um
        return self.kind == "spore" and not self.cut and sharp and level


@dataclass(frozen=True, slots=True)
class Micrograph:
    """picture: sRGB [height, width, 3]; truth: what lies where; setting: how it was drawn."""

    picture: Picture
    truth: tuple[Lying, ...]
    setting: Setting


def draw(setting: Setting) -> Micrograph:
    """Draw a field. The same setting gives the same bytes."""
    rng = np.random.default_rng(setting.seed)
    light = np.ones((setting.height_px, setting.width_px, 3), dtype=np.float32)
    truth = tuple(_lay_out(setting, rng))
    for lying in truth:
        _multiply(light, _picture_of(lying, setting), lying.x, lying.y)
    return Micrograph(_exposed(light, setting, rng), truth, setting)


def _lay_out(setting: Setting, rng: np.random.Generator) -> list[Lying]:
    """Places without overlap (but within clumps, and of spores strewn anywhere), the large things first."""
    taken: list[tuple[float, float, float]] = []
    found: list[Lying] = []
    long = setting.mean_um[0]
    for kind, count, reach in (
        ("hypha", setting.hyphae, 22.0), ("clump", setting.clumps, 1.5 * long), ("bubble", setting.bubbles, 7.0),
        ("debris", setting.debris, 6.0), ("spore", setting.spores, 0.53 * long + 0.3),
    ):  # fmt: skip
        for _ in range(count):
            before = len(taken)
            place = _free_place(setting, reach / setting.optics.um_per_px, taken, rng)
            if setting.anywhere and kind == "spore":
                del taken[before:]
            if place is not None:
                found += _put(kind, place, setting, rng)
    return _named(found, setting)


def _free_place(
    setting: Setting, reach_px: float, taken: list[tuple[float, float, float]], rng: np.random.Generator
) -> tuple[float, float] | None:
    """A place where nothing lies yet; bodies may reach over the picture's edge. None where all is full."""
    for _ in range(200):
        x, y = rng.uniform(0, setting.width_px), rng.uniform(0, setting.height_px)
        if all(math.hypot(x - tx, y - ty) > reach_px + tr for tx, ty, tr in taken):
            taken.append((x, y, reach_px))
            return x, y
    return None


def _put(kind: str, place: tuple[float, float], setting: Setting, rng: np.random.Generator) -> list[Lying]:
    x, y = place
    if kind == "spore":
        stray = rng.random() < setting.stray
        return [_whole_or_cut(Lying(kind, x, y, _pose(setting, rng, stray=stray)), setting)]
    if kind == "clump":
        near = 0.42 * setting.mean_um[0] / setting.optics.um_per_px
        turns = rng.uniform(0, 6.3) + np.arange(int(rng.integers(2, 5))) * 2.2
        spots = [(x + near * math.cos(t) * k**0.3, y + near * math.sin(t) * k**0.3) for k, t in enumerate(turns, 1)]
        return [_whole_or_cut(Lying(kind, cx, cy, _pose(setting, rng, stray=False)), setting) for cx, cy in spots]
    size = {"hypha": rng.uniform(25, 40), "bubble": rng.uniform(5, 12), "debris": rng.uniform(3, 9)}[kind]
    return [Lying(kind, x, y, Pose(size, rng.uniform(2.5, 5), seed=int(rng.integers(1 << 30))))]


def _named(found: list[Lying], setting: Setting) -> list[Lying]:
    """A spore that touches another belongs to a clump; one of a clump that in the end lies free is a free spore."""
    um = setting.optics.um_per_px
    spores = [i for i, lying in enumerate(found) if lying.kind in ("spore", "clump")]
    rings = {i: _ring(found[i], um) for i in spores}
    touching: set[int] = set()
    for k, i in enumerate(spores):
        for j in spores[k + 1 :]:
            reach = (found[i].pose.length_um + found[j].pose.length_um) / 2 + TOUCH_UM
            if math.hypot(found[i].x - found[j].x, found[i].y - found[j].y) * um > reach:
                continue
            if np.hypot(*(rings[i][:, None] - rings[j][None]).T).min() * um <= TOUCH_UM:
                touching |= {i, j}
    return [
        replace(lying, kind="clump" if i in touching else "spore") if i in rings else lying
        for i, lying in enumerate(found)
    ]


def _ring(lying: Lying, um: float) -> NDArray[np.float64]:
    """Points of a body's outline and of half of it, [n, 2] in pixels, so that one body within another touches it."""
    t, turn = np.linspace(0, 2 * math.pi, 60), math.radians(lying.pose.angle_deg)
    a, b = lying.pose.seen_length_um() / 2 / um, lying.pose.width_um / 2 / um
    u = np.concatenate([np.cos(t), np.cos(t) / 2]) * a
    v = np.concatenate([np.sin(t), np.sin(t) / 2]) * b
    x, y = u * math.cos(turn) - v * math.sin(turn), u * math.sin(turn) + v * math.cos(turn)
    return np.stack([lying.x + x, lying.y + y], axis=1)


def _pose(setting: Setting, rng: np.random.Generator, *, stray: bool) -> Pose:
    length = max(rng.normal(setting.mean_um[0], setting.sd_um[0]), setting.mean_um[0] / 2)
    width = min(max(rng.normal(setting.mean_um[1], setting.sd_um[1]), setting.mean_um[1] / 2), length)
    tilt, depth = rng.normal(0, setting.tilt_deg), rng.normal(setting.focus_um, setting.defocus_um)
    if stray and rng.random() < 0.5:
        tilt = rng.uniform(25, 75)
    elif stray:
        depth += rng.choice((-1, 1)) * (2 * setting.optics.depth_um + 0.5 + rng.uniform(0.5, 6))
    seed = int(rng.integers(1 << 30))
    return Pose(length, width, rng.uniform(0, 180), tilt, round(depth, 1), seed)


def _whole_or_cut(lying: Lying, setting: Setting) -> Lying:
    angle, um = math.radians(lying.pose.angle_deg), setting.optics.um_per_px
    a, b = lying.pose.seen_length_um() / 2 / um, lying.pose.width_um / 2 / um
    half_x = math.hypot(a * math.cos(angle), b * math.sin(angle))
    half_y = math.hypot(a * math.sin(angle), b * math.cos(angle))
    whole = half_x <= lying.x <= setting.width_px - 1 - half_x and half_y <= lying.y <= setting.height_px - 1 - half_y
    return replace(lying, cut=not whole)


def _picture_of(lying: Lying, setting: Setting) -> NDArray[np.float64]:
    pose, optics = lying.pose, setting.optics
    if lying.kind in ("spore", "clump"):
        return bodies.spore(pose, setting.look, optics)
    if lying.kind == "bubble":
        plain = bodies.bubble(pose.length_um, optics)
    elif lying.kind == "hypha":
        plain = bodies.hypha(pose.length_um, pose.width_um, optics, seed=pose.seed)
    else:
        plain = bodies.debris(pose.length_um, 0.05 * pose.width_um, optics, seed=pose.seed)
    return np.repeat(plain[:, :, None], 3, axis=2)


def _multiply(light: Floats, patch: NDArray[np.float64], x: float, y: float) -> None:
    """Put a patch into the field with its centre at a whole or half pixel next to (x, y)."""
    size = patch.shape[0]
    left, top = _corner(x, size), _corner(y, size)
    x0, y0 = max(left, 0), max(top, 0)
    x1, y1 = min(left + size, light.shape[1]), min(top + size, light.shape[0])
    if x0 < x1 and y0 < y1:
        light[y0:y1, x0:x1] *= patch[y0 - top : y1 - top, x0 - left : x1 - left].astype(np.float32)


def _corner(centre: float, size: int) -> int:
    return round(centre - (size - 1) / 2)


def _exposed(light: Floats, setting: Setting, rng: np.random.Generator) -> Picture:
    """Uneven light of a warm lamp, shot and read noise, sRGB in eight bits."""
    h, w, _ = light.shape
    y, x = np.mgrid[0:h, 0:w].astype(np.float32)
    turn = rng.uniform(0, 2 * math.pi)
    slope = (x / w - 0.5) * math.cos(turn) + (y / h - 0.5) * math.sin(turn)
    bowl = ((x / w - 0.5) ** 2 + (y / h - 0.5) ** 2) * 2
    lamp = (1 + setting.gradient * (slope - bowl))[:, :, None] * np.array([0.62, 0.6, 0.55], dtype=np.float32)
    linear = light * lamp
    linear += rng.standard_normal(linear.shape, dtype=np.float32) * setting.noise * np.sqrt(np.maximum(linear, 0.02))
    linear = np.clip(linear, 0, 1)
    encoded = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    return np.asarray(np.rint(encoded * 255), dtype=np.uint8)
