"""What to look at next: expected information, danger, cost, and what will be gone tomorrow (engine §1.16)."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from fruitbody.funga.model import Character, Funga
from fruitbody.identify.compile import model_of
from fruitbody.identify.index import FungaKey, index_of
from fruitbody.identify.measures import normal_cdf
from fruitbody.identify.outside import blurs_of
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.tables import MarkTable, MeasureTable, Model, StateTable, mature

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
    """What the clinic would report of each character: P(outcome | hypothesis) side by side, [H, K]; hypotheses are the
    taxa, one other species of each genus, and the stranger; `plogp` is p log₂ p; `column_of` gives each character its
    columns."""

    p: Array
    plogp: Array
    column_of: Mapping[str, slice]


def outcome_shares(table: StateTable | MarkTable | MeasureTable, parameters: Parameters) -> Array:
    """P(outcome | row) of one character as a trained eye reports it, mature, [R, outcomes]."""
    if isinstance(table, StateTable):
        return np.asarray(mature(table.p) @ table.readings["clinic"])
    if isinstance(table, MarkTable):
        p = mature(table.p)
        there, not_there = table.readings["clinic"]
        said = p * there + (1 - p) * not_there
        best = int(np.argmax(said.std(axis=0)))
        return np.stack([said[:, best], 1 - said[:, best]], axis=1)
    rows = table.mu.size
    spread = np.hypot(np.where(table.known, parameters.kappa, 1.0) * table.sigma, MEASURE_U)
    return measure_bins(table.mu, spread, np.full(rows, 1 / rows), leak_to=(parameters.leak_measure, table))


def measure_bins(
    mu: Array, sd: Array, weights: Array, *, leak_to: tuple[float, MeasureTable] | None = None, bins: int = BINS
) -> Array:
    """P(bin | row) for bins of equal probability under the weighted mixture of rows, [R, bins].

    leak_to: (λ, table): every row is blended with the table's background, as its densities are.
    """
    parts = [(1.0, mu, sd)]
    if leak_to is not None:
        leak, table = leak_to
        wide = float(np.hypot(table.sd_b, MEASURE_U))
        parts = [(1 - leak, mu, sd), (leak, np.full_like(mu, table.mu_b), np.full_like(mu, wide))]
    low = min(float((m - 6 * s).min()) for _, m, s in parts)
    high = max(float((m + 6 * s).max()) for _, m, s in parts)
    grid = np.linspace(low, high, 1500)
    few = np.linspace(0, mu.size - 1, min(mu.size, 400)).astype(int)
    w = weights[few] / weights[few].sum()
    mixture = sum(share * (normal_cdf((grid[:, None] - m[few]) / s[few]) @ w) for share, m, s in parts)
    edges = np.interp(np.arange(1, bins) / bins, mixture, grid)
    inner = sum(share * normal_cdf((edges - m[:, None]) / s[:, None]) for share, m, s in parts)
    bounds = np.hstack([np.zeros((mu.size, 1)), inner, np.ones((mu.size, 1))])
    return np.asarray(np.maximum(np.diff(bounds, axis=1), 1e-12))


@lru_cache(maxsize=4)
def _outcomes(key: FungaKey, parameters: Parameters) -> Outcomes:
    model = model_of(key.funga, parameters)
    offered = [t for t in model.tables.values() if key.funga.characters[t.id].offer]
    parts, column_of, start = [], {}, 0
    for table in offered:
        shares = outcome_shares(table, parameters)
        parts.append(shares)
        column_of[table.id] = slice(start, start + shares.shape[1])
        start += shares.shape[1]
    rows = np.hstack(parts)
    blurs = blurs_of(model, parameters, [table.id for table in offered])
    widths = [part.shape[1] for part in parts]
    kin, strange = (np.repeat(blur, widths) for blur in blurs)
    p = np.vstack([rows[: model.n_taxa], _outside_rows(key.funga, rows, model.n_taxa, kin=kin, strange=strange)])
    return Outcomes(p, p * np.log2(p), column_of)


def _outside_rows(funga: Funga, rows: Array, taxa: int, *, kin: Array, strange: Array) -> Array:
    """Outcomes of an unlisted relative of each genus and of a stranger: the mean of the known ones, blurred.

    kin, strange: κ of each column.
    """
    index = index_of(funga)
    sums = np.zeros((len(index.genera), rows.shape[1]))
    np.add.at(sums, index.genus_of, rows[:taxa])
    means = sums / np.maximum(index.genus_counts, 1)[:, None]
    means[index.genus_counts == 0] = rows[-1]
    blends = np.vstack([means, rows[:taxa].mean(axis=0)])
    blur = np.broadcast_to(kin, blends.shape).copy()
    blur[-1] = strange
    return np.asarray((1 - blur) * blends + blur * rows[-1])


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


@dataclass(frozen=True, slots=True)
class Posterior:
    """Weights of all hypotheses (taxa, others, stranger), [H], of sum 1; danger: chance that each is dangerous, [H];
    taxa: how many of them are taxa."""

    weights: Array
    danger: Array
    taxa: int


def look_next(
    funga: Funga,
    model: Model,
    parameters: Parameters,
    posterior: Posterior,
    *,
    seen: Collection[str],
    lost: Collection[str],
) -> list[Look]:
    """Everything not looked for yet and still visible on this material; what vanishes first on top, then by bits."""
    outcomes = outcomes_of(funga, parameters)
    w = posterior.weights
    split = np.stack([w, w * posterior.danger, w * (1 - posterior.danger)])
    means = split @ outcomes.p
    per_column = w @ outcomes.plogp - means[0] * np.log2(np.maximum(means[0], 1e-300))
    share = split[1:].sum(axis=1)
    given = means[1:] / np.maximum(share, 1e-300)[:, None]
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


def _chance_enabled(model: Model, character: Character, posterior: Posterior) -> float:
    """Chance, by what is known so far, that this character applies: its parent enables it, and so on upwards."""
    weights = posterior.weights[: posterior.taxa]
    chances = np.ones_like(weights)
    table = model.tables[character.id]
    while table.parent:
        parent = model.tables[table.parent]
        assert isinstance(parent, StateTable)
        chances = chances * (mature(parent.p)[: posterior.taxa] @ table.enabled)
        table = parent
    return float(weights @ chances / max(weights.sum(), 1e-300))


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
    """Those of the characters that are not looked for yet and can still be seen; the best stays first."""
    return [
        c
        for c in dict.fromkeys(candidates)
        if c not in seen and not any(need in lost for need in funga.characters[c].needs)
    ]
