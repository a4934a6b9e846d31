"""The spore cloud of a taxon: where the mean length and width of a sample of its spores are expected (engine §3).

The outlines are those of the engine's own model of a sample, N₂(ln L, ln W; μ, V), drawn in micrometres.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fruitbody.funga.model import MeasureScore, Score, Taxon
from fruitbody.identify.measures import score_to_normal
from fruitbody.identify.parameters import Parameters, fitted
from fruitbody.identify.spores import SporeSample, SporeScores, correlation, sample_variance

Array = NDArray[np.float64]
SPORES = 20
"""Spores of a sample as the bench takes it (common practice)."""
SHARES = (0.5, 0.9)


@dataclass(frozen=True, slots=True)
class SporeCloud:
    """centre: (length, width) in µm, the medians; outlines: share of samples inside -> closed curve [points, 2], µm."""

    taxon: str
    centre: tuple[float, float]
    outlines: Mapping[float, Array]


def spore_cloud(
    taxon: Taxon, *, n: int = SPORES, parameters: Parameters | None = None, points: int = 72
) -> SporeCloud | None:
    """The cloud of means of n spores; None where the taxon has no spore length and width."""
    parameters = parameters or fitted()
    spores = [_normal(taxon.scores, name, parameters) for name in ("spore_length", "spore_width", "spore_q")]
    length, width, ratio = spores
    if length is None or width is None:
        return None
    rho = correlation(length[1], width[1], ratio[1] if ratio else None)
    scores = SporeScores(*(np.array(v) for v in (length[0], width[0], length[1], width[1], rho)))
    sample = SporeSample(length[0], width[0], n, parameters.calibration, parameters.spore_reading_um)
    v_ll, v_lw, v_ww = sample_variance(sample, scores, kappa=parameters.kappa, phi=parameters.phi)
    covariance = np.array([[v_ll, v_lw], [v_lw, v_ww]], dtype=np.float64)
    middle = np.array([length[0], width[0]])
    outlines = {share: np.exp(middle + ellipse(covariance, share, points)) for share in SHARES}
    return SporeCloud(taxon.id, (math.exp(length[0]), math.exp(width[0])), outlines)


def ellipse(covariance: Array, share: float, points: int = 72) -> Array:
    """The ellipse round 0 that holds `share` of a bivariate normal, as [points, 2]: radius √(−2 ln(1 − share))."""
    angles = np.linspace(0, 2 * math.pi, points, endpoint=False)
    circle = np.stack([np.cos(angles), np.sin(angles)])
    return np.asarray(math.sqrt(-2 * math.log(1 - share)) * (np.linalg.cholesky(covariance) @ circle).T)


def _normal(scores: Mapping[tuple[str, str], Score], name: str, parameters: Parameters) -> tuple[float, float] | None:
    """(μ, σ) of ln x; of a measure scored by stage the mature one, as the engine takes it."""
    found = scores.get((name, "")) or scores.get((name, "mature"))
    return score_to_normal(found, unstated_width=parameters.unstated_width) if isinstance(found, MeasureScore) else None
