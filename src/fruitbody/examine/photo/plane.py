"""The plane in which a reference lies, in the camera's axes (right, down, forward; mm), and depths over it.

A disc's ellipse fits two planes. The one is taken that a camera held level sees looking down on it: its normal points
upwards in the picture and hardly aside. A card's homography leaves no choice.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from fruitbody.examine.photo.budget import Lens

Floats = npt.NDArray[np.floating[Any]]


@dataclass(frozen=True, slots=True)
class Plane:
    """normal: unit, towards the camera; distance_mm: of the plane along it; f_px, principal_px: of the camera."""

    normal: tuple[float, float, float]
    distance_mm: float
    f_px: float
    principal_px: tuple[float, float]

    def depth(self, at_px: tuple[float, float], height_mm: float = 0.0) -> float:
        """Depth along the optical axis of what is seen at a pixel, `height_mm` above the plane; NaN beyond it."""
        ray = self._ray(at_px)
        towards = -float(np.dot(self.normal, ray))
        return (self.distance_mm - height_mm) / towards if towards > 0.05 else math.nan

    def distance_between(self, a_px: tuple[float, float], b_px: tuple[float, float]) -> float:
        """Distance of two points of the plane, mm."""
        a, b = (self._ray(p) * self.depth(p) for p in (a_px, b_px))
        return float(np.linalg.norm(a - b))

    def _ray(self, px: tuple[float, float]) -> Floats:
        (x, y), (cx, cy) = px, self.principal_px
        return np.array([(x - cx) / self.f_px, (y - cy) / self.f_px, 1.0])


def plane_of_disc(
    centre_px: tuple[float, float],
    axes_px: tuple[float, float],
    angle_deg: float,
    diameter_mm: float,
    *,
    lens: Lens,
    principal_px: tuple[float, float],
) -> Plane:
    """The plane of a disc from its ellipse (full axes), by the eigenvectors of its cone.

    With eigenvalues l1 >= l2 > 0 > l3 of the cone x'Cx = 0 the normals are
    sqrt((l1 - l2) / (l1 - l3)) e1 +- sqrt((l2 - l3) / (l1 - l3)) e3; the distance along them follows from the radius.
    """
    c = _cone(centre_px, axes_px, angle_deg, lens.f_px, principal_px)
    values, vectors = np.linalg.eigh(c)
    if values[1] < 0:
        values, vectors = -values, vectors
        order = np.argsort(values)
        values, vectors = values[order], vectors[:, order]
    l3, l2, l1 = (float(v) for v in values)
    e3, e1 = vectors[:, 0], vectors[:, 2]
    s, k = math.sqrt(max(0.0, (l1 - l2) / (l1 - l3))), math.sqrt(max(0.0, (l2 - l3) / (l1 - l3)))
    middle = np.array([(centre_px[0] - principal_px[0]) / lens.f_px, (centre_px[1] - principal_px[1]) / lens.f_px, 1.0])
    normals = [n if n @ middle < 0 else -n for n in (s * e1 + k * e3, s * e1 - k * e3)]
    normal = min(normals, key=lambda n: float(n[0] ** 2 + 4 * max(0.0, n[1]) ** 2))
    distance = diameter_mm / 2 * l2 / math.sqrt(-l1 * l3)
    return Plane((float(normal[0]), float(normal[1]), float(normal[2])), distance, lens.f_px, principal_px)


def _cone(
    centre: tuple[float, float], axes: tuple[float, float], angle_deg: float, f: float, principal: tuple[float, float]
) -> Floats:
    """Symmetric matrix of the cone through the camera and an ellipse, in normalised rays."""
    t = math.radians(angle_deg)
    u, v = np.array([math.cos(t), math.sin(t)]), np.array([-math.sin(t), math.cos(t)])
    a, b = axes[0] / 2 / f, axes[1] / 2 / f
    m = np.outer(u, u) / a**2 + np.outer(v, v) / b**2
    x = (np.asarray(centre) - np.asarray(principal)) / f
    c = np.empty((3, 3))
    c[:2, :2], c[:2, 2], c[2, :2], c[2, 2] = m, -m @ x, -m @ x, x @ m @ x - 1
    return c


def plane_of_homography(h: Floats, *, lens: Lens, principal_px: tuple[float, float], print_scale: float = 1.0) -> Plane:
    """The plane of a card from the homography of its millimetres to pixels."""
    k = np.array([[lens.f_px, 0, principal_px[0]], [0, lens.f_px, principal_px[1]], [0, 0, 1]])
    m = np.linalg.inv(k) @ h
    scale = 2 / (np.linalg.norm(m[:, 0]) + np.linalg.norm(m[:, 1]))
    m = m * scale
    if m[2, 2] < 0:
        m = -m
    normal = np.cross(m[:, 0], m[:, 1])
    normal = normal / np.linalg.norm(normal)
    distance = float(normal @ m[:, 2])
    if distance > 0:
        normal, distance = -normal, -distance
    return Plane(
        (float(normal[0]), float(normal[1]), float(normal[2])), -distance * print_scale, lens.f_px, principal_px
    )
