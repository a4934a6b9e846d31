"""Figures of a photo trial: error, coverage by how wrongly the height was told, pivots, interval score, refusals."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from fruitbody.examine.photo.trial import Row

BINS_MM: Final = ((0.0, 15.0), (15.0, 30.0), (30.0, 45.0), (45.0, 99.0))
ALPHA: Final = 0.05
WRONG_SCALE: Final = 0.03  # relative; a scale off by more, given without a word, is a silent error


@dataclass(frozen=True, slots=True)
class Figures:
    """n scenes, answered of them; medians and shares over the answered ones.

    error: median |relative error|. covered: share of intervals that hold the truth. pivot_mean, pivot_sd: of
    (value - truth) / u. wide: median of expanded uncertainty over value. score: median interval score over the truth
    (Gneiting and Raftery 2007, from memory). off3: share off by more than 3 u. silent: share of scales off by 3 %.
    """

    name: str
    n: int
    answered: int
    error: float
    covered: float
    pivot_mean: float
    pivot_sd: float
    wide: float
    score: float
    off3: float
    silent: float


def figures(name: str, rows: Sequence[Row]) -> Figures:
    """Figures of one class of scenes; NaN where nothing was answered."""
    got = [r for r in rows if r.answered]
    if not got:
        return Figures(name, len(rows), 0, *(math.nan,) * 8)
    value, truth = np.array([r.value_mm for r in got]), np.array([r.true_mm for r in got])
    u = np.array([r.u_mm for r in got])
    low, high = np.array([r.low_mm for r in got]), np.array([r.high_mm for r in got])
    z = (value - truth) / u
    below, above = (low - truth).clip(0), (truth - high).clip(0)
    score = (high - low + 2 / ALPHA * (below + above)) / truth
    return Figures(
        name=name,
        n=len(rows),
        answered=len(got),
        error=float(np.median(np.abs(value / truth - 1))),
        covered=float(np.mean((low <= truth) & (truth <= high))),
        pivot_mean=float(z.mean()),
        pivot_sd=float(z.std()),
        wide=float(np.median(2 * u / value)),
        score=float(np.median(score)),
        off3=float(np.mean(np.abs(z) > 3)),
        silent=float(np.mean([abs(r.scale_error) > WRONG_SCALE for r in got])),
    )


def summary(rows: Sequence[Row]) -> tuple[Figures, ...]:
    """All scenes, then every marginal class."""
    other = [r for r in rows if not r.same_plane]
    out = [
        figures("all", rows),
        figures("same plane, told rightly", [r for r in rows if r.same_plane]),
        figures("other height", other),
    ]
    for low, high in BINS_MM:
        out.append(
            figures(
                f"height told wrongly by {low:.0f}-{high:.0f} mm",
                [r for r in other if low <= abs(r.told_error_mm) < high],
            )
        )
    keys: tuple[Callable[[Row], str], ...] = (
        lambda r: r.kind, lambda r: f"tilt {r.tilt}", lambda r: f"coin {r.size}" if r.kind.startswith("us") else "",
        lambda r: r.blur,
    )  # fmt: skip
    for key in keys:
        for name in sorted({key(r) for r in rows} - {""}):
            out.append(figures(name, [r for r in rows if key(r) == name]))
    return tuple(out)


def as_text(all_figures: Sequence[Figures]) -> str:
    """A table for a reader."""
    lines = [
        f"{'class':36} {'n':>5} {'answered':>8} {'error':>7} {'covered':>8} {'pivot':>7} {'sd':>5} {'U/l':>6} "
        f"{'score':>6} {'off 3u':>7} {'scale off':>9}"
    ]
    for f in all_figures:
        lines.append(
            f"{f.name:36} {f.n:5} {f.answered / max(1, f.n):8.1%} {f.error:7.2%} {f.covered:8.1%} {f.pivot_mean:7.2f} "
            f"{f.pivot_sd:5.2f} {f.wide:6.1%} {f.score:6.3f} {f.off3:7.2%} {f.silent:9.2%}"
        )
    return "\n".join(lines)
