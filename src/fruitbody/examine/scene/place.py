"""Laying things down: resting on the ground, lying on a side, growing as a tuft, and the usual views of a finder."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fruitbody.examine.scene import profile
from fruitbody.examine.scene.camera import Camera
from fruitbody.examine.scene.model import FruitBody, Stem, View
from fruitbody.examine.scene.solids import lowest


def at(body: FruitBody, x: float, y: float, *, sunk_mm: float = 0.0, name: str | None = None) -> FruitBody:
    """The body in its present attitude, its lowest point on the ground, or `sunk_mm` below it."""
    return replace(body, base_mm=(x, y, -lowest(body) - sunk_mm), name=name or body.name)


def lying(body: FruitBody, x: float, y: float, *, azimuth_deg: float = 90.0, spin_deg: float = 0.0) -> FruitBody:
    """Laid on its side so that the foot and the margin of the cap both touch the ground, as it comes to rest."""
    outline = profile.solid(body).outline
    foot = max(outline[outline[:, 1] < 0.2 * outline[:, 1].max()], key=lambda p: float(p[0]))
    cap = outline[int(np.argmax(outline[:, 0]))]
    tilt = 90.0 - np.degrees(np.arctan2(cap[0] - foot[0], cap[1] - foot[1]))
    return at(replace(body, lean_deg=float(tilt), azimuth_deg=azimuth_deg, spin_deg=spin_deg), x, y)


def upturned(body: FruitBody, x: float, y: float, *, lean_deg: float = 150.0, azimuth_deg: float = 0.0) -> FruitBody:
    """Cap on the ground, underside up and turned towards a camera at -y."""
    return at(replace(body, lean_deg=lean_deg, azimuth_deg=azimuth_deg), x, y)


def tuft(
    body: FruitBody, count: int, *, centre: tuple[float, float], spread_mm: float, seed: int
) -> tuple[FruitBody, ...]:
    """`count` bodies of differing size from one foot, leaning outwards; named after the first with a number."""
    rng = np.random.default_rng(seed)
    out = []
    for n in range(count):
        turn, far = n * 2.399963, np.sqrt((n + 0.4) / count)  # the golden angle spaces them evenly
        size, tall = rng.uniform(0.6, 1.05), rng.uniform(0.75, 1.1)
        stem = (
            None
            if body.stem is None
            else replace(
                body.stem,
                length_mm=round(body.stem.length_mm * tall, 1),
                apex_mm=round(body.stem.apex_mm * size, 1),
                middle_mm=round(body.stem.middle_mm * size, 1),
                base_mm=round(body.stem.base_mm * size, 1),
            )
        )
        cap = replace(body.cap, width_mm=round(body.cap.width_mm * size, 1))
        base = (
            centre[0] + 0.22 * spread_mm * far * np.sin(turn),
            centre[1] + 0.22 * spread_mm * far * np.cos(turn),
            -4.0,
        )
        length = body.stem.length_mm if body.stem is not None else 50.0
        lean = float(np.degrees(np.arctan2(0.78 * spread_mm * far, length)))
        out.append(
            replace(
                body,
                cap=cap,
                stem=stem,
                base_mm=base,
                lean_deg=lean,
                azimuth_deg=float(np.degrees(turn) % 360),
                spin_deg=float(rng.uniform(0, 360)),
                name=f"{body.name}{n + 1}",
            )
        )
    return tuple(out)


def camera_for(
    view: View, target_mm: tuple[float, float, float], span_mm: float, *, heading_deg: float = 0.0
) -> Camera:
    """The camera a finder would hold for a view, so that `span_mm` fills about the width of the picture."""
    tilt = {"top": 28.0, "side": 76.0, "underside": 30.0, "base": 52.0, "cut": 22.0, "place": 68.0}[view]
    f = 1400.0
    return Camera.looking_at(
        target_mm, distance_mm=max(span_mm * f / 1600.0, 120.0), tilt_deg=tilt, heading_deg=heading_deg, f_px=f
    )


def sized(body: FruitBody, factor: float) -> FruitBody:
    """The body with all lengths times the factor, rounded to 0.1 mm; scales and pores keep their size."""
    cap, stem = body.cap, body.stem
    height = None if cap.height_mm is None else round(cap.height_mm * factor, 1)
    smaller = (
        None
        if stem is None
        else replace(
            stem,
            length_mm=round(stem.length_mm * factor, 1),
            apex_mm=round(stem.apex_mm * factor, 1),
            middle_mm=round(stem.middle_mm * factor, 1),
            base_mm=round(stem.base_mm * factor, 1),
            bend_mm=round(stem.bend_mm * factor, 1),
        )
    )
    return replace(body, cap=replace(cap, width_mm=round(cap.width_mm * factor, 1), height_mm=height), stem=smaller)


def short(body: FruitBody, length_mm: float) -> Stem:
    """The stem cut off `length_mm` below the cap, without its rings, for a view of the underside."""
    if body.stem is None:
        raise ValueError("This fruit body has no stem to shorten; choose one with a stem.")
    stem = body.stem
    return replace(
        stem,
        length_mm=length_mm,
        middle_mm=stem.apex_mm,
        base_mm=stem.apex_mm,
        rings=(),
        cut_off=True,
        base_colour=None,
        bend_mm=0.0,
        volva=None,
    )


def bitten(body: FruitBody) -> FruitBody:
    """With a bite out of the margin on the side of the camera, left and right ends of the width untouched."""
    return replace(body, cap=replace(body.cap, bite=(-78.0, 0.24 * body.cap.width_mm)))
