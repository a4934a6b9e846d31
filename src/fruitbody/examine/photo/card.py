"""Flat references with known corners: the ID-1 card (ISO/IEC 7810) and the clinic's own scale card.

Both give a homography from their plane to the picture. At the middle of the card it is the same as a small disc would
give: the larger stretch of the plane is the major axis, the smaller one the minor axis.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final, cast

import cv2
import numpy as np
import numpy.typing as npt

from fruitbody.examine.photo.budget import Lens, Scale
from fruitbody.examine.photo.card_layout import BAR_MM, DICTIONARY, MARKER_MM, MARKERS, SIZE_MM
from fruitbody.examine.photo.picture import Picture

Floats = npt.NDArray[np.floating[Any]]

ID1_MM: Final = (85.60, 53.98)
U_ID1_MM: Final = 0.07  # 85.47 to 85.72 mm (ISO/IEC 7810), taken as even
EDGE_PX: Final = 0.5
SEARCH_PX: Final = 1200  # copy on which markers are looked for
UNCHECKED: Final = 0.03  # relative, of a printed card whose bar nobody measured: printers shrink by 3 to 6 %


@dataclass(frozen=True, slots=True)
class FoundCard:
    """corners_px (4, 2) of the card; homography from its millimetres to pixels; residual of its points, px."""

    corners_px: Floats
    homography: Floats
    size_mm: tuple[float, float]
    residual_px: float
    points: int

    @property
    def centre_px(self) -> tuple[float, float]:
        p = cv2.perspectiveTransform(np.array([[[self.size_mm[0] / 2, self.size_mm[1] / 2]]]), self.homography)[0, 0]
        return float(p[0]), float(p[1])

    def to_mm(self, points_px: npt.ArrayLike) -> Floats:
        """Points (n, 2) of the picture on the plane of the card."""
        points = np.asarray(points_px, dtype=np.float64).reshape(1, -1, 2)
        return cast(Floats, cv2.perspectiveTransform(points, np.linalg.inv(self.homography))[0])


def stretch_at(homography: Floats, x: float, y: float) -> tuple[float, float, float]:
    """Largest and smallest pixels per mm of a plane at a point of it, and the direction of the largest."""
    h = homography
    w = h[2, 0] * x + h[2, 1] * y + h[2, 2]
    px, py = (h[0] @ [x, y, 1]) / w, (h[1] @ [x, y, 1]) / w
    jacobian = np.array([h[0, :2] - px * h[2, :2], h[1, :2] - py * h[2, :2]]) / w
    u, s, _ = np.linalg.svd(jacobian)
    return float(s[0]), float(s[1]), math.degrees(math.atan2(u[1, 0], u[0, 0])) % 180


def card_scale(card: FoundCard, *, u_mm: float, print_scale: float = 1.0) -> Scale:
    """The card as a disc as wide as its length. print_scale: true over nominal length of the printed card."""
    size = card.size_mm[0]
    large, small, angle = stretch_at(card.homography, card.size_mm[0] / 2, card.size_mm[1] / 2)
    u_px = math.hypot(EDGE_PX, 2 * card.residual_px / math.sqrt(max(4, card.points)))
    return Scale(size * print_scale, u_mm, large * size, u_px, small * size, u_px * 1.5, angle)


# --- ID-1 -----------------------------------------------------------------------------------------------------------


def find_id1(picture: Picture) -> FoundCard | None:
    """A card of 85.60 x 53.98 mm lying flat, by its outline; None where there is none or its shape does not fit."""
    small, factor = picture.reduced(640)
    best: tuple[float, FoundCard] | None = None
    for quad in _quads(small):
        sides = _refined(picture, (quad + 0.5) / factor - 0.5)
        if sides is None:
            continue
        corners, residual = sides
        for turned in (corners, np.roll(corners, 1, axis=0)):
            target = np.array([[0, 0], [ID1_MM[0], 0], ID1_MM, [0, ID1_MM[1]]])
            h = cv2.getPerspectiveTransform(target.astype(np.float32), turned.astype(np.float32)).astype(np.float64)
            misfit = shape_misfit(h, picture.lens, picture.width, picture.height)
            if misfit < (0.05 if not picture.lens.void else 0.09) and (best is None or misfit < best[0]):
                best = (misfit, FoundCard(turned, h, ID1_MM, residual, 40))
    return best[1] if best else None


def shape_misfit(h: Floats, lens: Lens, width: int, height: int) -> float:
    """How far a homography is from a rigid plane seen by this lens: unequal or skew unit vectors, 0 is perfect."""
    k = np.array([[lens.f_px, 0, (width - 1) / 2], [0, lens.f_px, (height - 1) / 2], [0, 0, 1]])
    a, b = (np.linalg.inv(k) @ h)[:, :2].T
    la, lb = float(np.linalg.norm(a)), float(np.linalg.norm(b))
    return math.hypot(math.log(la / lb), float(a @ b) / (la * lb))


def _quads(small: npt.NDArray[np.uint8]) -> list[Floats]:
    """Convex four-cornered outlines of at least half a percent of the picture, corners in order, largest first."""
    lab = cv2.GaussianBlur(cv2.cvtColor(small, cv2.COLOR_RGB2LAB), (0, 0), 1.0)
    found: list[tuple[float, Floats]] = []
    whole = small.shape[0] * small.shape[1]
    for channel in cv2.split(lab):
        low, high = (float(v) for v in np.quantile(channel[::4, ::4], (0.03, 0.97)))
        for level in np.linspace(low, high, 8)[1:-1] if high - low > 8 else ():
            mask = (channel > level).astype(np.uint8)
            contours, _ = cv2.findContours(mask, cv2.RETR_LIST, cv2.CHAIN_APPROX_SIMPLE)
            for contour in contours:
                if len(contour) < 4 or not 0.005 * whole < cv2.contourArea(contour) < 0.7 * whole:
                    continue
                hull = cv2.convexHull(contour)
                area = cv2.contourArea(hull)
                quad = cv2.approxPolyDP(hull, 0.04 * cv2.arcLength(hull, True), True)
                if len(quad) == 4 and cv2.contourArea(contour) > 0.88 * area and cv2.contourArea(quad) > 0.9 * area:
                    found.append((area, quad[:, 0].astype(np.float64)))
    found.sort(key=lambda row: -row[0])
    kept: list[Floats] = []
    for _, quad in found:
        if not any(np.abs(quad.mean(axis=0) - other.mean(axis=0)).max() < 4 for other in kept):
            kept.append(quad)
    return kept[:6]


def _refined(picture: Picture, quad: Floats) -> tuple[Floats, float] | None:
    """Corners where the straight parts of the sides meet, by sub-pixel edge points, and their mean residual."""
    middle = quad.mean(axis=0)
    lines, residuals = [], []
    for a, b in pairwise([*quad, quad[0]]):
        fitted = _side(picture.rgb, a, b, middle)
        if fitted is None:
            return None
        lines.append(fitted[0])
        residuals.append(fitted[1])
    corners = []
    for k in range(4):
        crossing = np.cross(lines[k - 1], lines[k])
        if abs(crossing[2]) < 1e-9:
            return None
        corners.append(crossing[:2] / crossing[2])
    out = np.array(corners)
    if float(np.abs(out - quad).max()) > 0.12 * float(np.abs(quad - middle).max()):
        return None
    return out, float(np.mean(residuals))


def _side(rgb: npt.NDArray[np.uint8], a: Floats, b: Floats, middle: Floats) -> tuple[Floats, float] | None:
    """Homogeneous line through the strongest edge across the side, from its straight middle part, and the residual."""
    long = float(np.linalg.norm(b - a))
    if long < 20:
        return None
    along = (b - a) / long
    out = np.array([along[1], -along[0]])
    out = out if out @ ((a + b) / 2 - middle) > 0 else -out
    reach = max(4.0, 0.05 * long)
    shares = np.linspace(0.12, 0.88, 48)
    steps = np.arange(-reach, reach + 0.5, 0.5)
    points = (a + shares[:, None, None] * (b - a) + steps[None, :, None] * out).astype(np.float32)
    values = cv2.remap(rgb, points[..., 0], points[..., 1], cv2.INTER_LINEAR).astype(np.float32)
    slope = np.abs(np.gradient(cv2.blur(values, (3, 1)), axis=1)).max(axis=2)
    at = np.argmax(slope, axis=1)
    edge = points[np.arange(len(shares)), at].astype(np.float64)
    keep = np.ones(len(edge), dtype=bool)
    for limit in (3.0, 1.5, 1.0):
        if keep.sum() < 16:
            return None
        vx, vy, x, y = (
            float(v) for v in cv2.fitLine(edge[keep].astype(np.float32), cv2.DIST_HUBER, 0, 0.01, 0.01).ravel()
        )
        off = (edge - [x, y]) @ [-vy, vx]
        keep = np.abs(off) < limit
    if keep.sum() < 24:
        return None
    return np.array([-vy, vx, vy * x - vx * y]), float(np.sqrt(np.mean(off[keep] ** 2)))


# --- the clinic's card ----------------------------------------------------------------------------------------------


def find_scale_card(picture: Picture) -> FoundCard | None:
    """The clinic's printed card by its markers; at least two of them must be seen."""
    small, factor = picture.reduced(SEARCH_PX)
    grey = cv2.cvtColor(small, cv2.COLOR_RGB2GRAY)
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(DICTIONARY))
    found, ids, _ = detector.detectMarkers(grey)
    if ids is None:
        return None
    ours = [(int(i), c[0]) for i, c in zip(ids.ravel(), found, strict=True) if int(i) in MARKERS]
    if len(ours) < 2:
        return None
    pixels = np.concatenate([(c + 0.5) / factor - 0.5 for _, c in ours]).astype(np.float32)
    pixels = _sharpened(picture, pixels, factor)
    plane = np.concatenate([_marker_corners(i) for i, _ in ours])
    h, _ = cv2.findHomography(plane, pixels, cv2.RANSAC, 3.0)
    if h is None:
        return None
    off = cv2.perspectiveTransform(plane[None].astype(np.float64), h)[0] - pixels
    residual = float(np.sqrt(np.median((off**2).sum(axis=1))))
    w, t = SIZE_MM
    corners = cv2.perspectiveTransform(np.array([[[0.0, 0.0], [w, 0.0], [w, t], [0.0, t]]]), h)[0]
    return FoundCard(corners, h.astype(np.float64), SIZE_MM, residual, len(pixels))


def printed_scale(bar_mm: float | None) -> tuple[float, float, str]:
    """True over nominal size of the printed card, its relative standard uncertainty, and a sentence where unchecked.

    bar_mm: length of the check bar as measured on the print. Raises ValueError for an impossible one.
    """
    if bar_mm is None:
        return (
            1.0,
            UNCHECKED,
            f"Nobody measured the check bar of the card. Measure it (it should be {BAR_MM:g} mm) and type the "
            "length: printers shrink pages by some per cent.",
        )
    if not 0.7 * BAR_MM <= bar_mm <= 1.3 * BAR_MM:
        raise ValueError(f"The check bar is about {BAR_MM:g} mm long, not {bar_mm:g} mm. Measure it again.")
    return bar_mm / BAR_MM, 0.3 / BAR_MM, ""


def _marker_corners(marker: int) -> Floats:
    x, y = MARKERS[marker]
    m = MARKER_MM
    return np.array([[x, y], [x + m, y], [x + m, y + m], [x, y + m]], dtype=np.float64)


def _sharpened(picture: Picture, pixels: Floats, factor: float) -> Floats:
    """Corners to a fraction of a pixel on the full picture."""
    low = np.maximum(pixels.min(axis=0).astype(int) - 40, 0)
    high = pixels.max(axis=0).astype(int) + 40
    grey = cv2.cvtColor(picture.rgb[low[1] : high[1], low[0] : high[0]], cv2.COLOR_RGB2GRAY)
    half = max(3, round(2 / factor))
    criteria = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 20, 0.02)
    return cast(
        Floats,
        cv2.cornerSubPix(
            grey, np.ascontiguousarray((pixels - low)[:, None], dtype=np.float32), (half, half), (-1, -1), criteria
        )[:, 0]
        + low,
    )
