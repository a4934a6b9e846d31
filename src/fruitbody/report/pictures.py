"""Geometry of a taxon's small pictures, as numbers: the season as a ring, sizes as strips."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from math import cos, pi, sin

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
MESES = (
    "enero", "febrero", "marzo", "abril", "mayo", "junio", "julio", "agosto", "septiembre", "octubre", "noviembre",
    "diciembre",
)  # fmt: skip
_SEASON = {
    "en": {"months": MONTHS, "none": ("not known",), "year": ("all year",), "run": ("{} to {}",)},
    "es": {"months": MESES, "none": ("no se sabe",), "year": ("todo el año",), "run": ("de {} a {}",)},
}
STRIP_PX = 300.0


@dataclass(frozen=True, slots=True)
class Segment:
    """One month of the ring: its path, whether the kind is found then, where its letter stands."""

    month: str
    letter: str
    found: bool
    path: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Strip:
    """A measure as a bar: thin from least to most, thick over the usual range. Pixels from the left, of 300."""

    least: float
    low: float
    high: float
    most: float

    @property
    def wide(self) -> float:
        return max(self.high - self.low, 2.0)

    @property
    def thin(self) -> float:
        return max(self.most - self.least, 2.0)


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark of the ruler under the strips: its place in pixels, its words."""

    x: float
    words: str


def season_ring(
    months: Collection[int], language: str = "en", *, outer: float = 60.0, inner: float = 36.0
) -> list[Segment]:
    """Twelve segments of a ring round (0, 0), January at the top, clockwise. Radii in px."""
    segments, gap = [], 0.03  # radians
    for number, month in enumerate(_SEASON[language]["months"], start=1):
        start = -pi / 2 + (number - 1) * pi / 6 + gap
        end = start + pi / 6 - 2 * gap
        a, b = _point(outer, start), _point(outer, end)
        c, d = _point(inner, end), _point(inner, start)
        path = f"M{a} A{outer:g} {outer:g} 0 0 1 {b} L{c} A{inner:g} {inner:g} 0 0 0 {d} Z"
        middle, radius = (start + end) / 2, (outer + inner) / 2
        segments.append(
            Segment(
                month,
                month[0].upper(),
                number in months,
                path,
                round(radius * cos(middle), 1),
                round(radius * sin(middle), 1),
            )
        )
    return segments


def season_words(months: Collection[int], language: str = "en") -> str:
    """The months in words, runs joined over the turn of the year: 'August to January', 'May; September'.
    language: 'en' or 'es'."""
    said = _SEASON[language]
    found = sorted(set(months))
    if not found:
        return said["none"][0]
    if len(found) == 12:
        return said["year"][0]
    runs = []
    for month in found:
        if (month - 2) % 12 + 1 in found:
            continue
        last = month
        while last % 12 + 1 in found:
            last = last % 12 + 1
        first_name, last_name = said["months"][month - 1], said["months"][last - 1]
        runs.append(first_name if month == last else said["run"][0].format(first_name, last_name))
    return "; ".join(runs)


def ruler_end(values: Collection[float]) -> float:
    """The right end of a ruler that holds all values: 1, 2 or 5 times a power of ten. Raises ValueError on none."""
    largest = max(values)
    size = 1e-3
    while True:
        for step in (1, 2, 5):
            if size * step >= largest:
                return size * step
        size *= 10


def ticks(end: float, unit: str) -> list[Tick]:
    """Words at the start, middle and end of the ruler; rulers of 100 mm and more are said in centimetres."""
    scale, name = (0.1, "cm") if unit == "mm" and end >= 100 else (1.0, "" if unit == "ratio" else unit)
    return [Tick(STRIP_PX * part / 4, f"{end * part / 4 * scale:g} {name}".strip()) for part in (0, 2, 4)]


def strip(least: float | None, low: float, high: float, most: float | None, *, end: float) -> Strip:
    """A measure on a ruler from 0 to `end`, same unit."""
    at = [
        STRIP_PX * value / end for value in (low if least is None else least, low, high, high if most is None else most)
    ]
    return Strip(*(round(x, 1) for x in at))


def _point(radius: float, angle: float) -> str:
    return f"{radius * cos(angle):.2f} {radius * sin(angle):.2f}"
