"""The colours of fruit bodies: caps with scales, zones and fibres, gills, pores, stems, cut flesh. All linear light."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np
import numpy.typing as npt

from fruitbody.examine.scene import noise
from fruitbody.examine.scene.colour import RGB, Floats, linear
from fruitbody.examine.scene.model import Cap, FruitBody, Stem
from fruitbody.examine.scene.profile import Shape


@dataclass(frozen=True)
class Spot:
    """Surface points in a body's own axes (bend taken out): x, y, z, radius, and the size of a pixel there; all mm."""

    x: Floats
    y: Floats
    z: Floats
    r: Floats
    pixel_mm: Floats

    def at(self, mask: npt.NDArray[np.bool_]) -> Spot:
        """The masked points only."""
        return Spot(self.x[mask], self.y[mask], self.z[mask], self.r[mask], self.pixel_mm[mask])

    @property
    def angle(self) -> Floats:
        """Angle about the axis, radians."""
        return cast(Floats, np.arctan2(self.y, self.x))


def smooth(low: float, high: float, x: Floats) -> Floats:
    """0 below low, 1 above high (or the reverse when low > high), smooth between."""
    u = np.clip((x - low) / (high - low), 0, 1)
    return cast(Floats, u * u * (3 - 2 * u))


def mix(a: Floats, b: Floats | RGB, share: Floats) -> Floats:
    """Colours a (n, 3) with `share` (n,) of colour b."""
    other = linear(b) if isinstance(b, tuple) else b
    return cast(Floats, a + share[:, None] * (other - a))


def plain(colour: RGB, n: int) -> Floats:
    """n points of one colour."""
    return cast(Floats, np.repeat(linear(colour)[None], n, axis=0))


def _resolved(period_mm: Floats | float, pixel_mm: Floats) -> Floats:
    """1 where a pattern of this period is resolved by the pixels, falling to 0 where it would alias."""
    return smooth(2.0, 4.0, period_mm / pixel_mm)


def surface(body: FruitBody, shape: Shape, spot: Spot, seed: int) -> Floats:
    """Outer colour at the spots, by the nearest part."""
    names = [n for n in shape.fields if n not in ("union", "gill", "upper", "lower")]
    nearest = np.argmin([shape.look(n, spot.r, spot.z) for n in names], axis=0)
    colour = np.empty((spot.r.size, 3), dtype=np.float32)
    for k, name in enumerate(names):
        mask = nearest == k
        if not mask.any():
            continue
        some = spot.at(mask)
        if name == "cap":
            colour[mask] = _cap(body.cap, shape, some, seed)
        elif name == "stem" and body.stem is not None:
            colour[mask] = _stem(body.stem, some, seed)
        elif body.stem is not None:
            tint = body.stem.volva if name == "volva" and body.stem.volva is not None else body.stem.ring_colour
            grain = noise.fractal(some.angle * 6, some.z * 0.4, seed + 31)
            colour[mask] = plain(tint, some.r.size) * (0.8 + 0.3 * grain)[:, None]
    return colour


def _cap(cap: Cap, shape: Shape, spot: Spot, seed: int) -> Floats:
    if "lower" not in shape.fields:
        return _upper(cap, shape, spot, seed)
    below = shape.look("lower", spot.r, spot.z) < shape.look("upper", spot.r, spot.z) - 0.01 * cap.width_mm
    colour = np.empty((spot.r.size, 3), dtype=np.float32)
    colour[~below] = _upper(cap, shape, spot.at(~below), seed)
    colour[below] = _lower(cap, spot.at(below), seed)
    return colour


def _upper(cap: Cap, shape: Shape, spot: Spot, seed: int) -> Floats:
    radius = cap.width_mm / 2
    share, angle = spot.r / radius, spot.angle
    along = np.hypot(spot.r, shape.top_z - spot.z)  # roughly the way over the cap from its top
    u, v = along * np.cos(angle), along * np.sin(angle)
    colour = plain(cap.colour, spot.r.size)
    wobble = 0.16 * (noise.value(u / radius * 3 + 40, v / radius * 3 + 40, seed) - 0.5)
    if cap.centre is not None:
        colour = mix(colour, cap.centre, smooth(0.75, 0.08, share + wobble))
    if cap.margin is not None:
        colour = mix(colour, cap.margin, smooth(0.66, 0.97, share + wobble))
    if cap.zones:
        band = 0.5 + 0.5 * np.cos(2 * np.pi * cap.zones * (along / along.max(initial=1e-6) + 0.4 * wobble))
        colour = colour * (1 - 0.42 * band * smooth(0.05, 0.2, share))[:, None]
    threads = noise.fractal(np.cos(angle) * 26 + 90, np.sin(angle) * 26 + 90 + along / radius * 0.7, seed + 3)
    colour = colour * (1 + cap.fibres * (threads - 0.5) * smooth(0.0, 0.25, share))[:, None]
    if cap.striate:
        lines = np.cos(angle * 64) * _resolved(2 * np.pi * spot.r / 64, spot.pixel_mm)
        colour = colour * (1 - cap.striate * (0.5 + 0.5 * lines) * smooth(0.55, 0.95, share))[:, None]
    mottle = noise.fractal(u / radius * 4 + 60, v / radius * 4 + 60, seed + 7, 4)
    colour = colour * (0.9 + 0.2 * mottle)[:, None]
    return _marked(cap, u, v, share, colour, seed)


def _marked(cap: Cap, u: Floats, v: Floats, share: Floats, colour: Floats, seed: int) -> Floats:
    """Scales or warts laid over the colour, with a darker lower edge that makes them stand out."""
    marks = cap.marks
    if marks is None:
        return colour
    grow = 0.35 * marks.size_mm
    rag_u = u + grow * (noise.value(u / marks.size_mm * 2.5 + 9, v / marks.size_mm * 2.5 + 9, seed + 11) - 0.5)
    rag_v = v + grow * (noise.value(u / marks.size_mm * 2.5 + 77, v / marks.size_mm * 2.5 + 7, seed + 12) - 0.5)
    d, own = noise.cells(rag_u / marks.size_mm + 128, rag_v / marks.size_mm + 128, seed + 13)
    want = marks.share_centre + (marks.share_margin - marks.share_centre) * smooth(0.05, 0.85, share)
    size = np.sqrt(np.clip(want, 0, 1)) * (0.35 + 0.45 * own) * (own < 0.35 + 0.9 * want)
    inside = smooth(0.06, -0.06, d - size)
    rim = smooth(0.22, 0.0, np.abs(d - size - 0.06)) * (size > 0.02)
    colour = colour * (1 - 0.35 * marks.relief * rim)[:, None]
    return mix(colour, linear(marks.colour) * (0.82 + 0.36 * own)[:, None].astype(np.float32), inside)


def _lower(cap: Cap, spot: Spot, seed: int) -> Floats:
    colour = plain(cap.underside_colour, spot.r.size)
    share = spot.r / (cap.width_mm / 2)
    if cap.underside == "gills":
        angle = spot.angle + 0.035 * (noise.value(share * 6 + 3, spot.angle * 3 + 30, seed + 17) - 0.5)
        for start, count, depth in (
            (0.0, cap.gill_count, 0.55),
            (0.5, 2 * cap.gill_count, 0.35),
            (0.78, 4 * cap.gill_count, 0.25),
        ):
            gap = (0.5 + 0.5 * np.cos(angle * count)) ** 2
            seen = _resolved(2 * np.pi * spot.r / count, spot.pixel_mm) * (
                smooth(start, start + 0.08, share) if start else 1.0
            )
            colour = colour * (1 - depth * (gap * seen + 0.35 * (1 - seen) * (start == 0)))[:, None]
    elif cap.underside == "pores":
        d, _ = noise.cells(spot.x / cap.pore_mm + 128, spot.y / cap.pore_mm + 128, seed + 19)
        seen = _resolved(cap.pore_mm, spot.pixel_mm)
        colour = colour * (1 - 0.6 * smooth(0.42, 0.25, d) * seen - 0.2 * (1 - seen))[:, None]
        colour = mix(colour, cap.margin or cap.colour, smooth(0.93, 0.99, share))
    tone = noise.fractal(spot.x / cap.width_mm * 5 + 50, spot.y / cap.width_mm * 5 + 50, seed + 23)
    return cast(Floats, colour * (0.85 + 0.3 * tone)[:, None])


def _stem(stem: Stem, spot: Spot, seed: int) -> Floats:
    colour = plain(stem.colour, spot.r.size)
    share = spot.z / stem.length_mm
    if stem.base_colour is not None:
        patchy = 0.3 * (noise.value(spot.angle * 2 + 9, spot.z * 0.2 + 9, seed + 27) - 0.5)
        colour = mix(colour, stem.base_colour, smooth(0.55, 0.05, share + patchy))
    threads = noise.fractal(np.cos(spot.angle) * 9 + 30 + np.sin(spot.angle) * 9, spot.z * 0.06 + 20, seed + 29, 4)
    colour = colour * (1 + 1.2 * stem.fibres * (threads - 0.5))[:, None]
    if stem.cut_off:
        colour = np.where((spot.z < 0.4)[:, None], linear((236, 228, 208)) * (0.9 + 0.2 * threads)[:, None], colour)
    return cast(Floats, colour.astype(np.float32))


def flesh(body: FruitBody, shape: Shape, spot: Spot, depth: Floats, seed: int) -> Floats:
    """Colour of the cut or bitten face; `depth` is the way to the outer surface, mm."""
    cap = body.cap
    colour = plain(cap.flesh, spot.r.size)
    fine = noise.fractal(spot.x * 0.45 + 90, spot.z * 0.15 + 90, seed + 37, 4)
    colour = colour * (0.86 + 0.28 * fine)[:, None]
    if body.stem is not None:
        core = (shape.look("stem", spot.r, spot.z) < -0.22 * body.stem.apex_mm) & (
            shape.look("cap", spot.r, spot.z) > -0.5
        )
        colour = np.where(core[:, None], colour * 0.86, colour)
    if "gill" in shape.fields:
        gills = smooth(0.1, -0.2, shape.look("gill", spot.r, spot.z))
        leaf = 0.8 + 0.2 * np.cos(spot.x * 5.0) * _resolved(1.25, spot.pixel_mm)
        colour = mix(colour, linear(cap.underside_colour) * leaf[:, None].astype(np.float32), gills)
    if body.inside is not None:
        rind = 0.05 * cap.width_mm
        marbled = noise.fractal(spot.x * 0.7 + 40, spot.z * 0.7 + 40, seed + 41, 4)
        colour = mix(
            colour,
            linear(body.inside) * (0.55 + 0.9 * marbled)[:, None].astype(np.float32),
            smooth(rind * 0.85, rind * 1.15, depth),
        )
    return mix(colour, cap.colour, smooth(0.9, 0.4, depth))
