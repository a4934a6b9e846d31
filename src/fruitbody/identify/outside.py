"""Kinds that the funga does not hold: one other species of each genus, and a stranger to all (engine §1.11)."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from fruitbody.identify.constancy import USUAL
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.tables import Model

Array = NDArray[np.float64]
Ints = NDArray[np.int_]


def blurs_of(model: Model, parameters: Parameters, characters: Sequence[str]) -> tuple[Array, Array]:
    """κ of an unlisted species of a genus and of a stranger, for each finding, [N] each.

    The funga tells how constant each character is among relatives; `relative_blur` and `stranger_blur` shift all of
    them together on the logit scale, and are taken as they are where the funga tells nothing.
    """
    shifts = [_logit(blur) - _logit(USUAL) for blur in (parameters.relative_blur, parameters.stranger_blur)]
    pairs = np.array([model.kin.get(name, (USUAL, USUAL)) for name in characters]).reshape(-1, 2)
    moved = 1 / (1 + np.exp(-(np.log(pairs / (1 - pairs)) + shifts)))
    return moved[:, 0], moved[:, 1]


def _logit(p: float) -> float:
    return math.log(p / (1 - p))


def blurred_logs(steps: Array, blur: Array | float, *, temper: Array | None = None) -> Array:
    """ln Π [(1 − κ) f + κ] over findings, [R]: `steps` are the log ratios each finding added, [N, R].

    A relative of a known taxon follows it in each finding with 1 − κ, else the background (ratio 1). temper: exponent
    already in each step, [N]; the blend is made before it. blur: κ, one for all or one for each finding, [N].
    """
    if steps.size == 0:
        return np.zeros(steps.shape[1])
    w = np.ones(len(steps)) if temper is None else temper
    kappa = np.broadcast_to(np.asarray(blur, dtype=np.float64), len(steps))[:, None]
    blend = np.logaddexp(np.log1p(-kappa) + steps / w[:, None], np.log(kappa))
    return np.asarray(w @ blend, dtype=np.float64)


def relative_logs(blurred: Array, weights: Array, genus_of: Ints, genera: int) -> Array:
    """ln Σ_{t∈G} v_t Π[…] for each genus, [G]: blurred [T], weights [T], genus_of [T]; v is normalised within G."""
    top = float(blurred.max()) if blurred.size else 0.0
    total = np.bincount(genus_of, weights=weights, minlength=genera)
    inside = np.bincount(genus_of, weights=weights * np.exp(blurred - top), minlength=genera)
    share = np.where(total > 0, inside / np.maximum(total, 1e-300), np.exp(-top) if top < 700 else 0.0)
    return np.asarray(top + np.log(np.maximum(share, 1e-300)), dtype=np.float64)
