"""Curves of the trial as SVG: stated chance against what came true; how often the true kind is among the first k."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from fruitbody.report.drawings import FADED, INK, LINE, RULE, RUST, line, svg, text

WIDTH, HEIGHT = 340.0, 290.0
LEFT, RIGHT, TOP, BOTTOM = 50.0, 40.0, 14.0, 44.0
MOST_NAMES: Final = 20
DASHES: Final = {"R0": "1 3", "R1": "7 4", "R2": "", "R3": "2 2 7 2"}
LABEL_GAP: Final = 14.0


def calibration_svg(bins: Sequence[Mapping[str, Any]], alt: str) -> str:
    """bins: {'n', 'stated', 'right'} per tenth of stated chance. The diagonal is a chance that means what it says."""
    most = max((b["n"] for b in bins), default=1)
    parts = _frame("chance it stated, of 100", "came true, of 100", across=_percents(0.0), up=_percents(0.0))
    parts.append(line(*_at(0, 0), *_at(1, 1), stroke=RULE, more='stroke-dasharray="3 4"'))
    points = [(*_at(b["stated"], b["right"]), b["n"]) for b in bins]
    route = "M" + "L".join(f"{x:g} {y:g}" for x, y, _ in points)
    parts.append(f'<path d="{route}" fill="none" stroke="{RUST}" stroke-width="1.5"/>')
    # The area of a dot is how many specimens stand behind it.
    for x, y, n in points:
        radius = max(2.0, 9.0 * (n / most) ** 0.5)
        parts.append(f'<circle cx="{x:g}" cy="{y:g}" r="{radius:.1f}" fill="{RUST}" fill-opacity="0.8"/>')
    return svg(WIDTH, HEIGHT, parts, alt)


def calibration_alt(depth: str, bins: Sequence[Mapping[str, Any]]) -> str:
    said = "; ".join(f"stated {b['stated']:.0%}, came true {b['right']:.0%} of {b['n']:,}" for b in bins)
    return f"{depth}: {said}."


def ranks_svg(by_rung: Mapping[str, Sequence[float]], alt: str) -> str:
    """by_rung: rung -> share of specimens whose true kind is among the first k names, k = 1 to 20."""
    lowest = min((values[0] for values in by_rung.values() if values), default=0.0)
    floor = min(0.9, max(0.0, int(lowest * 10) / 10))
    names = [(_x((k - 1) / (MOST_NAMES - 1)), str(k)) for k in (1, 3, 5, 10, 15, 20)]
    parts = _frame("among the first so many names", "of 100 specimens", across=names, up=_percents(floor))
    ends: list[tuple[float, str]] = []
    for rung, values in by_rung.items():
        points = [
            (_x(k / (MOST_NAMES - 1)), _y((value - floor) / (1 - floor))) for k, value in enumerate(values[:MOST_NAMES])
        ]
        route = "M" + "L".join(f"{x:g} {y:g}" for x, y in points)
        colour, width = (RUST, 2.2) if rung == "R2" else (FADED, 1.3)
        dash = f' stroke-dasharray="{DASHES[rung]}"' if DASHES.get(rung) else ""
        parts.append(f'<path d="{route}" fill="none" stroke="{colour}" stroke-width="{width}"{dash}/>')
        ends.append((points[-1][1], rung))
    for y, rung in _apart(ends):
        parts.append(text(WIDTH - RIGHT + 6, y + 4, rung, anchor="start", fill=RUST if rung == "R2" else INK))
    return svg(WIDTH, HEIGHT, parts, alt)


def ranks_alt(depth: str, by_rung: Mapping[str, Sequence[float]]) -> str:
    said = "; ".join(
        f"{rung}: first {values[0]:.0%}, first three {values[2]:.0%}, first ten {values[9]:.0%}"
        for rung, values in by_rung.items()
        if len(values) >= 10
    )
    return f"{depth}: the true kind is among the first names. {said}."


def _frame(
    below: str, beside: str, *, across: Sequence[tuple[float, str]], up: Sequence[tuple[float, str]]
) -> list[str]:
    """Ground, lines and words of the axes. across: (x in px, words); up: (share of the height, words)."""
    right, bottom = WIDTH - RIGHT, HEIGHT - BOTTOM
    parts = [f'<rect x="{LEFT:g}" y="{TOP:g}" width="{right - LEFT:g}" height="{bottom - TOP:g}" fill="#ffffff"/>']
    for x, words in across:
        at = x if x > 1 else _x(x)
        parts += [line(at, TOP, at, bottom, stroke=LINE), text(at, bottom + 16, words)]
    for share, words in up:
        y = _y(share)
        parts += [line(LEFT, y, right, y, stroke=LINE), text(LEFT - 6, y + 4, words, anchor="end")]
    middle = (TOP + bottom) / 2
    parts.append(text((LEFT + right) / 2, HEIGHT - 8, below, fill=INK))
    parts.append(text(13, middle, beside, fill=INK, more=f'transform="rotate(-90 13 {middle:g})"'))
    return parts


def _percents(floor: float) -> list[tuple[float, str]]:
    """(share of the axis, words) from the floor to 100 in about five steps."""
    step = 0.25 if floor == 0 else 0.1 if floor <= 0.6 else 0.05 if floor <= 0.8 else 0.02
    values = [round(floor + step * i, 3) for i in range(round((1 - floor) / step) + 1)]
    return [((value - floor) / (1 - floor), f"{100 * value:g}") for value in values]


def _apart(ends: Sequence[tuple[float, str]]) -> list[tuple[float, str]]:
    """Labels pushed down until none overlaps the one above."""
    placed: list[tuple[float, str]] = []
    for y, words in sorted(ends):
        placed.append((max(y, placed[-1][0] + LABEL_GAP) if placed else y, words))
    return placed


def _x(share: float) -> float:
    return round(LEFT + share * (WIDTH - LEFT - RIGHT), 1)


def _y(share: float) -> float:
    return round(HEIGHT - BOTTOM - share * (HEIGHT - TOP - BOTTOM), 1)


def _at(x: float, y: float) -> tuple[float, float]:
    return _x(x), _y(y)
