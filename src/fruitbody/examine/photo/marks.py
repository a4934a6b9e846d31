"""Regular marks along a line: a strip beside the line is straightened, the marks' period found, each mark numbered."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, cast

import cv2
import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.floating[Any]]

SHORTEST_PX, LONGEST_PX = 2.6, 60.0  # periods looked for
STRIP_PX: Final = 90  # how far from the line marks may reach


@dataclass(frozen=True, slots=True)
class Marks:
    """ends_px (2, 2): first and last mark on the line. numbers (n,): of the marks, without gaps where all were seen.

    reach (n,): length of each mark, px. period_px: at the middle; slope: its relative change per mark there.
    residual_px: of the marks from a straight projective scale. sag: of the line, over its length. score: for ranking.
    """

    ends_px: Floats
    numbers: npt.NDArray[np.int64]
    reach: Floats
    period_px: float
    slope: float
    residual_px: float
    sag: float
    score: float


def find_marks(grey: npt.NDArray[np.uint8], a: Floats, b: Floats) -> list[Marks]:
    """The best run of marks on each side of the line from a to b, which may be longer or shorter than the ruler."""
    long = float(np.linalg.norm(b - a))
    along = (b - a) / long
    a, long = a - 0.25 * long * along, 1.5 * long
    a, b = _within(grey, a, along, long)
    if float(np.linalg.norm(b - a)) < 60:
        return []
    every = []
    for side in (1.0, -1.0):
        strip = _strip(grey, a, b, side)
        runs = [run for offset in (3, 6, 10, 16, 26, 38) if (run := _on_row(strip, offset)) is not None]
        if runs:
            every.append(_marks(strip, max(runs, key=lambda run: run[0]), a, b, side))
    return every


def _within(grey: npt.NDArray[np.uint8], a: Floats, along: Floats, long: float) -> tuple[Floats, Floats]:
    """The part of the line that lies in the picture."""
    h, w = grey.shape
    t = np.arange(0, long, 1.0)
    points = a + t[:, None] * along
    inside = ((points >= 1) & (points <= [w - 2, h - 2])).all(axis=1)
    if not inside.any():
        return a, a
    where = np.flatnonzero(inside)
    return points[where[0]], points[where[-1]]


def _strip(grey: npt.NDArray[np.uint8], a: Floats, b: Floats, side: float) -> Floats:
    """(STRIP_PX, n) picture along the line, row 0 on it, one column a pixel."""
    n = int(np.linalg.norm(b - a))
    along = (b - a) / np.linalg.norm(b - a)
    out = side * np.array([-along[1], along[0]])
    points = a + np.arange(n)[None, :, None] * along + np.arange(STRIP_PX)[:, None, None] * out
    points = points.astype(np.float32)
    return cv2.remap(grey, points[..., 0], points[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE).astype(
        np.float32
    )


def _profile(strip: Floats, row: int) -> Floats:
    """Darkness along the line at a distance from it, freed from slow shading and of equal height everywhere."""
    band = max(1, row // 6)
    line = strip[max(0, row - band) : row + band + 1].mean(axis=0)
    slow = cv2.blur(line[None], (61, 1))[0]
    dark = slow - line
    spread = np.sqrt(cv2.blur((dark**2)[None], (91, 1))[0]) + 1.0
    return cast(Floats, (dark / spread).astype(np.float64))


def _on_row(strip: Floats, row: int) -> tuple[float, Floats, Floats, int] | None:
    """Score, places and numbers of a regular run of marks at this distance from the line; None where there is none."""
    p = _profile(strip, row)
    period = _period(p)
    if period is None:
        return None
    places = _peaks(p, 0.45 * period)
    if len(places) < 20:
        return None
    run, numbers = _longest_run(places, period)
    if len(run) < 20:
        return None
    return len(run) * (1 - _uneven(run, numbers)), run, numbers.astype(np.float64), row


def _period(p: Floats) -> float | None:
    """Median over windows of the first strong peak of the autocorrelation, px."""
    size = min(len(p), 320)
    found = []
    for start in range(0, len(p) - size + 1, max(1, size // 2)):
        w = p[start : start + size] - p[start : start + size].mean()
        spectrum = np.abs(np.fft.rfft(w, 2 * size)) ** 2
        auto = np.fft.irfft(spectrum)[: size // 2]
        if auto[0] <= 0:
            continue
        auto = auto / auto[0]
        lags = np.arange(len(auto))
        inner = (auto[1:-1] > auto[:-2]) & (auto[1:-1] >= auto[2:]) & (auto[1:-1] > 0.3)
        peaks = lags[1:-1][inner]
        peaks = peaks[(peaks >= SHORTEST_PX) & (peaks <= LONGEST_PX)]
        if len(peaks):
            k = int(peaks[0])
            c = auto[k - 1] - 2 * auto[k] + auto[k + 1]
            found.append(k + (0.5 * (auto[k - 1] - auto[k + 1]) / c if c < 0 else 0.0))
    return float(np.median(found)) if found else None


def _peaks(p: Floats, apart: float) -> Floats:
    """Places of dark peaks at least `apart` from one another, to a fraction of a pixel."""
    smooth = cv2.GaussianBlur(p[None], (0, 0), max(0.6, apart / 6))[0]
    k = np.flatnonzero((smooth[1:-1] > smooth[:-2]) & (smooth[1:-1] >= smooth[2:]) & (smooth[1:-1] > 0.25)) + 1
    order = k[np.argsort(-smooth[k])]
    taken = np.zeros(len(p), dtype=bool)
    kept = []
    for i in order:
        if not taken[max(0, int(i - apart)) : int(i + apart) + 1].any():
            kept.append(i)
            taken[i] = True
    k = np.array(sorted(kept), dtype=int)
    if len(k) == 0:
        return np.zeros(0)
    curve = smooth[k - 1] - 2 * smooth[k] + smooth[k + 1]
    return cast(
        Floats, k + np.where(curve < 0, 0.5 * (smooth[k - 1] - smooth[k + 1]) / np.where(curve < 0, curve, -1), 0)
    )


def _longest_run(places: Floats, period: float) -> tuple[Floats, npt.NDArray[np.int64]]:
    """The longest stretch of peaks whose gaps are one or two local periods, numbered."""
    best: tuple[Floats, npt.NDArray[np.int64]] = (places[:0], np.zeros(0, dtype=np.int64))
    i = 0
    while i < len(places) - 1:
        local, run, numbers = period, [places[i]], [0]
        j = i + 1
        while j < len(places):
            gap = (places[j] - run[-1]) / local
            whole = max(1, round(gap))
            if abs(gap - whole) > 0.3 or whole > 3:
                if gap < 0.6:  # a stray peak between two marks
                    j += 1
                    continue
                break
            run.append(places[j])
            numbers.append(numbers[-1] + whole)
            local = 0.85 * local + 0.15 * (places[j] - run[-2]) / whole
            j += 1
        if len(run) > len(best[0]):
            best = (np.array(run), np.array(numbers, dtype=np.int64))
        i = max(i + 1, j - 1)
    return best


def _projective(numbers: Floats, places: Floats) -> tuple[Floats, Floats]:
    """x = (a n + b) / (c n + 1) by linear least squares with trimming; coefficients and residuals."""
    keep = np.ones(len(places), dtype=bool)
    n0, scale = numbers.mean(), max(1.0, float(np.ptp(numbers)))
    n = (numbers - n0) / scale
    x0, x1 = places.mean(), max(1.0, float(np.ptp(places)))
    x = (places - x0) / x1
    solution = np.zeros(3)
    for _ in range(4):
        design = np.stack([n, np.ones_like(n), -n * x], axis=1)[keep]
        solution, *_ = np.linalg.lstsq(design, x[keep], rcond=None)
        fitted = (solution[0] * n + solution[1]) / (solution[2] * n + 1)
        off = (x - fitted) * x1
        keep = np.abs(off) < max(0.3, 3 * 1.4826 * float(np.median(np.abs(off))))
    return np.array([*solution, n0, scale, x0, x1]), off


def _uneven(places: Floats, numbers: npt.NDArray[np.int64]) -> float:
    """Root mean square residual over the period, at most 1."""
    _, off = _projective(numbers.astype(np.float64), places)
    period = float(np.ptp(places)) / max(1.0, float(np.ptp(numbers)))
    return min(1.0, float(np.sqrt(np.mean(off**2))) / period * 2)


def _marks(strip: Floats, found: tuple[float, Floats, Floats, int], a: Floats, b: Floats, side: float) -> Marks:
    score, places, numbers, row = found
    fit, off = _projective(numbers, places)
    s, t, c, n0, scale, _, x1 = fit
    middle = (float(numbers[0] + numbers[-1]) / 2 - n0) / scale
    down = c * middle + 1
    slope_here = (s - c * t) / down**2 * x1 / scale  # px a mark at the middle
    change = -2 * c / down / scale  # relative, a mark
    along = (b - a) / np.linalg.norm(b - a)
    out = side * np.array([-along[1], along[0]])
    ends = np.array([a + places[0] * along + row * out, a + places[-1] * along + row * out])
    good = np.abs(off) < 0.35 * abs(slope_here)
    residual = float(np.sqrt(np.mean(off[good] ** 2))) if good.any() else float("inf")
    lean = _lean(strip, places[good], row, abs(slope_here))
    reach = _reach(strip, places[good], lean, row, abs(slope_here))
    return Marks(
        ends, numbers.astype(np.int64)[good], reach, abs(slope_here), change, residual, _sag(reach, places[good]), score
    )


def _contrast(strip: Floats, places: Floats, lean: Floats, row: int, period: float, rows: Floats) -> Floats:
    """(rows, marks): how much darker each mark is than beside it, followed along its own slant (px a row)."""
    x = places[None, :] + (rows[:, None] - row) * lean[None, :]
    y = np.broadcast_to(rows[:, None], x.shape)

    def at(shift: float) -> Floats:
        return cast(Floats, cv2.remap(strip, (x + shift).astype(np.float32), y.astype(np.float32), cv2.INTER_LINEAR))

    return cast(Floats, (at(-period / 2) + at(period / 2)) / 2 - at(0.0))


def _lean(strip: Floats, places: Floats, row: int, period: float) -> Floats:
    """Slant of each mark, px a row: the same for all plus a fan, as perspective makes it; the best of a grid."""
    rows = np.linspace(max(1, row - 0.5 * row - 2), min(STRIP_PX - 2, row + 0.5 * row + 6), 7)
    middle = (places - places.mean()) / max(1.0, float(np.ptp(places)))
    best, score = np.zeros(len(places)), -1.0
    for both in np.arange(-0.7, 0.71, 0.1):
        for fan in np.arange(-0.8, 0.81, 0.1):
            lean = both + fan * middle
            found = float(_contrast(strip, places, lean, row, period, rows).mean())
            if found > score:
                best, score = lean, found
    return best


def _reach(strip: Floats, places: Floats, lean: Floats, row: int, period: float) -> Floats:
    """How far each mark goes from the line, px, along its slant."""
    rows = np.arange(1.0, STRIP_PX - 1)
    contrast = cv2.blur(_contrast(strip, places, lean, row, period, rows).astype(np.float32), (1, 3))
    here = contrast[max(0, row - 3) : row + 3].mean(axis=0)
    dark = contrast > 0.4 * np.maximum(here, 0.5 * float(np.median(here)))
    reach = np.full(len(places), float(row))
    for k in range(len(places)):
        n = row
        while n + 1 < len(rows) and dark[n : n + 3, k].any():
            n += 1
        reach[k] = n
    return reach


def _sag(reach: Floats, places: Floats) -> float:
    """How far the inner ends of the short marks stray from a straight line, over the length: a bent ruler curves."""
    parts = np.array_split(np.arange(len(places)), 10)
    x = np.array([places[part].mean() for part in parts])
    y = np.array([np.quantile(reach[part], 0.4) for part in parts])
    long = max(1.0, float(np.ptp(places)))
    bend = float(np.polyfit((x - x.mean()) / (long / 2), y, 2)[0])
    return abs(bend) / long
