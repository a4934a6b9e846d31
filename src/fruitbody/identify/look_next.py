"""What to look at next: expected information, danger information, cost, and what will be gone tomorrow (engine §1.16)."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from fruitbody.funga.model import Character, Funga
from fruitbody.identify.compile import FungaKey, model_of
from fruitbody.identify.measures import between
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.tables import MarkTable, MeasureTable, Model, StateTable

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
BINS = 64
MEASURE_U = 0.05
"""Relative standard uncertainty that a measure at the bench is expected to have."""


@dataclass(frozen=True, slots=True)
class Look:
    """One thing to look at. bits: expected information on the name; danger_bits: on whether it is dangerous;
    minutes of hands-on time, hours of waiting; whether it destroys material; whether it will be gone tomorrow."""

    character: str
    bits: float
    danger_bits: float
    minutes: float
    wait_hours: float
    destroys: bool
    vanishes: bool


@dataclass(frozen=True, slots=True)
class Outcomes:
    """What the clinic would report of each character: P(outcome | row) side by side, [R, K], and Σ p log₂ p per column
    is a product with `plogp`; `column_of` gives each character its columns."""

    p: Array
    plogp: Array
    column_of: Mapping[str, slice]


def outcome_shares(table: StateTable | MarkTable | MeasureTable) -> Array:
    """P(outcome | row) of one character as a trained eye reports it, mature, [R, outcomes]."""
    if isinstance(table, StateTable):
        p = table.p[1] if table.p.shape[0] > 1 else table.p[0]
        return np.asarray(p @ table.readings["clinic"])
    if isinstance(table, MarkTable):
        p = table.p[1] if table.p.shape[0] > 1 else table.p[0]
        there, not_there = table.readings["clinic"]
        said = p * there + (1 - p) * not_there
        best = int(np.argmax(said.std(axis=0)))
        return np.stack([said[:, best], 1 - said[:, best]], axis=1)
    rows = table.mu.size
    return measure_bins(table.mu, np.hypot(table.sigma, MEASURE_U), np.full(rows, 1 / rows), leak_to=(0.05, table))


def measure_bins(
    mu: Array, sd: Array, weights: Array, *, leak_to: tuple[float, MeasureTable] | None = None, bins: int = BINS
) -> Array:
    """P(bin | row) for bins of equal probability under the weighted mixture of rows, [R, bins]."""
    if leak_to is not None:
        leak, table = leak_to
        rows_mu = np.stack([mu, np.full_like(mu, table.mu_b)])
        rows_sd = np.stack([sd, np.full_like(sd, np.hypot(table.sd_b, MEASURE_U))])
        shares = np.array([1 - leak, leak])[:, None]
    else:
        rows_mu, rows_sd, shares = mu[None, :], sd[None, :], np.ones((1, 1))
    low, high = float((rows_mu - 6 * rows_sd).min()), float((rows_mu + 6 * rows_sd).max())
    grid = np.linspace(low, high, 1500)
    sample = np.linspace(0, mu.size - 1, min(mu.size, 400)).astype(int)
    cdf = np.zeros_like(grid)
    for part in range(rows_mu.shape[0]):
        z = (grid[:, None] - rows_mu[part, sample]) / rows_sd[part, sample]
        weight = weights[sample] / weights[sample].sum()
        cdf += float(shares[part, 0]) * (between(np.full_like(z, -9.0), z) @ weight)
    edges = np.interp(np.arange(1, bins) / bins, cdf, grid)
    inner = np.zeros((mu.size, bins - 1))
    for part in range(rows_mu.shape[0]):
        z = (edges[None, :] - rows_mu[part][:, None]) / rows_sd[part][:, None]
        inner += float(shares[part, 0]) * between(np.full_like(z, -9.0), z)
    bounds = np.hstack([np.zeros((mu.size, 1)), inner, np.ones((mu.size, 1))])
    return np.asarray(np.maximum(np.diff(bounds, axis=1), 1e-12))


@lru_cache(maxsize=4)
def _outcomes(key: FungaKey, parameters: Parameters) -> Outcomes:
    model = model_of(key.funga, parameters)
    offered = [t for t in model.tables.values() if key.funga.characters[t.id].offer]
    parts, column_of, start = [], {}, 0
    for table in offered:
        shares = outcome_shares(table)
        parts.append(shares)
        column_of[table.id] = slice(start, start + shares.shape[1])
        start += shares.shape[1]
    p = np.hstack(parts)
    return Outcomes(p, p * np.log2(p), column_of)


def outcomes_of(funga: Funga, parameters: Parameters) -> Outcomes:
    """The compiled outcomes of a funga; kept for the next call."""
    return _outcomes(FungaKey(funga), parameters)


def information(weights: Array, p: Array, plogp: Array) -> Array:
    """Σ_h w_h p_ho log₂(p_ho / Σ_h w_h p_ho / Σ w) per column, [K]: summed over a character's columns it is bits."""
    total = weights.sum()
    mean = weights @ p
    return np.asarray(weights @ plogp - mean * np.log2(np.maximum(mean / total, 1e-300)))


def bits(posterior: Array, p: Array) -> float:
    """I(hypothesis; outcome) in bits for one character: posterior [H], p [H, outcomes]."""
    return float(information(posterior, p, p * np.log2(np.maximum(p, 1e-300))).sum())


def danger_bits(posterior: Array, danger: Array, p: Array) -> float:
    """I(dangerous or not; outcome) in bits: danger [H] is the chance that each hypothesis is dangerous."""
    joint = np.stack([posterior * danger, posterior * (1 - danger)])
    share = joint.sum(axis=1)
    conditional = (joint @ p) / np.maximum(share, 1e-300)[:, None]
    return bits(share, conditional)


def look_next(
    funga: Funga, model: Model, parameters: Parameters, posterior: Posterior, *, seen: Collection[str], lost: Collection[str]
) -> list[Look]:
    """Everything not looked for yet and still visible on this material; what vanishes first on top, then by bits."""
    outcomes = outcomes_of(funga, parameters)
    p, plogp = _with_outside(outcomes, posterior)
    per_column = information(posterior.weights, p, plogp)
    joint = np.stack([posterior.weights * posterior.danger, posterior.weights * (1 - posterior.danger)])
    share = joint.sum(axis=1)
    given = (joint @ p) / np.maximum(share, 1e-300)[:, None]
    danger_column = information(share, given, given * np.log2(np.maximum(given, 1e-300)))
    looks = []
    for character_id, columns in outcomes.column_of.items():
        character = funga.characters[character_id]
        if character_id in seen or any(need in lost for need in character.needs):
            continue
        if character.measured_with and model.tables[character.measured_with].order < character.order:
            continue
        if _chance_enabled(model, character, posterior) < 0.5:
            continue
        looks.append(_look(character, float(per_column[columns].sum()), float(danger_column[columns].sum())))
    return sorted(looks, key=lambda look: (not look.vanishes, -(look.bits + look.danger_bits)))


@dataclass(frozen=True, slots=True)
class Posterior:
    """All hypotheses together: weights [H] summing to 1 over taxa, others of each genus, and the stranger; danger [H];
    members [G, T] shares of each genus' taxa; strangers' shares over the taxa, [T]."""

    weights: Array
    danger: Array
    members: Array
    shares: Array
    blur: float


def _with_outside(outcomes: Outcomes, posterior: Posterior) -> tuple[Array, Array]:
    """Append the outside hypotheses' rows: a blend of the relatives' outcomes and the background's."""
    taxa = posterior.members.shape[1]
    known, reference = outcomes.p[:taxa], outcomes.p[-1]
    blends = np.vstack([posterior.members @ known, posterior.shares @ known])
    outside = (1 - posterior.blur) * blends + posterior.blur * reference
    p = np.vstack([known, outside])
    plogp = np.vstack([outcomes.plogp[:taxa], outside * np.log2(np.maximum(outside, 1e-300))])
    return p, plogp


def _chance_enabled(model: Model, character: Character, posterior: Posterior) -> float:
    """Chance, by what is known so far, that this character applies at all."""
    table = model.tables[character.id]
    if not table.parent:
        return 1.0
    parent = model.tables[table.parent]
    assert isinstance(parent, StateTable)
    taxa = posterior.members.shape[1]
    p = parent.p[-1][:taxa] @ table.enabled
    weights = posterior.weights[:taxa]
    return float(weights @ p / max(weights.sum(), 1e-300))


def _look(character: Character, information_bits: float, danger: float) -> Look:
    return Look(
        character=character.id,
        bits=max(information_bits, 0.0),
        danger_bits=max(danger, 0.0),
        minutes=character.minutes,
        wait_hours=character.wait_hours,
        destroys=character.destroys,
        vanishes=character.vanishes,
    )


def settle_order(funga: Funga, candidates: Sequence[str], seen: Collection[str], lost: Collection[str]) -> list[str]:
    """Those of the characters that are not looked for yet and can still be seen, cheapest first."""
    left = [
        funga.characters[c]
        for c in dict.fromkeys(candidates)
        if c not in seen and not any(need in lost for need in funga.characters[c].needs)
    ]
    return [c.id for c in sorted(left, key=lambda c: (c.wait_hours > 0, c.minutes + c.wait_hours))]
