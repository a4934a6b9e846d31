"""Fruit bodies in a photo: their outlines, and suggestions where width and length might be taken.

What differs from the border of the picture in colour, and is no reference, is taken as subject and refined by GrabCut
on a small copy. Every suggestion is to be confirmed or moved by a person; it has a confidence, never certainty.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final, cast

import cv2
import numpy as np
import numpy.typing as npt

from fruitbody.examine.photo.picture import Picture, Pixels

Floats = npt.NDArray[np.floating[Any]]
Mask = npt.NDArray[np.uint8]
Point = tuple[float, float]

SMALL_PX: Final = 300
LEAST: Final = 0.004  # of the picture
MOST: Final = 6


@dataclass(frozen=True, slots=True)
class Suggestion:
    """part: cap width, stem length, stem width at apex, middle or base. ends on the full picture; confidence 0 to 1."""

    part: str
    a_px: Point
    b_px: Point
    confidence: float


@dataclass(frozen=True, slots=True)
class Subject:
    """outline_px: on the full picture; box (x0, y0, x1, y1); suggestions: largest part first."""

    outline_px: tuple[Point, ...]
    box: tuple[int, int, int, int]
    suggestions: tuple[Suggestion, ...]
    touches_edge: bool


def find_subjects(picture: Picture, taken: Sequence[Sequence[Point]] = ()) -> tuple[Subject, ...]:
    """Fruit bodies, largest first. taken: outlines (full picture) of references, which are no subject."""
    small, factor = picture.reduced(SMALL_PX)
    lab = cv2.cvtColor(cv2.GaussianBlur(small, (0, 0), 1.0), cv2.COLOR_RGB2LAB).astype(np.float32)
    busy: Mask = np.zeros(small.shape[:2], np.uint8)
    for outline in taken:
        points = np.rint(np.asarray(outline) * factor).astype(np.int32)
        cv2.fillConvexPoly(busy, cv2.convexHull(points), 1)
    busy = cast(Mask, cv2.dilate(busy, np.ones((5, 5), np.uint8)))
    away = _away_from_border(lab, busy)
    threshold, _ = cv2.threshold(away, 0, 255, cv2.THRESH_BINARY + cv2.THRESH_OTSU)
    seed = ((away > threshold) & (busy == 0)).astype(np.uint8)
    seed = cv2.morphologyEx(seed, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    seed = cv2.morphologyEx(seed, cv2.MORPH_CLOSE, np.ones((7, 7), np.uint8))
    mask = _grab(small, cast(Mask, seed), busy) if 0.002 < seed.mean() < 0.75 else seed
    mask = cv2.morphologyEx(mask, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    large = [c for c in contours if cv2.contourArea(c) > LEAST * mask.size]
    large.sort(key=lambda c: -cv2.contourArea(c))
    return tuple(_subject(c[:, 0].astype(np.float64), factor, picture, mask.shape) for c in large[:MOST])


def _away_from_border(lab: Floats, busy: Mask) -> Pixels:
    """Distance of each pixel's colour from the nearest of the border's main colours, as codes."""
    edge = max(3, lab.shape[0] // 20)
    frame = np.ones(lab.shape[:2], bool)
    frame[edge:-edge, edge:-edge] = False
    border = lab[frame & (busy == 0)]
    cv2.setRNGSeed(7)
    criteria = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 12, 0.5)
    _, _, centres = cv2.kmeans(border[::2], 4, None, criteria, 1, cv2.KMEANS_PP_CENTERS)  # type: ignore[call-overload]
    weight = np.array([0.6, 1.3, 1.3], np.float32)  # shadows differ in lightness only
    far = np.min([np.sqrt((((lab - c) * weight) ** 2).sum(axis=2)) for c in centres], axis=0)
    return cast(Pixels, np.clip(far * 2.2, 0, 255).astype(np.uint8))


def _grab(small: Pixels, seed: Mask, busy: Mask) -> Mask:
    """GrabCut from the seed; the border and the references stay background."""
    mask = np.where(cv2.dilate(seed, np.ones((15, 15), np.uint8)) > 0, cv2.GC_PR_BGD, cv2.GC_BGD).astype(np.uint8)
    mask[seed > 0] = cv2.GC_PR_FGD
    sure = cv2.erode(seed, np.ones((5, 5), np.uint8))
    mask[sure > 0] = cv2.GC_FGD
    mask[busy > 0] = cv2.GC_BGD
    if not (mask == cv2.GC_FGD).any() or not (mask == cv2.GC_BGD).any():
        return seed
    cv2.setRNGSeed(7)
    back, fore = np.zeros((1, 65)), np.zeros((1, 65))
    cv2.grabCut(np.ascontiguousarray(small[..., ::-1]), mask, None, back, fore, 2, cv2.GC_INIT_WITH_MASK)  # type: ignore[call-overload]
    return cast(Mask, np.isin(mask, (cv2.GC_FGD, cv2.GC_PR_FGD)).astype(np.uint8))


def _subject(contour: Floats, factor: float, picture: Picture, shape: tuple[int, ...]) -> Subject:
    full = (contour + 0.5) / factor - 0.5
    x0, y0 = np.maximum(full.min(axis=0), 0)
    x1, y1 = np.minimum(full.max(axis=0), [picture.width - 1, picture.height - 1])
    touches = bool((contour < 1).any() or (contour > np.array(shape[1::-1]) - 2).any())
    step = max(1, len(full) // 120)
    suggestions = tuple(
        Suggestion(s.part, *_snapped(picture, s.a_px, s.b_px, 2.5 / factor), s.confidence * (0.6 if touches else 1.0))
        for s in suggest(full)
    )
    outline = tuple((float(x), float(y)) for x, y in full[::step])
    return Subject(outline, (int(x0), int(y0), int(x1), int(y1)), suggestions, touches)


def suggest(outline: Floats) -> list[Suggestion]:
    """Lines to measure from one outline (n, 2).

    Widths are taken across the axis about which the outline is most even. A stem shows as a stretch at one end that
    is narrower than 0.6 of the cap; without one, the outline is a cap alone and its longest diameter is suggested.
    """
    thin = outline[:: max(1, len(outline) // 240)]
    best: tuple[float, list[Suggestion]] | None = None
    first = 0.0
    for step, around in ((15.0, 180.0), (3.0, 12.0)):
        for angle in np.radians(np.arange(first - around, first + around, step)):
            along = np.array([math.cos(angle), math.sin(angle)])
            found = _with_stem(thin, along)
            if found and (best is None or found[0] > best[0]):
                best, first = found, math.degrees(angle)
        if best is None:
            break
    if best is not None and best[0] > 0.2:
        return best[1]
    return [_longest(outline)]


def _with_stem(outline: Floats, along: Floats) -> tuple[float, list[Suggestion]] | None:
    """Confidence and lines, the cap at the low end of `along` and the stem at the high one; None without a stem."""
    across = np.array([-along[1], along[0]])
    t, s = outline @ along, outline @ across
    n = 60
    places = np.linspace(t.min(), t.max(), n)
    low, high = _spans(t, s, places)
    width = high - low
    widest = int(np.argmax(width[: int(0.75 * n)]))
    if width[widest] <= 0:
        return None
    narrow = width < 0.6 * width[widest]
    after = np.flatnonzero(narrow[widest:])
    if len(after) == 0:
        return None
    apex = widest + int(after[0])
    stem = slice(apex, n - 1)
    if n - 1 - apex < 0.22 * n or not narrow[stem].mean() > 0.85:
        return None
    slim = 1 - float(np.median(width[stem])) / float(width[widest])
    centres = np.append(((low + high) / 2)[stem], (low[widest] + high[widest]) / 2)
    even = 1 - min(1.0, float(np.std(centres) + abs(centres[-1] - np.median(centres))) / (0.3 * float(width[widest])))
    sure = max(0.05, min(0.9, 0.25 + slim * 0.6)) * (0.15 + 0.85 * even)

    def line(k: int, part: str, by: float) -> Suggestion:
        a, b = places[k] * along + low[k] * across, places[k] * along + high[k] * across
        return Suggestion(part, (float(a[0]), float(a[1])), (float(b[0]), float(b[1])), sure * by)

    centre = (low + high) / 2
    top = places[apex] * along + centre[apex] * across
    foot = places[n - 1] * along + centre[n - 3] * across
    long = Suggestion("stem length", (float(top[0]), float(top[1])), (float(foot[0]), float(foot[1])), sure * 0.8)
    reach = n - 1 - apex
    stems = [
        line(apex + max(1, round(k * reach)), f"stem width at {name}", 0.8)
        for k, name in ((0.12, "apex"), (0.5, "middle"), (0.88, "base"))
    ]
    return sure, [line(widest, "cap width", 1.0), long, *stems]


def _spans(t: Floats, s: Floats, places: Floats) -> tuple[Floats, Floats]:
    """Lowest and highest s of the outline near each place along t."""
    half = (places[1] - places[0]) * 0.75
    near = np.abs(t[None, :] - places[:, None]) <= half
    low = np.where(near, s[None, :], np.inf).min(axis=1)
    high = np.where(near, s[None, :], -np.inf).max(axis=1)
    empty = ~near.any(axis=1)
    low[empty], high[empty] = 0.0, 0.0
    return low, high


def _longest(outline: Floats) -> Suggestion:
    """The longest diameter of the hull."""
    hull = cv2.convexHull(outline.astype(np.float32))[:, 0].astype(np.float64)
    apart = np.linalg.norm(hull[:, None] - hull[None], axis=2)
    i, j = np.unravel_index(int(np.argmax(apart)), apart.shape)
    a, b = sorted((hull[i], hull[j]), key=lambda p: float(p[0]))
    return Suggestion("cap width", (float(a[0]), float(a[1])), (float(b[0]), float(b[1])), 0.5)


def _snapped(picture: Picture, a: Point, b: Point, reach: float) -> tuple[Point, Point]:
    """Both ends moved along the line to the strongest edge of the full picture nearby."""
    p, q = np.array(a), np.array(b)
    long = float(np.linalg.norm(q - p))
    if long < 6:
        return a, b
    along = (q - p) / long
    out = np.array([-along[1], along[0]])
    steps, aside = np.arange(-reach, reach + 0.5, 0.5), np.linspace(-2, 2, 5)
    ends = []
    for end in (p, q):
        points = (end + steps[:, None, None] * along + aside[None, :, None] * out).astype(np.float32)
        values = cv2.remap(picture.rgb, points[..., 0], points[..., 1], cv2.INTER_LINEAR).astype(np.float32)
        slope = np.abs(np.gradient(values.mean(axis=1), axis=0)).max(axis=1)
        if len(slope) < 3 or slope.max() < 1.0:
            ends.append((float(end[0]), float(end[1])))
            continue
        moved = end + steps[int(np.argmax(slope))] * along
        ends.append((float(moved[0]), float(moved[1])))
    return ends[0], ends[1]
