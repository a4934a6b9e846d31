"""Which bodies count as spores. Choosing matters more than finding all: what is doubtful is set aside, with its reason.

Bounds were set on fields of the project's optical model (bench/spores.py uses others); each stands in `Bounds`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.spores.bodies_found import DEBRIS, LONG
from fruitbody.examine.spores.edges import Edges
from fruitbody.examine.spores.outline import Measured
from fruitbody.examine.spores.profiles import NORMALS
from fruitbody.examine.spores.statistics import robust_score

OUT_OF_FOCUS: Final = "out of focus"
TILTED: Final = "tilted or seen from an end"
BUBBLE: Final = "an air bubble"
UNLIKE: Final = "unlike the rest in size: look at it yourself"
FAINT: Final = "too faint to measure"

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Bounds:
    """scatter: edge points about the outline, over the half width; sound: least share of normals with a good edge;
    uneven: standard deviation of steepness round the outline over its mean; blur: edge width over the field's usual,
    and over the half width; ends: least steepness at the ends over that at the sides; outside: area found at first over
    that of the outline; odd: robust scores of ln L, ln W beyond which a body is unlike the rest; noise: least height of
    the edge over the noise."""

    scatter: float = 0.035
    sound: float = 0.78
    uneven: float = 0.62
    blur: float = 1.6
    blur_of_body: float = 0.6
    ends: float = 0.42
    outside: tuple[float, float] = (0.7, 1.75)
    odd: float = 5.0
    noise: float = 2.5


def reasons(edges: Edges, measured: Measured, *, area: Array, light: tuple[float, Array], bounds: Bounds) -> list[str]:
    """Per body the first reason against it, '' where there is none.

    area: in pixels, as found at first; light: noise of single pixels, and the light at each body's middle.
    """
    noise, middle = light
    a, b = measured.length / 2, measured.width / 2
    steep = np.abs(edges.steep)
    blur = np.median(edges.blur, axis=1)
    height = np.median(steep * edges.blur, axis=1)
    rules = (
        (BUBBLE, bubbles(edges, measured, middle)),
        (OUT_OF_FOCUS, blur > bounds.blur_of_body * b),
        (DEBRIS, (measured.scatter > bounds.scatter * b) & (measured.scatter > 0.6)),
        (DEBRIS, _outside(area / (np.pi * a * b), bounds.outside)),
        (DEBRIS, edges.sound.mean(axis=1) < bounds.sound),
        (FAINT, height < bounds.noise * noise),
        (LONG, a > 6.0 * b),
    )
    found = np.full(len(a), "", dtype=object)
    for reason, holds in rules:
        found[(found == "") & holds] = reason
    left = found == ""
    found[left & _unlevel(steep, left, bounds)] = TILTED
    _beside_the_rest(found, blur, measured, bounds)
    return [str(reason) for reason in found]


def _outside(values: Array, bounds: tuple[float, float]) -> Flags:
    return (values < bounds[0]) | (values > bounds[1])


def bubbles(edges: Edges, measured: Measured, middle: Array) -> Flags:
    """Round, nearly black at a broad rim, bright in the middle."""
    dark = (edges.beside.rim < -0.6) & (edges.beside.deep < -0.5)
    return np.asarray((measured.length < 1.12 * measured.width) & dark & (middle > -0.35), dtype=np.bool_)


def _unlevel(steep: Array, left: Flags, bounds: Bounds) -> Flags:
    """A tilted spore's ends lie above and below the focus: weak edges there. Slender spores have weaker ends by nature,
    so the bounds give way to what most bodies of the field show."""
    ends, uneven = _ends(steep), steep.std(axis=1) / steep.mean(axis=1)
    weak, rough = bounds.ends, bounds.uneven
    if np.count_nonzero(left) >= 5:
        weak = min(weak, 0.62 * float(np.median(ends[left])))
        rough = max(rough, 1.5 * float(np.median(uneven[left])))
    return np.asarray((ends < weak) | (uneven > rough), dtype=np.bool_)


def _ends(steep: Array) -> Array:
    """Steepness at the weaker end over that at the sides; the first normal points along the long axis."""
    n, quarter = NORMALS // 12, NORMALS // 4
    around = np.arange(-n, n + 1)
    tips = [np.median(steep[:, (around + k * quarter) % NORMALS], axis=1) for k in range(4)]
    return np.asarray(np.minimum(tips[0], tips[2]) / np.maximum((tips[1] + tips[3]) / 2, 1e-12), dtype=np.float64)


def _beside_the_rest(found: NDArray[np.object_], blur: Array, measured: Measured, bounds: Bounds) -> None:
    """Judge what is left by the others in the picture: focus, tilt, size. Needs five to say what is usual."""
    left = found == ""
    if np.count_nonzero(left) < 5:
        return
    # Blur is in pixels and does not depend on a body's size; the sharper half of the field sets the measure.
    usual = float(np.percentile(blur[left], 35))
    found[left & (blur > bounds.blur * usual)] = OUT_OF_FOCUS
    left = found == ""
    if np.count_nonzero(left) < 5:
        return
    ln_l, ln_w = np.log(measured.length[left]), np.log(measured.width[left])
    odd_l, odd_w = _score(ln_l, 0.03), _score(ln_w, 0.03)
    # A steep spore keeps its width, looks too short, and so rounder than the rest.
    steep = (ln_l < np.median(ln_l)) & (_score(ln_l - ln_w, 0.03) > 2.9) & (ln_l - ln_w < np.median(ln_l - ln_w))
    reason = np.where(odd_l > bounds.odd, UNLIKE, np.where(odd_w > bounds.odd, UNLIKE, ""))
    reason = np.where((reason == "") & steep & (odd_l > 2.3), TILTED, reason)
    found[np.flatnonzero(left)] = reason


def _score(x: Array, least: float) -> Array:
    """The robust score with a floor under the usual spread, so that very uniform spores do not throw each other out."""
    spread = np.median(np.abs(x - np.median(x))) / 0.6745
    return robust_score(x) if spread >= least else np.asarray(np.abs(x - np.median(x)) / least, dtype=np.float64)
