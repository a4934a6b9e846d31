"""A spore sample: mean ln L and mean ln W of n spores, jointly (engine §3). Q is never a third observation."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SporeSample:
    """ln_l, ln_w: means of ln L and ln W (µm) of n spores; calibration: relative standard uncertainty common to both;
    reading_um: standard uncertainty of one reading in µm."""

    ln_l: float
    ln_w: float
    n: int
    calibration: float
    reading_um: float


@dataclass(frozen=True, slots=True)
class SporeScores:
    """Per hypothesis: μ and σ of ln L and ln W, and their correlation ρ. All arrays of the same shape."""

    mu_l: Array
    mu_w: Array
    sd_l: Array
    sd_w: Array
    rho: Array


def correlation(sd_l: float, sd_w: float, sd_q: float | None) -> float:
    """ρ = (σ_L² + σ_W² − σ_Q²)/(2 σ_L σ_W) from the range of Q, kept in [−0.5, 0.95]; 0.5 without Q."""
    if sd_q is None:
        return 0.5
    return min(max((sd_l**2 + sd_w**2 - sd_q**2) / (2 * sd_l * sd_w), -0.5), 0.95)


def sample_variance(
    sample: SporeSample, scores: SporeScores, *, kappa: float, phi: float
) -> tuple[Array, Array, Array]:
    """V = φS + u_cal² 11ᵀ + ((1−φ)S + R)/n with S = κ²Σ and R = diag((u_r/L)², (u_r/W)²): (V_LL, V_LW, V_WW)."""
    share = phi + (1 - phi) / sample.n
    common = sample.calibration**2
    reading_l = (sample.reading_um / math.exp(sample.ln_l)) ** 2 / sample.n
    reading_w = (sample.reading_um / math.exp(sample.ln_w)) ** 2 / sample.n
    k2 = kappa**2 * share
    v_ll = k2 * scores.sd_l**2 + common + reading_l
    v_ww = k2 * scores.sd_w**2 + common + reading_w
    v_lw = k2 * scores.rho * scores.sd_l * scores.sd_w + common
    return v_ll, v_lw, v_ww


def background_variance(sample: SporeSample, background: SporeScores) -> tuple[Array, Array, Array]:
    """V_b + u_cal² 11ᵀ + R/n: the background's spread is already one over samples."""
    common = sample.calibration**2
    reading_l = (sample.reading_um / math.exp(sample.ln_l)) ** 2 / sample.n
    reading_w = (sample.reading_um / math.exp(sample.ln_w)) ** 2 / sample.n
    v_ll = background.sd_l**2 + common + reading_l
    v_ww = background.sd_w**2 + common + reading_w
    return v_ll, background.rho * background.sd_l * background.sd_w + common, v_ww


def normal2(sample: SporeSample, scores: SporeScores, variance: tuple[Array, Array, Array]) -> Array:
    """Density of the bivariate normal at the sample, per ln L and ln W."""
    v_ll, v_lw, v_ww = variance
    dl, dw = sample.ln_l - scores.mu_l, sample.ln_w - scores.mu_w
    det = v_ll * v_ww - v_lw**2
    square = (v_ww * dl**2 - 2 * v_lw * dl * dw + v_ll * dw**2) / det
    return np.asarray(np.exp(-0.5 * square) / (2 * math.pi * np.sqrt(det)), dtype=np.float64)


def sample_density(
    sample: SporeSample, scores: SporeScores, background: SporeScores, *, kappa: float, phi: float, leak: float
) -> tuple[Array, Array]:
    """(density per hypothesis, density of the background): p = (1 − λ) N₂(y; μ, V) + λ N₂(y; μ_b, V_b)."""
    base = normal2(sample, background, background_variance(sample, background))
    own = normal2(sample, scores, sample_variance(sample, scores, kappa=kappa, phi=phi))
    return (1 - leak) * own + leak * base, base
