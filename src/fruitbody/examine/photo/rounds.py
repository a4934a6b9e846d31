"""Round things in a picture, seen at any tilt as ellipses: found on a small copy, fitted on the full one.

A circle detector is run on the small picture as it is and as seen from straight above for a few tilts of the camera, so
that a level disc is round on one of them. Each find is then fitted on the full picture (`rim`).
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any, Final, cast

import cv2
import numpy as np
import numpy.typing as npt

from fruitbody.examine.photo.picture import Picture, Pixels
from fruitbody.examine.photo.rim import Round, Tries, ellipse_through, fit_rim, light_of, settle

Floats = npt.NDArray[np.floating[Any]]

SEARCH_PX: Final = 480  # longest side of the copy that is searched; full-size pictures hide coins from the detector
# Of the camera, tried in turn. Level ground is assumed only to find starts.
TILTS: Final = (0.0, 26.0, 42.0, 54.0, 66.0, 76.0)
STARTS: Final = 14  # of each tilt
FEW: Final[Tries] = ((1.0, 1.0, 0.0, 0.0), (1.0, 0.9, 0.0, 0.0), (1.0, 1.1, 0.0, 0.0))
_RING: Final = (np.cos(np.linspace(0, 2 * np.pi, 24)), np.sin(np.linspace(0, 2 * np.pi, 24)))


def find_rounds(picture: Picture, *, most: int = 5) -> tuple[Round, ...]:
    """Ellipses with a clear rim, best first (share of the rim seen, then fit)."""
    small, factor = picture.reduced(SEARCH_PX)
    light = light_of(small)
    bent = _settled(small, light, picture.lens.f_px * factor)
    bent.sort(key=lambda r: -r.seen)
    rough: list[Round] = []
    for one in bent:
        if not any(_same(one, other, 0.08) for other in rough):
            rough.append(one)
    found: list[Round] = []
    for one in rough[: most + 3]:
        fitted = fit_rim(picture, _grown(one, 1 / factor))
        if fitted is not None and fitted.seen >= 0.5 and not any(_same(fitted, other, 0.03) for other in found):
            found.append(fitted)
    found.sort(key=lambda r: (-round(r.seen, 1), r.residual_px / r.major_px))
    return tuple(found[:most])


def _same(a: Round, b: Round, near: float) -> bool:
    return math.dist(a.centre_px, b.centre_px) < 2 * near * a.major_px and abs(a.major_px / b.major_px - 1) < near


def _grown(one: Round, by: float) -> Round:
    """The same ellipse on a copy `by` times as large (pixel centres are whole)."""
    x, y = ((c + 0.5) * by - 0.5 for c in one.centre_px)
    return replace(
        one, centre_px=(x, y), major_px=one.major_px * by, minor_px=one.minor_px * by, residual_px=one.residual_px * by
    )


def _settled(small: Pixels, light: Floats, f_px: float) -> list[Round]:
    """Rough rims. Once a clear disc is found, only the tilt that its own shape tells is searched besides."""
    grey = cast(Pixels, cv2.GaussianBlur(cv2.cvtColor(small, cv2.COLOR_RGB2GRAY), (0, 0), 1.2))
    found: list[Round] = []
    waiting = list(TILTS)
    while waiting:
        tilt = waiting.pop(0)
        now = [one for s in _starts(grey, f_px, tilt) if (one := settle(light, s, reach=0.2, tries=FEW)) is not None]
        found += now
        clear = [one for one in now if one.seen > 0.97 and one.residual_px < 0.2]
        if clear and len(waiting) > 1:
            told = [math.degrees(math.acos(min(1.0, one.minor_px / one.major_px))) for one in clear]
            waiting = [t for t in waiting if any(abs(t - tilt_) < 9 for tilt_ in told)][:2]
    return found


def _starts(grey: Pixels, f_px: float, tilt: float) -> list[Round]:
    """Rough ellipses: circles found on the small picture, turned so that it looks straight down on level ground."""
    turned, back = _from_above(grey, f_px, tilt)
    circles = cv2.HoughCircles(
        turned, cv2.HOUGH_GRADIENT_ALT, 1.5, 10, param1=280, param2=0.75, minRadius=5, maxRadius=min(turned.shape) // 3
    )
    starts: list[Round] = []
    if circles is None:
        return starts
    for x, y, r in circles.reshape(-1, circles.shape[-1])[:STARTS, :3]:
        ring = np.stack([x + r * _RING[0], y + r * _RING[1]], axis=1)[:, None].astype(np.float32)
        start = ellipse_through(cast(Floats, cv2.perspectiveTransform(ring, back)[:, 0]))
        if start is not None and start.major_px < 1.2 * min(grey.shape) and start.minor_px > 5:
            starts.append(start)
    return starts


def _from_above(grey: Pixels, f_px: float, tilt_deg: float) -> tuple[Pixels, Floats]:
    """The picture of a camera tilted by `tilt_deg`, as one that looks straight down would show it; and the way back.

    Level discs become circles wherever they lie. The part near the horizon is left out.
    """
    if tilt_deg == 0:
        return grey, np.eye(3)
    h, w = grey.shape
    t = math.radians(tilt_deg)
    k = np.array([[f_px, 0, (w - 1) / 2], [0, f_px, (h - 1) / 2], [0, 0, 1]])
    turn = np.array([[1, 0, 0], [0, math.cos(t), -math.sin(t)], [0, math.sin(t), math.cos(t)]])
    zoom = f_px * math.cos(t) ** 1.5  # the middle of the picture keeps its area
    high = max(-(h - 1) / 2 / f_px, -0.55 / math.tan(t))
    corners = np.array([[sx * (w - 1) / 2 / f_px, y, 1.0] for sx in (-1, 1) for y in (high, (h - 1) / 2 / f_px)])
    out = corners @ turn.T
    flat = zoom * out[:, :2] / out[:, 2:]
    low, size = flat.min(axis=0), np.minimum(np.ptp(flat, axis=0) + 1, 1.35 * max(h, w))
    low[0] = -size[0] / 2
    low[1] = flat[:, 1].max() - size[1]
    there = np.array([[zoom, 0, -low[0]], [0, zoom, -low[1]], [0, 0, 1]]) @ turn @ np.linalg.inv(k)
    turned = cv2.warpPerspective(grey, there, (int(size[0]), int(size[1])), borderMode=cv2.BORDER_REPLICATE)
    return cast(Pixels, turned), np.linalg.inv(there)
