"""The rim of a round thing: an ellipse drawn to sub-pixel edges of the full picture.

Edges are sought in linear light. Each ray from the middle keeps its few strongest, and the ellipse is drawn to the
nearest ones with a narrowing tolerance, from several starts; the largest on which nearly all rays agree is the rim.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Final, cast

import cv2
import numpy as np
import numpy.typing as npt

from fruitbody.examine.photo.picture import Picture, Pixels

Floats = npt.NDArray[np.floating[Any]]
# Scale, stretch of the minor axis, shift along it and along the major one (of the half minor axis).
Tries = tuple[tuple[float, float, float, float], ...]

SMALLEST_PX: Final = 24.0  # full axis on the full picture
RAYS: Final = 120
EDGES: Final = 4  # kept of each ray
_SIDES: Final = ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0), (0.7, 0.7), (0.7, -0.7), (-0.7, 0.7), (-0.7, -0.7))
TRIES: Final[Tries] = (
    *((k, q, 0.0, 0.0) for k in (1.06, 1.0, 0.94) for q in (1.0, 0.93, 1.07)),
    (1.0, 0.95, 0.05, 0.0),
    (0.97, 1.0, 0.05, 0.0),
)
# Within the outline of face, side wall and shadow together: smaller, and shifted away from any side.
WITHIN: Final[Tries] = (
    *((k, q, 0.0, 0.0) for k in (1.0, 0.97, 0.94) for q in (1.0, 0.95)),
    *((k, 1.0, 0.045 * up, 0.045 * aside) for k in (0.97, 0.945) for up, aside in _SIDES),
    *((0.97, 0.95, d, 0.0) for d in (0.04, 0.08)),
    (0.94, 0.95, 0.05, 0.0),
)
WIDE, NARROW = (0.07, 0.04, 0.025, 0.015, 0.01, 0.008), (0.02, 0.014, 0.01, 0.008)  # tolerances, of the minor axis
EDGE_PX: Final = 0.6  # how well the edge itself is defined: about half a pixel, or
EDGE_SHARE: Final = 0.008  # this share of the axis (bevel and shadow rim; assumed, to be set from real photos)


@dataclass(frozen=True, slots=True)
class Round:
    """An ellipse on the full picture; full axes. angle_deg: of the major axis.

    residual_px: root mean square distance of the edge points that it goes through. seen: share of the rim with an edge.
    cut: it leaves the picture. doubtful: a further ring lies close round
    it, so that it may be an inner one. lab: mean colour inside (L 0..100).
    """

    centre_px: tuple[float, float]
    major_px: float
    minor_px: float
    angle_deg: float
    residual_px: float = 0.0
    seen: float = 0.0
    cut: bool = False
    doubtful: bool = False
    lab: tuple[float, float, float] = (0.0, 0.0, 0.0)

    @property
    def u_major_px(self) -> float:
        """Standard uncertainty of an axis: definition of the edge, scatter of the points, and rays that show no edge.

        Where the rim does not show, the side wall or a shadow may have been taken for it.
        """
        points = max(6.0, RAYS * self.seen / 4)  # neighbouring rays see the same pixels
        hidden = 0.1 * (1 - self.seen) * self.major_px
        edge = max(EDGE_PX, EDGE_SHARE * self.major_px)
        return math.hypot(edge, 2 * self.residual_px / math.sqrt(points), hidden)

    @property
    def chroma(self) -> float:
        return math.hypot(self.lab[1], self.lab[2])

    def at(self, angles: Floats, scale: Floats | float = 1.0) -> Floats:
        """Points (..., 2) at eccentric angles, the ellipse scaled about its centre."""
        turn = math.radians(self.angle_deg)
        u = np.cos(angles) * self.major_px / 2 * scale
        v = np.sin(angles) * self.minor_px / 2 * scale
        x = self.centre_px[0] + u * math.cos(turn) - v * math.sin(turn)
        y = self.centre_px[1] + u * math.sin(turn) + v * math.cos(turn)
        return np.stack([x, y], axis=-1)

    def holds(self, x: float, y: float, reach: float = 1.0) -> bool:
        turn = math.radians(self.angle_deg)
        dx, dy = x - self.centre_px[0], y - self.centre_px[1]
        u, v = dx * math.cos(turn) + dy * math.sin(turn), dy * math.cos(turn) - dx * math.sin(turn)
        return (2 * u / self.major_px) ** 2 + (2 * v / self.minor_px) ** 2 <= reach**2


def light_of(rgb: Pixels) -> Floats:
    """Light, 0 to 255, from sRGB codes: blur acts on light, so an edge found on the codes is shifted outwards."""
    return cast(Floats, cv2.LUT(rgb, _LIGHT))


def _light_table() -> Floats:
    """IEC 61966-2-1."""
    v = np.arange(256) / 255
    return (255 * np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)).astype(np.float32)


_LIGHT: Final = _light_table()


def ellipse_through(points: Floats) -> Round | None:
    """Direct least-squares ellipse through points (n, 2); None where it degenerates."""
    (x, y), (d1, d2), turn = cv2.fitEllipseDirect(points.astype(np.float32))
    if not (np.isfinite([x, y, d1, d2]).all() and min(d1, d2) > 4):
        return None
    return Round((x, y), max(d1, d2), min(d1, d2), (turn if d1 >= d2 else turn + 90) % 180)


def fit_rim(picture: Picture, start: Round, *, reach: float = 0.18) -> Round | None:
    """The rim near `start` to a fraction of a pixel of the full picture; None where there is none.

    reach: how far the rim may lie from the start, as a share of the radius.
    """
    patch, left, top, step = _window(picture, start, 1.1 + reach)
    if patch is None:
        return None
    local = replace(
        start,
        centre_px=((start.centre_px[0] - left) / step, (start.centre_px[1] - top) / step),
        major_px=start.major_px / step,
        minor_px=start.minor_px / step,
    )
    light = light_of(patch)
    best = settle(light, local, reach=reach, tries=TRIES)
    if best is None:
        return None
    if best.seen < 0.985:  # perhaps the outline of face and side wall together: look for the face within it
        best = settle(light, best, reach=0.15, tries=WITHIN, shares=NARROW) or best
    best = settle(light, best, reach=max(0.03, 6 / best.minor_px), tries=((1.0, 1.0, 0.0, 0.0),)) or best
    doubtful = _ring_outside(light, best)
    found = replace(
        best,
        doubtful=doubtful,
        centre_px=(best.centre_px[0] * step + left, best.centre_px[1] * step + top),
        major_px=best.major_px * step,
        minor_px=best.minor_px * step,
        residual_px=best.residual_px * step,
        lab=_colour(patch, best),
    )
    rim = found.at(np.linspace(0, 2 * np.pi, 60))
    cut = bool((rim < 1).any() or (rim > np.array((picture.width, picture.height)) - 2).any())
    return replace(found, cut=cut) if found.minor_px >= 8 and found.major_px >= SMALLEST_PX else None


def settle(
    light: Floats,
    start: Round,
    *,
    reach: float,
    tries: Tries,
    shares: tuple[float, ...] = WIDE,
) -> Round | None:
    """The largest ellipse near `start` that most rays agree on.

    Each ray keeps its few strongest edges. From every try the
    ellipse is drawn to the nearest edge of each ray, with a narrowing tolerance; a coin's own rim is the one that
    nearly all rays share, while shadows and inner rings hold only for some or lie further in.
    """
    points, strong = _edges(light, start, reach)
    if strong.any(axis=1).mean() < 0.5:
        return None
    found: list[Round] = []
    for scale, stretch, up, aside in tries:
        turn = math.radians(start.angle_deg)
        half = start.minor_px / 2
        x = start.centre_px[0] + half * (up * math.sin(turn) + aside * math.cos(turn))
        y = start.centre_px[1] - half * (up * math.cos(turn) - aside * math.sin(turn))
        first = replace(
            start, centre_px=(x, y), major_px=start.major_px * scale, minor_px=start.minor_px * scale * stretch
        )
        one = _drawn(points, strong, first, shares)
        if one is not None:
            found.append(one)
            if one.seen > 0.97 and one.residual_px < 0.002 * one.major_px and scale >= 1:
                break
    if not found:
        return None
    seen = max(one.seen for one in found)
    able = [one for one in found if one.seen >= seen - 0.05]
    close = 1.3 * min(one.residual_px for one in able) + 0.02
    return max((one for one in able if one.residual_px <= close), key=lambda one: one.major_px)


def _drawn(points: Floats, strong: npt.NDArray[np.bool_], now: Round, shares: tuple[float, ...]) -> Round | None:
    """The ellipse drawn to the nearest edge of each ray; None where too few agree."""
    rows = np.arange(len(points))
    for share in shares:
        off = np.where(strong, np.abs(_distance(now, points)), np.inf)
        nearest = off.argmin(axis=1)
        near = off[rows, nearest] < max(1.0, share * now.minor_px)
        if near.sum() < 0.42 * len(points):
            return None
        fitted = ellipse_through(points[rows, nearest][near])
        if fitted is None or fitted.major_px > 1.6 * now.major_px:
            return None
        now = fitted
    off = np.where(strong, np.abs(_distance(now, points)), np.inf).min(axis=1)
    agree = off < max(0.5, 0.004 * now.major_px)
    rms = float(np.sqrt(np.mean(off[agree] ** 2))) if agree.any() else 99.0
    return replace(now, residual_px=rms, seen=float(agree.mean()))


def _edges(light: Floats, now: Round, reach: float) -> tuple[Floats, npt.NDArray[np.bool_]]:
    """The strongest edges of each ray to a fraction of a pixel (rays, EDGES, 2), and which of them count."""
    angles = np.linspace(0, 2 * np.pi, RAYS, endpoint=False)
    n = int(max(24, min(130, reach * now.major_px * 1.5)))
    scales = np.linspace(1 - reach, 1 + reach, n)
    points = now.at(angles[:, None], scales[None, :]).astype(np.float32)
    values = cv2.remap(light, points[..., 0], points[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    values = cv2.blur(values, (3, 1))
    h, w = light.shape[:2]
    inside = (points[..., 0] > 0) & (points[..., 0] < w - 1) & (points[..., 1] > 0) & (points[..., 1] < h - 1)
    slope = np.where(inside, np.abs(np.gradient(values, axis=1)).max(axis=2), 0)
    a, b, c = slope[:, :-2], slope[:, 1:-1], slope[:, 2:]
    peak = np.where((b >= a) & (b > c), b, 0)
    at = np.argsort(-peak, axis=1)[:, :EDGES]
    rows = np.arange(RAYS)[:, None]
    height = peak[rows, at]
    top = np.median(height[:, 0])
    strong = height > np.maximum(0.12 * top, 0.12)
    curve = a[rows, at] - 2 * b[rows, at] + c[rows, at]
    shift = 0.5 * (a[rows, at] - c[rows, at]) / np.where(curve < -1e-9, curve, -1e-9)
    where = scales[0] + (at + 1 + shift.clip(-0.5, 0.5)) * (scales[1] - scales[0])
    return now.at(angles[:, None], where), strong


def _ring_outside(light: Floats, best: Round) -> bool:
    """Whether a concentric ring of the same shape lies 3 to 13 % further out, most of it in sight."""
    points, strong = _edges(light, best, 0.16)
    for scale in (1.045, 1.075, 1.105):
        first = replace(best, major_px=best.major_px * scale, minor_px=best.minor_px * scale)
        one = _drawn(points, strong, first, (0.012, 0.01, 0.008))
        if one is None or one.seen < 0.78 or not 1.03 < one.major_px / best.major_px < 1.13:
            continue
        alike = abs(one.minor_px / one.major_px / (best.minor_px / best.major_px) - 1) < 0.02
        if alike and math.dist(one.centre_px, best.centre_px) < 0.015 * best.major_px:
            return True
    return False


def _window(picture: Picture, start: Round, grow: float) -> tuple[Pixels | None, int, int, float]:
    """The part round the ellipse, its upper left corner, and the step of its pixels (large discs are halved)."""
    reach = grow * start.major_px / 2 + 4
    x, y = start.centre_px
    left, top = max(0, int(x - reach)), max(0, int(y - reach))
    patch = picture.rgb[top : int(y + reach) + 2, left : int(x + reach) + 2]
    if min(patch.shape[:2]) < 12:
        return None, 0, 0, 1.0
    step = 1.0
    if start.major_px > 600:
        step = 2.0 if start.major_px < 1400 else 4.0
        patch = cast(Pixels, cv2.resize(patch, None, fx=1 / step, fy=1 / step, interpolation=cv2.INTER_AREA))
    return patch, left, top, step


def _distance(found: Round, points: Floats) -> Floats:
    """Signed distance of points from the ellipse, to first order."""
    turn = math.radians(found.angle_deg)
    d = points - np.asarray(found.centre_px)
    u = d @ [math.cos(turn), math.sin(turn)] / (found.major_px / 2)
    v = d @ [-math.sin(turn), math.cos(turn)] / (found.minor_px / 2)
    r = np.hypot(u, v)
    slope = np.hypot(u / (found.major_px / 2), v / (found.minor_px / 2)) / np.maximum(r, 1e-9)
    return cast(Floats, (r - 1) / np.maximum(slope, 1e-9))


def _colour(patch: Pixels, found: Round) -> tuple[float, float, float]:
    """Mean CIELAB of the inner part, quantised as OpenCV does; good enough to tell metals apart."""
    mask = np.zeros(patch.shape[:2], dtype=np.uint8)
    box = (found.centre_px, (0.8 * found.major_px, 0.8 * found.minor_px), found.angle_deg)
    cv2.ellipse(mask, box, 255, -1)
    if not mask.any():
        return (0.0, 0.0, 0.0)
    mean = cv2.mean(patch, mask)[:3]
    lab = cv2.cvtColor(np.array([[mean]], dtype=np.float32) / 255, cv2.COLOR_RGB2LAB)[0, 0]
    return float(lab[0]), float(lab[1]), float(lab[2])
