"""Spores in a photo: found, measured at sub-pixel edges, accepted or set aside with a reason.

A person has the last word: everything set aside comes back with its place and reason.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.spores import bodies_found as first
from fruitbody.examine.spores.edges import Edges, find_edges
from fruitbody.examine.spores.errors import FieldError
from fruitbody.examine.spores.field import Bytes, Field, read_field
from fruitbody.examine.spores.outline import Measured, angle_deg, measure
from fruitbody.examine.spores.printed import PRINTED, printed
from fruitbody.examine.spores.sample import LENGTH_RANGE_UM, Preparation, Sample, Spore
from fruitbody.examine.spores.sifting import OUT_OF_FOCUS, Bounds, reasons

SMALLEST_SIDE_PX: Final = 64
UM_PER_PX: Final = (0.005, 5.0)
"""Sizes of a pixel in the object that a light microscope and a camera can have."""

FRAGMENT = 0.12
"""What is smaller than this share of a usual body, and no spore, is not even listed."""


@dataclass(frozen=True, slots=True)
class Body:
    """One body in the picture. x, y: its middle in pixels; length_px, width_px: full axes; angle_deg: of the long one;
    ellipse: measured as an ellipse, else by the rectangle round its outline; outline: points (x, y) to draw;
    reason: why it was set aside, '' for an accepted spore."""

    x: float
    y: float
    length_px: float
    width_px: float
    angle_deg: float
    ellipse: bool
    outline: tuple[tuple[float, float], ...]
    reason: str


@dataclass(frozen=True, slots=True)
class Detection:
    """accepted, rejected: bodies; um_per_px: as given, None where there is no calibration; remarks: sentences."""

    accepted: tuple[Body, ...]
    rejected: tuple[Body, ...]
    um_per_px: float | None
    remarks: tuple[str, ...]


def detect(picture: Bytes, um_per_px: float | None = None, bounds: Bounds | None = None) -> Detection:
    """Find spores in an eight-bit picture [height, width] or [height, width, 3] (RGB).

    Without `um_per_px` everything stays in pixels. Raises FieldError where the picture cannot be one of a mount.
    """
    _check(picture, um_per_px)
    field = read_field(picture)
    found = first.outlines(field)
    verdicts = list(found.reasons)
    for i in np.flatnonzero(printed(picture, field)):
        verdicts[i] = PRINTED
    bodies = _first_bodies(found, verdicts)
    look = np.array([not reason for reason in verdicts], dtype=bool)
    if look.any():
        edges = find_edges(field.light, found.first.pick(look))
        measured = measure(edges)
        light = (field.noise, _middle(field.light, edges))
        judged = reasons(edges, measured, area=found.area[look], light=light, bounds=bounds or Bounds())
        judged = _possible(judged, measured, um_per_px)
        for k, i in enumerate(np.flatnonzero(look)):
            bodies[i] = _body(edges, measured, k, judged[k])
    return _sorted(bodies, found.area, um_per_px, field)


def _check(picture: Bytes, um_per_px: float | None) -> None:
    fits = picture.dtype == np.uint8 and picture.ndim in (2, 3) and (picture.ndim == 2 or picture.shape[2] == 3)
    if not fits:
        raise ValueError("A picture is an array of bytes, [height, width] or [height, width, 3].")
    if min(picture.shape[:2]) < SMALLEST_SIDE_PX:
        raise FieldError("This picture is too small to measure in. Use the photo as the camera made it.")
    low, high = UM_PER_PX
    if um_per_px is not None and not low <= um_per_px <= high:
        raise FieldError(
            f"A pixel of {um_per_px:g} µm cannot be: {low:g} to {high:g} µm is what microscopes give. "
            "Calibrate with a stage micrometer, or give µm per pixel and not pixels per µm."
        )


def _first_bodies(found: first.Outlines, verdicts: list[str]) -> list[Body]:
    e, turn = found.first, angle_deg(found.first)
    return [
        Body(float(e.x[i]), float(e.y[i]), 2 * float(e.a[i]), 2 * float(e.b[i]), float(turn[i]), True, (), reason)
        for i, reason in enumerate(verdicts)
    ]


def _body(edges: Edges, measured: Measured, k: int, reason: str) -> Body:
    outline = tuple((round(float(x), 2), round(float(y), 2)) for x, y in measured.outline[k, ::2])
    fit = edges.fit
    turn = (float(angle_deg(fit)[k]) + (90 if measured.turned[k] else 0)) % 180
    return Body(
        float(fit.x[k]), float(fit.y[k]), float(measured.length[k]), float(measured.width[k]), turn,
        bool(measured.ellipse[k]), outline, reason,
    )  # fmt: skip


def _middle(light: NDArray[np.float32], edges: Edges) -> NDArray[np.float64]:
    """The light at the middle of each body, over 3 × 3 pixels."""
    h, w = light.shape
    x = np.clip(np.rint(edges.fit.x), 1, w - 2).astype(int)
    y = np.clip(np.rint(edges.fit.y), 1, h - 2).astype(int)
    near = [light[y + dy, x + dx] for dy in (-1, 0, 1) for dx in (-1, 0, 1)]
    return np.asarray(np.mean(near, axis=0), dtype=np.float64)


def _possible(judged: list[str], measured: Measured, um_per_px: float | None) -> list[str]:
    """With a scale, sizes that no spore has are set aside."""
    if um_per_px is None:
        return judged
    low, high = LENGTH_RANGE_UM
    wrong = (measured.width * um_per_px < low) | (measured.length * um_per_px > high)
    return [first.DEBRIS if bad and not reason else reason for reason, bad in zip(judged, wrong, strict=True)]


def _sorted(bodies: list[Body], area: NDArray[np.float64], um_per_px: float | None, field: Field) -> Detection:
    accepted = tuple(body for body in bodies if not body.reason)
    whole = [size for body, size in zip(bodies, area, strict=True) if not body.reason]
    usual = float(np.median(whole)) if whole else 0.0
    rejected = tuple(body for body, size in zip(bodies, area, strict=True) if body.reason and size > FRAGMENT * usual)
    detection = Detection(accepted, rejected, um_per_px, _remarks(accepted, rejected, um_per_px))
    _refuse(detection, field)
    return detection


def _remarks(accepted: tuple[Body, ...], rejected: tuple[Body, ...], um_per_px: float | None) -> tuple[str, ...]:
    words = []
    if um_per_px is None:
        words.append("There is no calibration for this picture: lengths are in pixels and only ratios can be compared.")
    if any(body.reason == PRINTED for body in rejected):
        words.append("Something is printed on this picture, such as a scale bar. It was not read: give µm per pixel.")
    if 0 < len(accepted) < 20:
        words.append(f"{len(accepted)} spores were accepted; 20 to 30 are wanted. Photograph more fields.")
    return tuple(words)


def _refuse(detection: Detection, field: Field) -> None:
    """Say in a sentence why there is nothing to measure. Raises FieldError."""
    accepted, rejected = len(detection.accepted), len(detection.rejected)
    busy = field.covered > 0.5 or field.uneven > 3.5
    if busy and accepted < 0.25 * (accepted + rejected):
        raise FieldError(
            "This does not look like a bright-field photo of a spore mount: there is no even field with bodies in it. "
            "Choose the photo taken through the microscope."
        )
    if accepted:
        return
    if not rejected:
        raise FieldError(
            "There is no body in this field. Move to a place with spores, or focus on them, and try again."
        )
    counted = Counter(body.reason for body in detection.rejected)
    if counted[first.TOUCHING] >= max(1, rejected / 2):
        raise FieldError("All spores lie in clumps here. Dilute or spread the mount and photograph free-lying spores.")
    if counted[OUT_OF_FOCUS] >= max(1, rejected / 2):
        raise FieldError("Everything here is out of focus. Focus on the outline of the spores and photograph again.")
    told = "; ".join(f"{count} × {reason}" for reason, count in counted.most_common(3))
    raise FieldError(f"No spore here can be measured ({told}). Photograph a field with free spores in side view.")


def sample_of(detection: Detection, preparation: Preparation | None = None, *, fruit_body: str = "") -> Sample:
    """The accepted spores as a sample, in µm where there is a calibration, else in pixels."""
    scale = detection.um_per_px or 1.0
    spores = tuple(Spore(b.length_px * scale, b.width_px * scale, fruit_body) for b in detection.accepted)
    return Sample(spores, "px" if detection.um_per_px is None else "µm", preparation or Preparation())


def drawn(picture: Bytes, detection: Detection) -> Bytes:
    """The picture (RGB) with every outline on it: accepted ones drawn through, the others as boxes."""
    out = picture.copy() if picture.ndim == 3 else cv2.cvtColor(picture, cv2.COLOR_GRAY2RGB).astype(np.uint8)
    for body in (*detection.accepted, *detection.rejected):
        if body.reason:
            box = cv2.boxPoints(((body.x, body.y), (body.length_px, body.width_px), body.angle_deg))
            cv2.polylines(out, [np.rint(box).astype(np.int32)], True, (150, 80, 30), 2)
        else:
            cv2.polylines(out, [np.rint(np.array(body.outline)).astype(np.int32)], True, (20, 90, 200), 2)
    return np.asarray(out, dtype=np.uint8)
