"""Kinds that the funga does not hold: one other species of each genus, and a stranger to all (engine §1.11)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int_]


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


def relative_logs(blurred: Array, weights: Array, genus_of: Ints, genera: int) -> Array:
    """ln Σ_{t∈G} v_t Π[…] for each genus, [G]: blurred [T], weights [T], genus_of [T]; v is normalised within G."""
    top = float(blurred.max()) if blurred.size else 0.0
    total = np.bincount(genus_of, weights=weights, minlength=genera)
    inside = np.bincount(genus_of, weights=weights * np.exp(blurred - top), minlength=genera)
    share = np.where(total > 0, inside / np.maximum(total, 1e-300), np.exp(-top) if top < 700 else 0.0)
    return np.asarray(top + np.log(np.maximum(share, 1e-300)), dtype=np.float64)
