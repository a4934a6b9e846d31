"""Any ruler with millimetre or sixteenth-inch marks: where its marks run, their period, and their unit.

The marks are found along a straight edge as a regular dark pattern. Which unit they are is read from the marks
themselves: every fifth and tenth is longer on a millimetre scale, every second, fourth, eighth and sixteenth on a scale
of inches. Where that is not clear the ruler is refused, because the two would differ by a factor of 1.59.
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
from fruitbody.examine.photo.marks import Marks, find_marks
from fruitbody.examine.photo.picture import Picture, Pixels

Floats = npt.NDArray[np.floating[Any]]

UNITS_MM: Final = {"mm": 1.0, "inch": 25.4 / 16}
SEARCH_PX: Final = 800
LEAST_MARKS: Final = 24
SURE: Final = 0.15  # by how much the better unit must explain more of the marks' lengths
RISE: Final = 1.07  # by how much each rank of marks must be longer than the one below
FITS: Final = 0.35  # share that it must explain at all
BENT: Final = 0.006  # sagitta over length above which a ruler is bent
U_RULER: Final = 0.002  # relative, of the marks of a household ruler (assumed)


@dataclass(frozen=True, slots=True)
class FoundRuler:
    """ends_px (2, 2) of the marked part; marks: how many; unit: mm or inch, "" where undecided.

    px_per_mm: at the middle, along the ruler; slope: relative change of it per mm (perspective). residual_px: of the
    marks from their places. bent: it is not straight. why: a sentence where it cannot be used.
    """

    ends_px: Floats
    marks: int
    unit: str
    px_per_mm: float
    slope: float
    residual_px: float
    bent: bool = False
    why: str = ""


def find_ruler(picture: Picture) -> FoundRuler | None:
    """The longest run of regular marks beside a straight edge; None where there is none."""
    edges = _edges(picture)
    if not edges:
        return None
    grey = cast(Pixels, cv2.cvtColor(picture.rgb, cv2.COLOR_RGB2GRAY))
    every = [marks for a, b in edges for marks in find_marks(grey, a, b) if len(marks.numbers) >= LEAST_MARKS]
    if not every:
        return None
    most = max(every, key=lambda marks: marks.score)
    # The same marks are met from several lines; their lengths show only from the edge on which they all begin.
    same = [m for m in every if m.score > 0.75 * most.score and abs(m.period_px / most.period_px - 1) < 0.05]
    best = max(same, key=lambda m: max(hierarchy(m.numbers, m.reach, name) for name in UNITS_MM))
    unit = unit_of(best)
    along = best.period_px
    mm = UNITS_MM.get(unit, math.nan)
    why = ""
    if not unit:
        why = (
            "A ruler was found, but not whether its marks are millimetres or sixteenths of an inch. Lay it closer, "
            "with all its marks free, or say what it is."
        )
    elif best.sag > BENT:
        why = "The ruler is bent or does not lie flat, so it gives no one scale. Use a stiff one."
    return FoundRuler(
        best.ends_px, len(best.numbers), unit, along / mm, best.slope / mm, best.residual_px, best.sag > BENT, why
    )


def ruler_scale(ruler: FoundRuler, lens: Lens, centre: tuple[float, float], *, u_px: float = 0.5) -> Scale:
    """The scale across the view at the ruler's middle.

    centre: principal point, px. A ruler that runs away from the camera is foreshortened; how much follows from the
    change of its marks along it: c = sin(a) / Z for marks x(t) = (x0 + s t) / (1 + c t).
    """
    ends = ruler.ends_px
    long_px = float(np.linalg.norm(ends[1] - ends[0]))
    size = long_px / ruler.px_per_mm
    u_along = math.hypot(u_px, ruler.residual_px) * math.sqrt(2) / long_px
    lean, u_lean = lean_of(ruler, lens, centre)
    cosine = math.cos(lean)
    # Second order in the lean's own uncertainty, so that it counts also where the lean is nought.
    u_rel = math.hypot(u_along, math.tan(lean) * u_lean, u_lean**2 / 2)
    major = long_px / cosine
    return Scale(size, size * U_RULER, major, major * u_rel, None, 0.0, float(_angle(ends)))


def lean_of(ruler: FoundRuler, lens: Lens, centre: tuple[float, float]) -> tuple[float, float]:
    """Angle between the ruler and the picture, radians, and its standard uncertainty; the sign does not matter.

    With the ray through the ruler's middle at r = (x - centre) / f along the ruler, the derivative there is
    f (cos a - r sin a) / Z and its relative change -2 sin a / Z per mm.
    """
    ends = ruler.ends_px
    middle, along = ends.mean(axis=0), (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    ray = float((middle - np.asarray(centre)) @ along) / lens.f_px
    lean = 0.0
    for _ in range(30):
        z = lens.f_px * (math.cos(lean) - ray * math.sin(lean)) / ruler.px_per_mm
        lean = math.asin(float(np.clip(-ruler.slope * z / 2, -0.95, 0.95)))
    long_px = float(np.linalg.norm(ends[1] - ends[0]))
    # The change of the period is known to about the mark's residual over the length, twice over the number of marks.
    u_change = 12 * max(0.05, ruler.residual_px) / long_px / math.sqrt(max(4, ruler.marks)) * 2
    z = lens.f_px / ruler.px_per_mm
    u_sine = math.hypot(u_change / (long_px / ruler.px_per_mm) * z / 2, math.sin(lean) * lens.u)
    return lean, min(0.6, u_sine / max(0.3, math.cos(lean)))


def unit_of(marks: Marks) -> str:
    """mm or inch by which hierarchy explains the lengths of the marks better; "" where neither clearly does."""
    scores = {name: hierarchy(marks.numbers, marks.reach, name) for name in UNITS_MM}
    best = max(scores, key=lambda name: scores[name])
    other = min(scores.values())
    return best if scores[best] >= FITS and scores[best] - other >= SURE else ""


def hierarchy(numbers: npt.NDArray[np.int64], reach: Floats, unit: str) -> float:
    """Share of the variance of the marks' lengths explained by long, middle and short marks of a unit, best phase.

    Lengths must also rise with the rank of the mark, else a phase explains nothing.
    """
    total = float(((reach - reach.mean()) ** 2).sum())
    if total <= 0:
        return 0.0
    base, steps = (10, (10, 5)) if unit == "mm" else (16, (16, 8, 4, 2))
    best = 0.0
    for phase in range(base):
        n = numbers - phase
        rank = sum((n % step == 0).astype(int) for step in steps)
        means = [float(reach[rank == r].mean()) for r in range(len(steps) + 1) if (rank == r).any()]
        # Eighths read as sixteenths would show two ranks of one length: every rank must be clearly longer.
        if len(means) < len(steps) + 1 or any(b < RISE * a for a, b in pairwise(means)):
            continue
        left = sum(float(((reach[rank == r] - reach[rank == r].mean()) ** 2).sum()) for r in set(rank.tolist()))
        # Four free levels always explain a little more than two: judged by what is left per degree of freedom.
        free = len(numbers) - len(means)
        best = max(best, 1 - left / max(1, free) / (total / max(1, len(numbers) - 1)))
    return best


def _edges(picture: Picture) -> list[tuple[Floats, Floats]]:
    """Ends of long straight segments, longest first, in pixels of the full picture; near doubles are dropped."""
    small, factor = picture.reduced(SEARCH_PX)
    grey = cv2.cvtColor(small, cv2.COLOR_RGB2GRAY)
    edges = cast(Pixels, cv2.Canny(cv2.GaussianBlur(grey, (0, 0), 1.0), 40, 110))
    least = 0.16 * max(small.shape[:2])
    lines = cv2.HoughLinesP(edges, 1, np.pi / 360, 60, minLineLength=least, maxLineGap=12)
    straight = np.zeros((0, 2, 2)) if lines is None else lines.reshape(-1, 2, 2).astype(np.float64)
    ends = np.concatenate([_bands(edges, least), straight])
    if len(ends) == 0:
        return []
    order = np.argsort(-np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1))
    kept: list[tuple[Floats, Floats]] = []
    for a, b in ends[order]:
        along = (b - a) / np.linalg.norm(b - a)
        out = np.array([-along[1], along[0]])
        doubled = False
        for c, d in kept:
            turn = abs(float(np.cross(np.append(along, 0), np.append((d - c) / np.linalg.norm(d - c), 0))[2]))
            doubled = doubled or (turn < 0.03 and abs(float(((a + b) / 2 - (c + d) / 2) @ out)) < 4)
        if not doubled:
            kept.append((a, b))
        if len(kept) == 8:
            break
    return [((a + 0.5) / factor - 0.5, (b + 0.5) / factor - 0.5) for a, b in kept]


def _bands(edges: npt.NDArray[np.uint8], least: float) -> Floats:
    """Middle and long sides (n, 2, 2) of long narrow bands of dense edges: marks whose ruler shows no edge itself."""
    closed = cv2.morphologyEx(edges, cv2.MORPH_CLOSE, np.ones((7, 7), np.uint8))
    closed = cv2.morphologyEx(closed, cv2.MORPH_OPEN, np.ones((5, 5), np.uint8))
    contours, _ = cv2.findContours(closed, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    found = []
    for contour in contours:
        (x, y), (w, h), turn = cv2.minAreaRect(contour)
        long, short = max(w, h), min(w, h)
        if long < least or short > 0.2 * long:
            continue
        angle = math.radians(turn if w >= h else turn + 90)
        along, out = np.array([math.cos(angle), math.sin(angle)]), np.array([-math.sin(angle), math.cos(angle)])
        for side in (-0.5, 0.5):
            middle = np.array([x, y]) + side * short * out
            found.append([middle - long / 2 * along, middle + long / 2 * along])
    return np.array(found[:4]) if found else np.zeros((0, 2, 2))


def _angle(ends: Floats) -> float:
    d = ends[1] - ends[0]
    return math.degrees(math.atan2(d[1], d[0])) % 180
