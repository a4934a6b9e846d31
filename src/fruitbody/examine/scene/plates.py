"""References as plates: frame, outline, face. The motif of the coin is our own; only its diameter is a mint's."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import cast

import numpy as np
import numpy.typing as npt

from fruitbody.examine.scene.colour import Floats, linear
from fruitbody.examine.scene.model import Card, Coin, Reference, Ruler
from fruitbody.examine.scene.texture import Texture, with_slopes

# Strokes of the figures 0 to 9 in a box 2 wide and 4 high, as polylines.
_FIGURES: tuple[tuple[tuple[float, float], ...], ...] = (
    ((0, 1), (0, 3), (1, 4), (2, 3), (2, 1), (1, 0), (0, 1)),
    ((0.2, 3), (1, 4), (1, 0)),
    ((0, 3), (0.6, 4), (1.5, 4), (2, 3), (1.7, 2), (0, 0), (2, 0)),
    ((0, 3.6), (1, 4), (2, 3.2), (1, 2.1), (2, 1), (1, 0), (0, 0.5)),
    ((1.6, 0), (1.6, 4), (0, 1.2), (2.1, 1.2)),
    ((2, 4), (0.2, 4), (0, 2.2), (1.2, 2.5), (2, 1.4), (1.2, 0), (0, 0.4)),
    ((1.8, 3.8), (0.6, 3), (0, 1.3), (0.8, 0), (1.8, 0.4), (1.9, 1.6), (1, 2.1), (0.1, 1.5)),
    ((0, 4), (2, 4), (0.8, 0)),
    ((1, 2.1), (0.2, 3), (1, 4), (1.8, 3), (1, 2.1), (0, 1), (1, 0), (2, 1), (1, 2.1)),
    ((0.2, 0.2), (1.4, 1), (2, 2.8), (1.2, 4), (0.2, 3.5), (0.1, 2.4), (1, 1.9), (1.9, 2.5)),
)


@dataclass(frozen=True)
class Plate:
    """A reference in the world: `centre` of its face, unit axes `u`, `v` along it, `normal` to the viewer."""

    reference: Reference
    centre: Floats
    u: Floats
    v: Floats
    normal: Floats

    @property
    def half(self) -> tuple[float, float]:
        """Half sizes along u and v, mm."""
        r = self.reference
        return (r.diameter_mm / 2, r.diameter_mm / 2) if isinstance(r, Coin) else (r.length_mm / 2, r.breadth_mm / 2)

    @property
    def corners(self) -> Floats:
        """The corners of the face (4, 3), of the square round it for a coin."""
        a, b = self.half
        return np.stack(
            [self.centre + s * a * self.u + t * b * self.v for s, t in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
        )

    def edge(self, a: Floats, b: Floats) -> Floats:
        """Signed distance (mm, negative inside) from the outline, of points in face coordinates."""
        if isinstance(self.reference, Coin):
            return cast(Floats, np.hypot(a, b) - self.half[0])
        # ISO/IEC 7810 rounds the corners of a card by 3.18 mm; the ruler's are our own.
        rounding = 3.18 if isinstance(self.reference, Card) else 0.8
        da, db = np.abs(a) - self.half[0] + rounding, np.abs(b) - self.half[1] + rounding
        outside = np.hypot(np.maximum(da, 0), np.maximum(db, 0))
        return cast(Floats, outside + np.minimum(np.maximum(da, db), 0) - rounding)

    def face(self, p: Floats) -> tuple[Floats, Floats]:
        """Face coordinates of world points."""
        q = p - self.centre
        return cast(Floats, q @ self.u), cast(Floats, q @ self.v)

    def paint(self, p: Floats, pixel_mm: Floats) -> tuple[Floats, Floats]:
        """Linear colour and normal at points of the face."""
        a, b = self.face(p)
        channels = _picture(self.reference).sample(a + self.half[0], b + self.half[1], pixel_mm)
        n = self.normal - channels[:, 3:4] * self.u - channels[:, 4:5] * self.v
        return channels[:, :3], (n / np.linalg.norm(n, axis=1, keepdims=True)).astype(np.float32)


def plate(reference: Reference) -> Plate:
    """Put a reference in its place; of an upright one, `height_mm` is the height of its upper edge."""
    turn = np.radians(reference.turn_deg)
    u, side = np.array([np.cos(turn), np.sin(turn), 0.0]), np.array([-np.sin(turn), np.cos(turn), 0.0])
    up = np.array([0.0, 0.0, 1.0])
    centre = np.array([*reference.xy_mm, reference.height_mm])
    if not isinstance(reference, Coin) and reference.upright:
        return Plate(reference, centre - [0, 0, reference.breadth_mm / 2], u, up, -side)
    return Plate(reference, centre, u, side, up)


@lru_cache(maxsize=16)
def _picture(reference: Reference) -> Texture:
    if isinstance(reference, Coin):
        return _coin(reference)
    texel = 0.1
    a, b = np.meshgrid(
        np.arange(0, reference.length_mm, texel) + texel / 2, np.arange(0, reference.breadth_mm, texel) + texel / 2
    )
    colour = np.broadcast_to(linear(reference.colour), (*a.shape, 3)).copy()
    if isinstance(reference, Ruler):
        _graduate(reference, colour, a, b)
    elif not reference.plain:
        for k, code in enumerate((245, 160, 95, 40)):
            box = (np.abs(a - 14 - 19 * k) < 7.5) & (np.abs(b - 20) < 9)
            colour[box] = linear((code, code, code))
        colour[(np.abs(b - 42) < 0.5) & (np.abs(a - 42.8) < 36)] = linear((60, 60, 60))
    return Texture.of(np.pad(colour, ((0, 0), (0, 0), (0, 2))), texel, repeat=False)


def _graduate(ruler: Ruler, colour: Floats, a: Floats, b: Floats) -> None:
    """Millimetre lines from the upper edge, longer at 5 and 10, figures in centimetres; zero is 5 mm from the end."""
    ink = np.zeros(a.shape, dtype=bool)
    last = int(ruler.length_mm - 10)
    mark = np.rint(a - 5.0)
    reach = np.where(mark % 10 == 0, 8.0, np.where(mark % 5 == 0, 6.0, 4.0))
    ink |= (np.abs(a - 5.0 - mark) < 0.11) & (mark >= 0) & (mark <= last) & (ruler.breadth_mm - b < reach)
    for centimetre in range(last // 10 + 1):
        text = str(centimetre)
        for n, figure in enumerate(text):
            left = 5.0 + 10 * centimetre + (n - len(text) / 2) * 2.5 + 0.25
            ink |= _strokes(_FIGURES[int(figure)], (a - left) / 1.0, (b - ruler.breadth_mm + 13.2) / 1.0) < 0.24
    colour[ink] = linear((24, 24, 26))


def _strokes(line: tuple[tuple[float, float], ...], x: Floats, y: Floats) -> Floats:
    """Distance to a polyline; 9 wherever the point is outside its box, to save work."""
    out = np.full(x.shape, 9.0)
    box: npt.NDArray[np.bool_] = (x > -0.5) & (x < 2.6) & (y > -0.5) & (y < 4.5)
    px, py, best = x[box], y[box], np.full(int(box.sum()), 9.0)
    for (ax, ay), (bx, by) in pairwise(line):
        ex, ey = bx - ax, by - ay
        s = np.clip(((px - ax) * ex + (py - ay) * ey) / (ex * ex + ey * ey), 0, 1)
        best = np.minimum(best, np.hypot(px - ax - s * ex, py - ay - s * ey))
    out[box] = best
    return out


def _coin(coin: Coin) -> Texture:
    """Raised rim, a ring of beads and a five-rayed leaf: no country's motif."""
    n = 512
    texel = coin.diameter_mm / n
    axis = (np.arange(n) + 0.5) / n * 2 - 1
    x, y = np.meshgrid(axis, axis)
    r, angle = np.hypot(x, y), np.arctan2(y, x)
    height = 0.30 * _step(r, 0.93)
    if not coin.plain:
        beads = np.cos(angle * 30) * np.exp(-(((r - 0.84) / 0.03) ** 2))
        leaf = 0.62 * (0.55 + 0.45 * np.abs(np.cos(2.5 * angle)) ** 0.6)
        vein = np.exp(-((np.sin(2.5 * angle + np.pi / 2 * 0) * r / 0.025) ** 2)) * (r < 0.55)
        height = (
            height
            + 0.14 * np.clip(beads, 0, 1)
            + 0.22 * _step(-r, -leaf)
            - 0.06 * vein
            + 0.03 * np.cos(r * 40) * (r < leaf)
        )
    tone = 1 + (0.0 if coin.plain else 0.10) * (height / 0.3 - 0.5)
    colour = linear(coin.colour) * tone[..., None]
    slopes = np.zeros_like(height) if coin.plain else height
    return Texture.of(with_slopes(colour, slopes, texel), texel, repeat=False)


def _step(x: Floats, at: Floats | float) -> Floats:
    u = np.clip((x - at) / 0.03 + 0.5, 0, 1)
    return cast(Floats, u * u * (3 - 2 * u))
