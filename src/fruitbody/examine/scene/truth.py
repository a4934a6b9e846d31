"""The truth record of a scene: what a perfect measurement of its picture would find."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import numpy as np

from fruitbody.examine.scene import relief
from fruitbody.examine.scene.camera import Camera, disc_ellipse
from fruitbody.examine.scene.colour import RGB, Floats, lab
from fruitbody.examine.scene.model import Cap, Coin, Crust, FruitBody, Reference, Scene, Stem
from fruitbody.examine.scene.plates import plate
from fruitbody.examine.scene.profile import solid
from fruitbody.examine.scene.solids import bend_at, lift_at, pose

FORMAT = 1


def truth_of(scene: Scene) -> dict[str, Any]:
    """Plain dictionary, ready for JSON; docs/scene.md explains every field."""
    camera = scene.camera
    return {
        "format": FORMAT,
        "view": scene.view,
        "note": scene.note,
        "seed": scene.seed,
        "camera": {
            "f_px": camera.f_px,
            "principal_px": _list(camera.principal_px),
            "width_px": camera.width,
            "height_px": camera.height,
            "position_mm": _list(camera.position_mm),
            "tilt_deg": camera.tilt_deg,
            "heading_deg": camera.heading_deg,
            "roll_deg": camera.roll_deg,
            "axes": [_list(row) for row in camera.axes],
        },
        "references": [_reference(camera, r) for r in scene.references],
        "fruit_bodies": [_body(camera, b) for b in scene.bodies]
        + [_crust(scene, n, c) for n, c in enumerate(scene.crusts)],
        "ground": {"kind": scene.ground.kind},
        "light": asdict(scene.light),
        "lens": {
            "blur_sigma_px": scene.lens.blur_px,
            "vignetting": scene.lens.vignetting,
            "noise_codes": scene.lens.noise,
            "jpeg_quality": scene.lens.jpeg_quality,
        },
    }


def _list(values: Any) -> list[float | None]:
    """Rounded floats, null where a point lies behind the camera."""
    return [None if not np.isfinite(v) else round(float(v), 4) for v in np.ravel(values)]


def _points(camera: Camera, points: Floats) -> dict[str, Any]:
    return {"mm": [_list(p) for p in points], "px": [_list(p) for p in camera.project(points)]}


def _reference(camera: Camera, reference: Reference) -> dict[str, Any]:
    item = plate(reference)
    record: dict[str, Any] = {
        "kind": reference.kind,
        "centre_mm": _list(item.centre),
        "height_mm": reference.height_mm,
        "depth_mm": round(float(camera.depth(item.centre)), 4),
        "upright": not isinstance(reference, Coin) and reference.upright,
        "turn_deg": reference.turn_deg,
        "corners": _points(camera, item.corners),
    }
    if isinstance(reference, Coin):
        e = disc_ellipse(camera, (item.centre[0], item.centre[1], item.centre[2]), reference.diameter_mm)
        return record | {
            "diameter_mm": reference.diameter_mm,
            "thickness_mm": reference.thickness_mm,
            "ellipse": {
                "centre_px": _list(e.centre_px),
                "major_px": round(e.major_px, 4),
                "minor_px": round(e.minor_px, 4),
                "angle_deg": round(e.angle_deg, 4),
            },
        }
    return record | {"length_mm": reference.length_mm, "breadth_mm": reference.breadth_mm}


def colour_record(code: RGB) -> dict[str, Any]:
    """A material's colour as sRGB codes and CIELAB."""
    return {"srgb": list(code), "lab": _list(lab(code))}


def to_world(body: FruitBody, local: Floats) -> Floats:
    """World points of points in the body's own axes."""
    return np.asarray(body.base_mm) + local @ pose(body).T


def margin_points(body: FruitBody, camera: Camera) -> Floats:
    """The two ends (2, 3) of the cap diameter that lies across the view: left, right in the picture."""
    rotation, shape = pose(body), solid(body)
    axis = rotation[:, 2]
    bend = float(bend_at(body, np.array([shape.apex_z]))[0]) if body.stem is not None else 0.0
    centre = to_world(body, np.array([[bend, 0.0, shape.margin_z]]))[0]
    across = np.cross(axis, centre - camera.position_mm)
    if np.linalg.norm(across) < 1e-6:  # looking along the axis: any diameter lies across, take the picture's own
        across = camera.axes[0] - (camera.axes[0] @ axis) * axis
    if body.halved:  # the cut face shows the diameter along local x
        across = rotation[:, 0]
    across = across / np.linalg.norm(across)
    if across @ camera.axes[0] < 0:
        across = -across
    ends = np.array([-1.0, 1.0])[:, None] * (body.cap.width_mm / 2) * across
    local = ends @ rotation
    return np.asarray(centre + ends + lift_at(body, local[:, 0], local[:, 1])[:, None] * axis)


def outline_points(body: FruitBody) -> Floats:
    """Points all over the surface of revolution (n, 3), for the bounding box."""
    shape = solid(body)
    ring = np.linspace(0, np.pi if body.halved else 2 * np.pi, 73)
    r, z = shape.outline[:, 0, None], shape.outline[:, 1, None]
    lift = lift_at(body, r * np.cos(ring), r * np.sin(ring))
    x = r * np.cos(ring) + bend_at(body, z)
    return to_world(body, np.stack([x, r * np.sin(ring), z + lift], axis=2).reshape(-1, 3))


def _box(camera: Camera, points: Floats) -> list[float | None]:
    """x0, y0, x1, y1 of the part within the picture, hidden or not."""
    points = points[points[:, 2] > -0.01]
    if len(points) == 0:
        return [None] * 4
    px = camera.project(points)
    low, high = np.nanmin(px, axis=0), np.nanmax(px, axis=0)
    size = np.array([camera.width - 1, camera.height - 1])
    return _list(np.concatenate([np.clip(low, 0, size), np.clip(high, 0, size)]))


def _body(camera: Camera, body: FruitBody) -> dict[str, Any]:
    shape, ends = solid(body), margin_points(body, camera)
    axis = pose(body)[:, 2]
    record: dict[str, Any] = {
        "name": body.name,
        "form": body.form,
        "halved": body.halved,
        "base_mm": _list(body.base_mm),
        "axis": _list(axis),
        "cap": _cap(body.cap)
        | {
            "margin": _points(camera, ends),
            "depth_mm": round(float(camera.depth(ends.mean(axis=0))), 4),
            "height_mm": round(shape.top_z - shape.margin_z, 4),
        },
        "stem": None if body.stem is None else _stem(camera, body, body.stem),
        "box_px": _box(camera, outline_points(body)),
    }
    if body.inside is not None:
        record["inside"] = colour_record(body.inside)
    return record


def _cap(cap: Cap) -> dict[str, Any]:
    colours = {
        "colour": cap.colour,
        "centre": cap.centre,
        "margin_colour": cap.margin,
        "underside_colour": cap.underside_colour,
        "flesh": cap.flesh,
        "marks": cap.marks.colour if cap.marks else None,
    }
    return {
        "width_mm": cap.width_mm,
        "profile": cap.profile,
        "underside": cap.underside,
        "wavy_mm": cap.wavy_mm,
        "wrinkle": cap.wrinkle,
        "bitten": cap.bite is not None,
        "colours": {name: colour_record(c) for name, c in colours.items() if c is not None},
    }


def _stem(camera: Camera, body: FruitBody, stem: Stem) -> dict[str, Any]:
    z = np.array([0.0, stem.length_mm])
    ends = to_world(body, np.stack([bend_at(body, z), np.zeros(2), z], axis=1))
    return {
        "length_mm": stem.length_mm,
        "width_mm": {"apex": stem.apex_mm, "middle": stem.middle_mm, "base": stem.base_mm},
        "cut_off": stem.cut_off,
        "base_visible": bool(ends[0, 2] > -0.5),
        "rings": len(stem.rings),
        "volva": stem.volva is not None,
        "colour": colour_record(stem.colour),
        "ends": _points(camera, ends),
    }


def _crust(scene: Scene, n: int, crust: Crust) -> dict[str, Any]:
    a0, a1, b0, b1 = relief.extent(crust, scene.seed + 100 * n)
    corners = np.array([[a0, b0], [a1, b0], [a1, b1], [a0, b1]])
    points = np.column_stack([corners, np.zeros(4)])
    if scene.trunk is not None:
        t = scene.trunk
        radius, turn = relief.trunk_radius(t, corners[:, 1], corners[:, 0]), corners[:, 0] / t.radius_mm
        points = np.column_stack(
            [t.xy_mm[0] + radius * np.sin(turn), t.xy_mm[1] - radius * np.cos(turn), corners[:, 1]]
        )
    return {
        "name": crust.name,
        "form": "crust",
        "on": "trunk" if scene.trunk else "ground",
        "width_mm": round(a1 - a0, 3),
        "height_mm": round(b1 - b0, 3),
        "thickness_mm": crust.thickness_mm,
        "corners": _points(scene.camera, points),
        "colour": colour_record(crust.colour),
        "box_px": _box(scene.camera, points),
    }
