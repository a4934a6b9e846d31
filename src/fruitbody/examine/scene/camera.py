"""The pinhole camera: where a point falls, where a pixel looks, and the ellipse that a level disc becomes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import cast

import numpy as np
import numpy.typing as npt

from fruitbody.examine.scene.colour import Floats


@dataclass(frozen=True)
class Camera:
    """Pinhole at `position_mm`. `tilt_deg` is 0 looking straight down and 90 level; heading 0 looks along +y.

    Pixel centres have whole coordinates, (0, 0) the upper left one; the principal point is the middle of the image.
    """

    position_mm: tuple[float, float, float]
    tilt_deg: float = 35.0
    heading_deg: float = 0.0
    roll_deg: float = 0.0
    f_px: float = 1400.0
    width: int = 1600
    height: int = 1200

    @classmethod
    def looking_at(
        cls,
        target_mm: tuple[float, float, float],
        *,
        distance_mm: float,
        tilt_deg: float,
        heading_deg: float = 0.0,
        f_px: float = 1400.0,
    ) -> Camera:
        """A camera `distance_mm` from the target, which falls on the principal point."""
        axis = cls((0, 0, 0), tilt_deg, heading_deg).axes[2]
        x, y, z = (float(v) for v in np.asarray(target_mm) - distance_mm * axis)
        return cls((x, y, z), tilt_deg, heading_deg, f_px=f_px)

    @property
    def axes(self) -> Floats:
        """3 x 3, rows: image right, image down and forward as unit vectors of the world."""
        t, h, r = np.radians([self.tilt_deg, self.heading_deg, self.roll_deg])
        forward = np.array([np.sin(h) * np.sin(t), np.cos(h) * np.sin(t), -np.cos(t)])
        right = np.array([np.cos(h), -np.sin(h), 0.0])
        down = np.cross(forward, right)
        return np.stack([np.cos(r) * right + np.sin(r) * down, np.cos(r) * down - np.sin(r) * right, forward])

    @property
    def principal_px(self) -> tuple[float, float]:
        """Principal point (x, y) in pixels."""
        return (self.width - 1) / 2, (self.height - 1) / 2

    def scaled(self, width: int) -> Camera:
        """The same view at another image width."""
        factor = width / self.width
        return replace(self, width=width, height=round(self.height * factor), f_px=self.f_px * factor)

    def project(self, points_mm: npt.ArrayLike) -> Floats:
        """Pixels (..., 2) of points (..., 3); NaN behind the camera."""
        local = (np.asarray(points_mm, dtype=np.float64) - self.position_mm) @ self.axes.T
        depth = np.where(local[..., 2:] > 1e-9, local[..., 2:], np.nan)
        return cast(Floats, self.f_px * local[..., :2] / depth + self.principal_px)

    def depth(self, points_mm: npt.ArrayLike) -> Floats:
        """Distance along the optical axis, mm."""
        return cast(Floats, (np.asarray(points_mm, dtype=np.float64) - self.position_mm) @ self.axes[2])

    def directions(self, px: Floats) -> Floats:
        """Ray directions (..., 3) of pixels (..., 2), scaled so that one unit is one mm of depth."""
        plane = (px - np.asarray(self.principal_px)) / self.f_px
        return cast(Floats, plane[..., :1] * self.axes[0] + plane[..., 1:] * self.axes[1] + self.axes[2])

    def on_plane(self, px: Floats, point_mm: npt.ArrayLike, normal: npt.ArrayLike) -> Floats:
        """Where the rays of pixels (..., 2) meet the plane through `point_mm` with `normal`; points (..., 3)."""
        d = self.directions(px)
        n = np.asarray(normal, dtype=np.float64)
        t = (np.asarray(point_mm) - self.position_mm) @ n / (d @ n)
        return cast(Floats, self.position_mm + t[..., None] * d)


@dataclass(frozen=True)
class Ellipse:
    """Image ellipse: centre, full axes, and the angle of the major axis from +x towards +y (down), 0 to 180 degrees."""

    centre_px: tuple[float, float]
    major_px: float
    minor_px: float
    angle_deg: float


def disc_ellipse(camera: Camera, centre_mm: tuple[float, float, float], diameter_mm: float) -> Ellipse:
    """The exact image of a level disc wholly before the camera: its circle carried through the plane's homography.

    With H from plane to image and Q the circle's conic, the image conic is H^-T Q H^-1 (Hartley and
    Zisserman, Multiple View Geometry, 2nd edition 2004, chapter 2; place in the book from memory).
    """
    cx, cy = camera.principal_px
    k = np.array([[camera.f_px, 0, cx], [0, camera.f_px, cy], [0, 0, 1]])
    offset = np.asarray(centre_mm) - camera.position_mm
    inverse = np.linalg.inv(k @ camera.axes @ np.column_stack([[1.0, 0, 0], [0, 1.0, 0], offset]))
    r2 = (diameter_mm / 2) ** 2
    conic = inverse.T @ np.diag([1 / r2, 1 / r2, -1.0]) @ inverse
    centre = np.linalg.solve(conic[:2, :2], -conic[:2, 2])
    level = conic[2, 2] + conic[:2, 2] @ centre
    values, vectors = np.linalg.eigh(conic[:2, :2] / -level)
    angle = float(np.degrees(np.arctan2(vectors[1, 0], vectors[0, 0]))) % 180.0
    return Ellipse(
        (float(centre[0]), float(centre[1])), float(2 / np.sqrt(values[0])), float(2 / np.sqrt(values[1])), angle
    )
