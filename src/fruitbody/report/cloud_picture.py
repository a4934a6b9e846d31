"""The geometry of the spore cloud: length against width at one scale, so that an outline has the shape it is drawn in.

Numbers only; `drawings.py` makes the picture. Lengths in px, the origin at the top left.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fruitbody.identify.spore_cloud import SporeCloud

Array = NDArray[np.float64]
Point = tuple[float, float]
LEFT, RIGHT, TOP, BOTTOM = 46.0, 14.0, 14.0, 40.0
WIDTH, MOST_HIGH, LEAST_HIGH = 480.0, 400.0, 190.0
BEYOND = 1.6
"""Others whose spores are this many times larger, or this part of the size, are named and not drawn: they would
press the cloud into a corner."""
RATIOS = (1.0, 1.5, 2.0, 3.0, 5.0)
LABEL_ANGLES = 24


@dataclass(frozen=True, slots=True)
class Outline:
    """A closed curve of an other kind with its number in the list, and where the number stands."""

    number: int
    path: str
    label: Point


@dataclass(frozen=True, slots=True)
class CloudPicture:
    """paths: the outlines of the kind itself, the wide one first. ratios: (line, where its words stand, words)."""

    width: float
    height: float
    frame: tuple[float, float, float, float]
    paths: tuple[str, ...]
    centre: Point
    others: tuple[Outline, ...]
    across: tuple[tuple[float, str], ...]
    up: tuple[tuple[float, str], ...]
    ratios: tuple[tuple[str, Point, str], ...]
    drawn: tuple[str, ...]
    beyond: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Scale:
    """From µm to px: both axes alike."""

    low: Point
    high: Point
    px_per_um: float
    bottom: float

    def at(self, length: float, width: float) -> Point:
        x, y = LEFT + (length - self.low[0]) * self.px_per_um, self.bottom - (width - self.low[1]) * self.px_per_um
        return round(x, 1), round(y, 1)


def cloud_picture(own: SporeCloud, others: Sequence[tuple[str, SporeCloud]]) -> CloudPicture:
    """The picture of `own` with the outlines (90 %) of the others, (name, cloud), behind it, numbered from 1."""
    near = [(name, cloud) for name, cloud in others if _near(own, cloud)]
    scale, height = _scale([own, *(cloud for _, cloud in near)])
    placed: list[Point] = [scale.at(*own.centre)]
    outlines = []
    for number, (_, cloud) in enumerate(near, start=1):
        points = _points(scale, cloud.outlines[0.9])
        label = _freest(points, placed)
        placed.append(label)
        outlines.append(Outline(number, _path(points), label))
    return CloudPicture(
        width=WIDTH,
        height=height,
        frame=(LEFT, TOP, WIDTH - RIGHT, height - BOTTOM),
        paths=tuple(_path(_points(scale, own.outlines[share])) for share in sorted(own.outlines, reverse=True)),
        centre=scale.at(*own.centre),
        others=tuple(outlines),
        across=tuple((scale.at(v, 0)[0], f"{v:g}") for v in _marks(scale.low[0], scale.high[0])),
        up=tuple((scale.at(0, v)[1], f"{v:g}") for v in _marks(scale.low[1], scale.high[1])),
        ratios=_ratio_lines(scale),
        drawn=tuple(name for name, _ in near),
        beyond=tuple(name for name, cloud in others if not _near(own, cloud)),
    )


def _near(own: SporeCloud, other: SporeCloud) -> bool:
    return all(1 / BEYOND < b / a < BEYOND for a, b in zip(own.centre, other.centre, strict=True))


def _scale(clouds: Sequence[SporeCloud]) -> tuple[_Scale, float]:
    """A scale that holds all outlines with a margin, and the height of the picture."""
    every = np.concatenate([cloud.outlines[0.9] for cloud in clouds])
    low, high = every.min(axis=0), every.max(axis=0)
    spare = 0.06 * (high - low).max()
    low, high = np.maximum(low - spare, 0.0), high + spare
    inner = WIDTH - LEFT - RIGHT
    per_um = min(inner / (high[0] - low[0]), (MOST_HIGH - TOP - BOTTOM) / (high[1] - low[1]))
    spans = np.array([inner / per_um, max(high[1] - low[1], (LEAST_HIGH - TOP - BOTTOM) / per_um)])
    start = np.maximum((low + high - spans) / 2, 0.0)
    height = TOP + BOTTOM + spans[1] * per_um
    end = start + spans
    scale = _Scale((start[0], start[1]), (end[0], end[1]), float(per_um), float(height - BOTTOM))
    return scale, round(float(height), 1)


def _points(scale: _Scale, outline: Array) -> list[Point]:
    return [scale.at(float(length), float(width)) for length, width in outline]


def _path(points: Sequence[Point]) -> str:
    return "M" + "L".join(f"{x:g} {y:g}" for x, y in points) + "Z"


def _freest(points: Sequence[Point], placed: Sequence[Point]) -> Point:
    """The point of the curve that is farthest from every label placed so far."""
    step = max(len(points) // LABEL_ANGLES, 1)
    return max(points[::step], key=lambda p: min(math.dist(p, q) for q in placed))


def _marks(low: float, high: float) -> list[float]:
    """Round values within the axis, four to eight of them."""
    raw = (high - low) / 6
    size = 10.0 ** math.floor(math.log10(raw))
    step = next(size * f for f in (1, 2, 5, 10) if size * f >= raw)
    first = math.ceil(low / step)
    return [round(step * i, 6) for i in range(first, math.floor(high / step) + 1)]


def _ratio_lines(scale: _Scale) -> tuple[tuple[str, Point, str], ...]:
    """Lines on which a spore is so many times as long as wide, where they cross the frame."""
    lines = []
    for ratio in RATIOS:
        start = max(scale.low[0], scale.low[1] * ratio)
        end = min(scale.high[0], scale.high[1] * ratio)
        if end - start < 0.15 * (scale.high[0] - scale.low[0]):
            continue
        a, b = scale.at(start, start / ratio), scale.at(end, end / ratio)
        lines.append((f"M{a[0]:g} {a[1]:g}L{b[0]:g} {b[1]:g}", b, f"{ratio:g} : 1"))
    return tuple(lines)
