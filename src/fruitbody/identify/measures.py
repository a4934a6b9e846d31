"""Measures: log-normal scores, one value, several, ranges, unripe sizes (engine §3).

All densities are per unit of ln x. Arrays `mu`, `sigma` hold one row per hypothesis.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from fruitbody.funga.model import MeasureScore

Array = NDArray[np.float64]

Z95 = 1.6448536269514722
"""The 95th percentile of the standard normal distribution."""
Z_EXTREMES = 2.0
"""Where a source says that low and high are the extremes of some twenty fruit bodies (common practice)."""
_GL_X, _GL_W = np.polynomial.legendre.leggauss(48)
_GH_X, _GH_W = np.polynomial.hermite_e.hermegauss(24)


def score_to_normal(score: MeasureScore, *, unstated_width: float = 1.0) -> tuple[float, float]:
    """(μ, σ) of ln x: μ = ½ ln(low·high), σ = ln(high/low)/(2z), z by the source's convention.

    A range whose convention is unstated is widened by `unstated_width`. A range of no width gets a σ of 5 %.
    """
    z = Z_EXTREMES if score.convention == "extremes" else Z95
    mu = 0.5 * math.log(score.low * score.high)
    sigma = max(math.log(score.high / score.low) / (2 * z), 0.05)
    return mu, sigma * (unstated_width if score.convention == "unstated" else 1.0)


def normal(x: Array | float, mu: Array | float, variance: Array | float) -> Array:
    """Density of N(μ, variance) at x."""
    return np.asarray(np.exp(-0.5 * (x - mu) ** 2 / variance) / np.sqrt(2 * math.pi * variance), dtype=np.float64)


def between(low: Array, high: Array) -> Array:
    """Φ(high) − Φ(low) of the standard normal, by Gauss–Legendre quadrature with 48 nodes.

    Intervals are cut to ±9 standard deviations; the error is below 1e-12.
    """
    low, high = np.clip(low, -9, 9), np.clip(high, -9, 9)
    half = 0.5 * (high - low)
    nodes = (0.5 * (high + low))[..., None] + half[..., None] * _GL_X
    return np.asarray((np.exp(-0.5 * nodes**2) @ _GL_W) * half / math.sqrt(2 * math.pi), dtype=np.float64)


_CDF_Z = np.linspace(-9.0, 9.0, 36001)
_CDF = np.concatenate(
    [[0.0], np.cumsum((_CDF_Z[1] - _CDF_Z[0]) * np.exp(-0.5 * ((_CDF_Z[1:] + _CDF_Z[:-1]) / 2) ** 2))]
)
_CDF /= _CDF[-1]


def normal_cdf(z: Array) -> Array:
    """Φ(z) from a table of 36,001 points with linear interpolation: within 2e-8, for bins of expected information."""
    return np.asarray(np.interp(z, _CDF_Z, _CDF), dtype=np.float64)


def one_value(ln_x: float, u: float, n: int, *, mu: Array, sigma: Array, kappa: float, phi: float) -> Array:
    """Density of the mean ln x of n fruit bodies, u its standard uncertainty (relative).

    Variance φκ²σ² + (1 − φ)κ²σ²/n + u²; with n = 1 this is (κσ)² + u².
    """
    spread = (kappa * sigma) ** 2
    return normal(ln_x, mu, spread * (phi + (1 - phi) / n) + u**2)


def one_between(low: float, high: float, *, mu: Array, sigma: Array, kappa: float) -> Array:
    """P(low ≤ x ≤ high) of one value known to lie between the two."""
    width = kappa * sigma
    return between((math.log(low) - mu) / width, (math.log(high) - mu) / width)


def range_of_n(low: float, high: float, n: int, *, mu: Array, sigma: Array, kappa: float, phi: float) -> Array:
    """Density (per ln low, ln high) of the smallest and largest of n ≥ 2 fruit bodies of one collection.

    ∫ N(β; μ, φκ²σ²) n(n−1) f(l−β) f(h−β) [F(h−β) − F(l−β)]^(n−2) dβ, the collection's mean β by 24 Gauss–Hermite nodes
    placed on the posterior of β, so that narrow ranges do not fall between nodes.
    """
    lo, hi = math.log(low), math.log(high)
    inner, outer = (1 - phi) * (kappa * sigma) ** 2, phi * (kappa * sigma) ** 2
    middle = 0.5 * (lo + hi)
    precision = 1 / outer + 2 / inner
    centre = (mu / outer + 2 * middle / inner) / precision
    scale = np.sqrt(1 / precision)
    beta = centre[..., None] + scale[..., None] * _GH_X
    sd = np.sqrt(inner)[..., None]
    density = normal(beta, mu[..., None], outer[..., None]) * normal(lo, beta, sd**2) * normal(hi, beta, sd**2)
    inside = between((lo - beta) / sd, (hi - beta) / sd) ** (n - 2)
    weight = _GH_W * np.exp(0.5 * _GH_X**2)
    return np.asarray(n * (n - 1) * ((density * inside) @ weight) * scale, dtype=np.float64)


def still_growing(ln_x: float, *, mu: Array, sigma: Array, kappa: float) -> Array:
    """P(final size ≥ x) for an unripe fruit body: it can only grow."""
    z = (ln_x - mu) / (kappa * sigma)
    return between(z, np.full_like(z, 9.0))


def combine(values: list[tuple[float, float]]) -> tuple[float, float]:
    """Several readings (ln x, u) of one quantity: inverse-variance mean and its u."""
    weights = np.array([1 / u**2 for _, u in values])
    mean = float(np.dot(weights, [x for x, _ in values]) / weights.sum())
    return mean, float(1 / math.sqrt(weights.sum()))


def heaping_u(value: float, *, by_finder: bool, unit: str) -> float:
    """Standard uncertainty from rounded numbers: at least half a rounding step over √3 (unit of the value).

    A finder rounds to tens and fives, a ruler at the bench to millimetres, a micrometer to tenths (common practice).
    """
    if unit != "mm":
        step = 0.1
    elif by_finder:
        step = next((s for s in (10.0, 5.0) if value % s == 0), 1.0)
    else:
        step = 1.0
    return step / 2 / math.sqrt(3)
