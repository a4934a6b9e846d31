"""From edge points to length and width: the ellipse where the body is one, else the rectangle round its outline.

The hilar appendage and single warts are left out: a running median round the outline takes away what only a few
neighbouring normals show.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.spores.edges import SMOOTHING_PX, Edges, without_appendage
from fruitbody.examine.spores.profiles import Ellipses

Array = NDArray[np.float64]

ELLIPSE = 0.012
"""Up to this departure from an ellipse, over the half width, the ellipse itself is measured."""

RIM_SHIFT = 0.4
"""How far the steepest place lies outside a thin dark rim's outline, as a share of the edge's blur: the image of a thin
line is as wide as the blur and not as the line. Set on the project's optical model; none for a body without a rim."""


HALO, LINE = 1.0, 1.5
"""How much a halo as strong as the rim counts against the shift, and how much such a bright line inside for it."""


@dataclass(frozen=True, slots=True)
class Measured:
    """Full axes in pixels and scatter of the edge points about the outline, [n]; outline: [n, NORMALS, 2] (x, y);
    ellipse: whether it was measured as one; departure: from the ellipse over the half width; shift: how far the outline
    was drawn in from the steepest places, pixels; turned: the long axis lies across the fitted ellipse's."""

    length: Array
    width: Array
    scatter: Array
    outline: Array
    ellipse: NDArray[np.bool_]
    departure: Array
    shift: Array
    turned: NDArray[np.bool_]


def measure(edges: Edges) -> Measured:
    """Length and width of n bodies."""
    fit = edges.fit
    u, v, off = _own_frame(edges.points, fit)
    weak = np.abs(edges.steep) < 0.25 * np.median(np.abs(edges.steep), axis=1, keepdims=True)
    smooth = without_appendage(np.where(weak, np.nan, off), fit.b)
    shift = RIM_SHIFT * _blur_of_the_light(edges) * _rimness(edges)
    # The foot of each edge point on the ellipse, moved out by the smoothed distance.
    su, sv = _moved(u, v, by=smooth - shift[:, None] - off, fit=fit)
    departure = np.sqrt(np.mean((smooth - np.median(smooth, axis=1, keepdims=True)) ** 2, axis=1)) / fit.b
    ellipse = departure <= ELLIPSE
    length = np.where(ellipse, 2 * (fit.a - shift), su.max(axis=1) - su.min(axis=1))
    width = np.where(ellipse, 2 * (fit.b - shift), sv.max(axis=1) - sv.min(axis=1))
    scatter = np.sqrt(np.nanmedian((off - smooth) ** 2, axis=1)) / 0.6745
    c, s = np.cos(fit.angle)[:, None], np.sin(fit.angle)[:, None]
    outline = np.stack([fit.x[:, None] + su * c - sv * s, fit.y[:, None] + su * s + sv * c], axis=2)
    long, short = np.maximum(length, width), np.maximum(np.minimum(length, width), 1e-6)
    return Measured(
        long, short, np.hypot(scatter, edges.ellipse_rms * 0.7), outline, ellipse, departure, shift, width > length
    )


def _blur_of_the_light(edges: Edges) -> Array:
    """The edges' width in pixels without what our own smoothing added; a step smoothed by σ rises over √(2π) σ.

    The rise is taken between pooled light, for noise would widen that of single normals.
    """
    own = math.sqrt(2 * math.pi) * SMOOTHING_PX
    steep = np.maximum(np.median(np.abs(edges.steep), axis=1), 1e-9)
    width = (np.abs(edges.beside.rim) + np.abs(edges.beside.halo)) / steep
    return np.asarray(np.sqrt(np.maximum(width**2 - own**2, 0)), dtype=np.float64)


def _rimness(edges: Edges) -> Array:
    """0: as dark (or bright) inside as at the rim, a disc; 1: a rim round a body as bright as the field. A bright halo
    close outside draws the steepest place in again, and counts against it; a bright line inside, as beyond focus on the
    other side, draws it out."""
    beside = edges.beside
    rim = np.where(np.abs(beside.rim) < 1e-6, 1e-6, beside.rim)
    hollow = np.clip(1 - np.clip(beside.deep / rim, 0, None), 0, 1)
    return np.clip(hollow - HALO * np.abs(beside.halo / rim) + LINE * np.abs(beside.line / rim), 0, 2)


def _own_frame(points: Array, fit: Ellipses) -> tuple[Array, Array, Array]:
    """Coordinates along and across each ellipse's axes, and the distance from it (outwards), [n, NORMALS] each."""
    c, s = np.cos(fit.angle)[:, None], np.sin(fit.angle)[:, None]
    dx, dy = points[:, :, 0] - fit.x[:, None], points[:, :, 1] - fit.y[:, None]
    u, v = dx * c + dy * s, dy * c - dx * s
    a, b = fit.a[:, None], fit.b[:, None]
    value = (u / a) ** 2 + (v / b) ** 2 - 1
    return u, v, value / np.maximum(2 * np.hypot(u / a**2, v / b**2), 1e-9)


def _moved(u: Array, v: Array, *, by: Array, fit: Ellipses) -> tuple[Array, Array]:
    """Points moved outwards along their normals, `by` so many pixels."""
    nu, nv = u / fit.a[:, None] ** 2, v / fit.b[:, None] ** 2
    size = np.maximum(np.hypot(nu, nv), 1e-12)
    return u + by * nu / size, v + by * nv / size


def angle_deg(fit: Ellipses) -> Array:
    """Angle of the long axis in degrees, 0 to 180, from +x towards +y."""
    return np.asarray(fit.angle * 180 / math.pi % 180, dtype=np.float64)
