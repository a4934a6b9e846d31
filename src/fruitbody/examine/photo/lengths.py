"""A length between two points of a photo, by a reference that lies somewhere beside the part."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from fruitbody.examine.photo.budget import Length, Placing, distance_mm, length
from fruitbody.examine.photo.picture import Picture
from fruitbody.examine.photo.references import Reference

U_END_SHARE: Final = 0.0008  # of the picture's diagonal: how well a person places an end (common practice)
U_HEIGHT_MM: Final = 15.0  # of a height that nobody told
U_TOLD_MM: Final = 8.0  # of a height that the finder told
U_NO_PLANE_MM: Final = 25.0  # where the reference does not tell how its ground lies (a ruler)

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Height:
    """How high above the reference's ground the part is, mm, its standard uncertainty, and whether somebody told."""

    mm: float = 0.0
    u_mm: float = U_HEIGHT_MM
    told: bool = False

    @classmethod
    def of(cls, told_mm: float | None) -> Height:
        return cls() if told_mm is None else cls(told_mm, U_TOLD_MM, True)


def between(
    picture: Picture,
    reference: Reference,
    a_px: Point,
    b_px: Point,
    *,
    height: Height = Height(),
    placing: Placing | None = None,
    u_end_px: float | None = None,
) -> Length:
    """Length of the straight line between two points, across the view. Raises BudgetError.

    The part's own distance follows from the plane of the reference: what stands farther back on the same ground is
    farther away, what rises above it is nearer. placing: other terms of the budget; its depth is replaced.
    """
    assert reference.scale is not None
    u_end = u_end_px if u_end_px is not None else U_END_SHARE * math.hypot(picture.width, picture.height)
    nearer, u = nearer_mm(reference, picture, middle(a_px, b_px), height)
    base = placing or Placing()
    return length(
        math.dist(a_px, b_px),
        u_end,
        scale=reference.scale,
        lens=picture.lens,
        placing=replace(base, nearer_mm=nearer, u_nearer_mm=u),
    )


def in_plane(picture: Picture, reference: Reference, a_px: Point, b_px: Point, *, u_end_px: float) -> Length:
    """Length of a line that lies flat on the reference's ground. Raises BudgetError."""
    assert reference.scale is not None
    angle = math.degrees(math.atan2(b_px[1] - a_px[1], b_px[0] - a_px[0]))
    found = length(
        math.dist(a_px, b_px),
        u_end_px,
        scale=reference.scale,
        lens=picture.lens,
        placing=Placing(lie="plane"),
        segment_deg=angle,
    )
    if reference.plane is None or (reference.scale.tilt_deg or 0) < 15:
        return found
    # The plane itself knows the perspective away from the reference; the budget keeps its shares.
    true = reference.plane.distance_between(a_px, b_px)
    by = true / found.value_mm
    return replace(
        found,
        value_mm=true,
        u_mm=found.u_mm * by,
        low_mm=true - 2 * found.u_mm * by,
        high_mm=true + 2 * found.u_mm * by,
    )


def nearer_mm(reference: Reference, picture: Picture, at_px: Point, height: Height) -> tuple[float, float]:
    """How much nearer to the camera than the reference a part at this pixel is, and the standard uncertainty."""
    assert reference.scale is not None
    if reference.plane is None or reference.centre_px is None:
        return height.mm, max(height.u_mm, U_NO_PLANE_MM)
    plane, (z, _) = reference.plane, distance_mm(reference.scale, picture.lens)
    here, there = plane.depth(reference.centre_px), plane.depth(at_px, height.mm)
    raised = plane.depth(at_px, height.mm + height.u_mm)
    if not all(math.isfinite(v) for v in (here, there, raised)) or there <= 0:
        return height.mm, max(height.u_mm, 0.15 * z)
    # The tilt of the plane is known to a degree or two, worse where the disc looks nearly round.
    tilt, u_tilt = reference.scale.tilt_deg or 0.0, reference.scale.u_tilt_deg
    reach = math.dist(at_px, reference.centre_px) / picture.lens.f_px
    u_slope = math.radians(u_tilt if u_tilt is not None else 6.0) * reach / max(0.2, math.cos(math.radians(tilt))) ** 2
    return float(here - there), math.hypot(
        raised - there, u_slope * there, picture.lens.u * 0.5 * abs(here - there - height.mm)
    )


def middle(a: Point, b: Point) -> Point:
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
