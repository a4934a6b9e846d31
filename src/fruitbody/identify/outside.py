"""Kinds that the funga does not hold: one other species of each genus, and a stranger to all (engine §1.11)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


def blurred_logs(steps: Array, blur: float, *, temper: Array | None = None) -> Array:
    """ln Π [(1 − κ) f + κ] over findings, [R]: `steps` are the log ratios each finding added, [N, R].

    A relative of a known taxon follows it in each finding with 1 − κ, else the background (ratio 1). temper: exponent
    already in each step, [N]; the blend is made before it.
    """
    if steps.size == 0:
        return np.zeros(steps.shape[1])
    w = np.ones(len(steps)) if temper is None else temper
    blend = np.logaddexp(np.log1p(-blur) + steps / w[:, None], np.log(blur))
    return np.asarray(w @ blend, dtype=np.float64)


def relative_logs(blurred: Array, weights: Array, members: Mask) -> Array:
    """ln Σ_{t∈G} v_t Π[…] for each genus, [G]: blurred [T], weights [T], members [G, T]; v is normalised within G."""
    top = blurred.max() if blurred.size else 0.0
    shares = members * weights
    shares = shares / np.maximum(shares.sum(axis=1, keepdims=True), 1e-300)
    return np.asarray(top + np.log(np.maximum(shares @ np.exp(blurred - top), 1e-300)), dtype=np.float64)
