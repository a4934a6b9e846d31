"""What a sample of spores says: moments, percentiles, means per fruit body, intervals, how many more.

Percentiles are NumPy's default (type 7). L, W, Q with their range are the means per fruit body, L′, W′, Q′ the means
over all spores (Tulloss and Lindgren 2005, Mycotaxon 91: 193–194).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.spores.sample import Sample, Spore, grouped
from fruitbody.examine.spores.shape import shape_class

Array = NDArray[np.float64]

BETWEEN = 0.6
"""φ: share of the variance that lies between collections (the engine's own value; a start value, not yet fitted)."""

WORTH = 0.05
"""More spores are worth counting while infinitely many would narrow the mean by more than this share."""

ODD = 3.5
"""Bound of the robust score |0.6745 (x − median) / MAD| beyond which a spore is pointed out (Iglewicz and Hoaglin 1993,
How to Detect and Handle Outliers; from memory)."""


@dataclass(frozen=True, slots=True)
class Spread:
    """Mean, standard deviation (n − 1; None for one value), extremes, 5th and 95th percentile, median."""

    n: int
    mean: float
    sd: float | None
    min: float
    p5: float
    median: float
    p95: float
    max: float


@dataclass(frozen=True, slots=True)
class BodyMeans:
    """Means of one fruit body; w and q None where no widths were measured."""

    fruit_body: str
    collection: str
    n: int
    l: float  # noqa: E741 - the literature's letter
    w: float | None
    q: float | None


@dataclass(frozen=True, slots=True)
class Summary:
    """Everything a sample says. unit: 'µm' or 'px'. volume: mean of π/6·L·W², unit cubed. odd: indices of spores that
    lie far from the rest; they are counted like all others."""

    unit: str
    n: int
    fruit_bodies: int
    collections: int
    length: Spread
    width: Spread | None
    q: Spread | None
    volume: Spread | None
    shape_class: str | None
    per_fruit_body: tuple[BodyMeans, ...]
    odd: tuple[int, ...]


def spread(values: Sequence[float] | Array) -> Spread:
    """Moments and percentiles of at least one finite value."""
    x = np.asarray(values, dtype=np.float64)
    low, middle, high = (float(v) for v in np.percentile(x, (5, 50, 95)))
    sd = float(x.std(ddof=1)) if x.size > 1 else None
    return Spread(x.size, float(x.mean()), sd, float(x.min()), low, middle, high, float(x.max()))


def summarise(sample: Sample) -> Summary:
    """The statistics of a sample; widths, Q, volume and shape are None where only lengths were measured."""
    lengths, widths = axes(sample.spores)
    width = q = volume = shape = None
    if widths is not None:
        width, q = spread(widths), spread(lengths / widths)
        volume = spread(math.pi / 6 * lengths * widths**2)
        shape = shape_class(q.p5, q.p95, sample.preparation.outline)
    bodies = tuple(_body(key, spores) for key, spores in sample.by_fruit_body().items())
    return Summary(
        sample.unit, len(sample.spores), len(bodies), sample.collections, spread(lengths), width, q, volume, shape,
        bodies, odd_ones(sample.spores),
    )  # fmt: skip


def axes(spores: Sequence[Spore]) -> tuple[Array, Array | None]:
    """(lengths, widths) as arrays [n]; widths None where there are none."""
    lengths = np.array([spore.length for spore in spores])
    widths = [spore.width for spore in spores if spore.width is not None]
    return lengths, np.array(widths) if len(widths) == len(lengths) else None


def _body(key: tuple[str, str], spores: Sequence[Spore]) -> BodyMeans:
    lengths, widths = axes(spores)
    w, q = (None, None) if widths is None else (float(widths.mean()), float((lengths / widths).mean()))
    return BodyMeans(key[1], key[0], len(spores), float(lengths.mean()), w, q)


def odd_ones(spores: Sequence[Spore]) -> tuple[int, ...]:
    """Indices of spores whose ln L, ln W or ln Q lies far from the median. Fewer than 5 spores point out nothing."""
    lengths, widths = axes(spores)
    if len(spores) < 5:
        return ()
    columns = [lengths] if widths is None else [lengths, widths, lengths / widths]
    far = np.zeros(len(spores), dtype=bool)
    for column in columns:
        far |= robust_score(np.log(column)) > ODD
    return tuple(int(i) for i in np.flatnonzero(far))


def robust_score(x: Array) -> Array:
    """|0.6745 (x − median) / MAD|; where more than half are equal, the mean deviation stands in for the MAD."""
    off = np.abs(x - np.median(x))
    mad = float(np.median(off))
    scale = mad / 0.6745 if mad > 0 else float(off.mean()) * 1.2533
    return np.asarray(off / scale if scale > 0 else np.zeros_like(x), dtype=np.float64)


# Intervals, and how many more


Statistic = Callable[[Array, Array], float]
"""Of lengths and widths (NaN where there are none), [n] each."""


def bootstrap(
    sample: Sample, statistic: Statistic, *, seed: int, share: float = 0.95, rounds: int = 2000
) -> tuple[float, float]:
    """Percentile interval of a statistic of the spores. Fruit bodies are drawn first where there are several, then
    spores within each, because spores of one fruit body are alike. `seed` makes it repeatable."""
    rng = np.random.default_rng(seed)
    groups = [axes(spores) for spores in grouped(sample.spores).values()]
    pairs = [(lengths, np.full_like(lengths, np.nan) if widths is None else widths) for lengths, widths in groups]
    found = np.empty(rounds)
    for i in range(rounds):
        drawn = [pairs[k] for k in rng.integers(0, len(pairs), len(pairs))]
        taken = [rng.integers(0, len(lengths), len(lengths)) for lengths, _ in drawn]
        lengths = np.concatenate([one[0][index] for one, index in zip(drawn, taken, strict=True)])
        widths = np.concatenate([one[1][index] for one, index in zip(drawn, taken, strict=True)])
        found[i] = statistic(lengths, widths)
    low, high = np.percentile(found, (50 * (1 - share), 50 * (1 + share)))
    return float(low), float(high)


def mean_length(lengths: Array, widths: Array) -> float:
    return float(lengths.mean())


def mean_width(lengths: Array, widths: Array) -> float:
    return float(widths.mean())


def mean_q(lengths: Array, widths: Array) -> float:
    return float((lengths / widths).mean())


@dataclass(frozen=True, slots=True)
class HowMany:
    """wanted: spores for the wished half-width of this collection's mean; more: how many of these are still missing;
    enough: beyond so many, more spores of this one collection no longer help to tell kinds apart; floor: standard
    uncertainty of the kind's mean that remains with infinitely many, same unit; now: the same with the n there are."""

    wanted: int
    more: int
    enough: int
    floor: float
    now: float


def how_many(spread_: Spread, *, half_width: float, between: float = BETWEEN) -> HowMany:
    """How many spores a mean needs. half_width: of the 95 % interval of this collection's mean, same unit.

    Within a collection the mean has s²/n. Against a description it also has the spread between collections,
    s² φ/(1 − φ), where s² = (1 − φ) of the kind's whole variance; no number of spores of one collection lowers that.
    Raises ValueError for fewer than two spores or a half-width that is not above zero.
    """
    if spread_.sd is None:
        raise ValueError("One spore says nothing about the spread. Measure at least five first.")
    if not half_width > 0 or not 0 <= between < 1:
        raise ValueError("The wished precision is above zero, and the share between collections from 0 to below 1.")
    wanted = max(2, math.ceil((1.959963984540054 * spread_.sd / half_width) ** 2))
    floor = spread_.sd * math.sqrt(between / (1 - between))
    now = math.sqrt(floor**2 + spread_.sd**2 / spread_.n)
    enough = math.ceil((1 - between) / (between * ((1 + WORTH) ** 2 - 1))) if between > 0 else wanted
    return HowMany(wanted, max(0, wanted - spread_.n), enough, floor, now)
