"""Figures of merit: small functions over arrays of cases. p: stated probabilities; right: whether they came true."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int_]
LOGIT_LIMIT = 12.0
"""Log odds are cut here before a slope is fitted: a stated 0.999994."""


def log_score(p_true: Array) -> float:
    """Mean ln of the probability that was given to what it really was. 0 is perfect; ln(1/2) = −0.69."""
    return float(np.mean(np.log(np.maximum(p_true, 1e-300))))


def brier(p: Array, true: Ints) -> float:
    """Mean of Σ_h (p_h − [h is true])² over cases: p [N, H], true [N]. 0 is perfect, 2 the worst."""
    picked = p[np.arange(len(true)), true]
    return float(np.mean((p**2).sum(axis=1) - 2 * picked + 1))


def rank_of(p: Array, true: int) -> int:
    """Place of the true one, 1 for the first; equals count as before it."""
    return int(np.sum(p >= p[true]))


def smallest_set(p: Array, share: float = 0.9) -> int:
    """How many hypotheses, the likeliest first, it takes to hold this share of the probability."""
    ordered = np.sort(p)[::-1]
    return int(np.searchsorted(np.cumsum(ordered), share - 1e-12) + 1)


def calibration(p: Array, right: Bools, weights: Array | None = None) -> tuple[float, float]:
    """(intercept, slope) of the logistic regression of *right* on the log odds of p, by Newton's method, no penalty.

    Slope 1 and intercept 0: stated odds are true odds. Slope below 1: overconfident. NaN where all or none are right.
    """
    w = np.ones(p.size) if weights is None else weights / weights.mean()
    y = right.astype(np.float64)
    if y.min() == y.max():
        return math.nan, math.nan
    x = np.stack([np.ones(p.size), np.clip(np.log(p) - np.log1p(-np.minimum(p, 1 - 1e-12)), -LOGIT_LIMIT, LOGIT_LIMIT)])
    beta = np.array([0.0, 0.5])
    for _ in range(50):
        fitted = 1 / (1 + np.exp(-np.clip(beta @ x, -30, 30)))
        step = np.linalg.solve((x * (w * fitted * (1 - fitted))) @ x.T + 1e-9 * np.eye(2), x @ (w * (y - fitted)))
        beta = beta + np.clip(step, -2, 2)
        if np.abs(step).max() < 1e-10:
            break
    return float(beta[0]), float(beta[1])


def curve(p: Array, right: Bools, bins: int = 10) -> list[dict[str, float]]:
    """The calibration curve: in each tenth of stated probability how many cases, mean stated, share right."""
    place = np.minimum((p * bins).astype(int), bins - 1)
    rows = []
    for one in range(bins):
        inside = place == one
        if inside.any():
            rows.append(
                {"n": int(inside.sum()), "stated": float(p[inside].mean()), "right": float(right[inside].mean())}
            )
    return rows


def ece(p: Array, right: Bools, bins: int = 10) -> float:
    """Expected calibration error: Σ n_b/N |share right − mean stated| over bins of equal width. Use for n ≥ 2,000 only:
    a perfectly calibrated engine shows 0.1 at n = 70."""
    return float(sum(b["n"] * abs(b["right"] - b["stated"]) for b in curve(p, right, bins)) / p.size)


def sums(p: Array, right: Bools) -> tuple[float, float]:
    """(Σ stated − Σ right, 2√Σp(1 − p)): the first lies within ± the second nineteen times of twenty if calibrated."""
    return float(p.sum() - right.sum()), float(2 * math.sqrt(float((p * (1 - p)).sum())))


def upper_bound(hits: int, n: int, level: float = 0.95) -> float:
    """One-sided upper bound on a rate (Clopper–Pearson): the rate at which `hits` or fewer of n have chance 1 − level.

    With no hit it is 1 − (1 − level)^(1/n), about 3/n.
    """
    if hits >= n:
        return 1.0
    low, high = hits / n, 1.0
    for _ in range(200):
        middle = (low + high) / 2
        if _at_most(hits, n, middle) > 1 - level:
            low = middle
        else:
            high = middle
    return high


def _at_most(hits: int, n: int, rate: float) -> float:
    """P(X ≤ hits), X binomial."""
    if rate >= 1:
        return 0.0
    logs = [
        math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1)
        + (k * math.log(rate) if k else 0.0) + (n - k) * math.log1p(-rate)
        for k in range(hits + 1)
    ]  # fmt: skip
    return math.fsum(math.exp(one) for one in logs)


def detection(alarm_in: Array, alarm_out: Array, false_alarms: float = 0.05) -> tuple[float, float]:
    """(share found, threshold) where the threshold lets at most `false_alarms` of the ordinary cases (alarm_in) cry."""
    threshold = float(np.quantile(alarm_in, 1 - false_alarms, method="higher"))
    return float(np.mean(alarm_out > threshold)), threshold


def interval(
    values: Array,
    clusters: Ints,
    statistic: Callable[[Array], float] | None = None,
    *,
    rounds: int = 400,
    seed: int = 7,
) -> tuple[float, float]:
    """95 % interval by bootstrap over clusters (taxa): whole clusters are drawn with replacement.

    values: [N] or [N, k]; statistic: of the values drawn, the mean by default.
    """
    rng = np.random.default_rng(seed)
    order = np.argsort(clusters, kind="stable")
    names, starts = np.unique(clusters[order], return_index=True)
    pieces = np.split(values[order], starts[1:])
    if statistic is None:
        totals = np.array([piece.sum() for piece in pieces])
        counts = np.array([len(piece) for piece in pieces], dtype=np.float64)
        picks = rng.integers(names.size, size=(rounds, names.size))
        found = totals[picks].sum(axis=1) / counts[picks].sum(axis=1)
    else:
        found = np.array(
            [
                statistic(np.concatenate([pieces[i] for i in rng.integers(names.size, size=names.size)]))
                for _ in range(rounds)
            ]
        )
    low, high = np.nanquantile(found, [0.025, 0.975])
    return float(low), float(high)
