"""How far a relative of a known kind can be expected to follow it, character by character, read off the funga itself.

Gills and the colour of the deposit hardly differ within a genus; the colour of the cap or the smell nearly always may.
For each character κ is the share of the way from *the same as this kind* to *like anything at all* that its relatives
have gone: the moment estimate from p(relative) = (1 − κ) p(kind) + κ b, over pairs of kinds (engine §1.11).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fruitbody.funga.model import Taxon
from fruitbody.identify.tables import MarkTable, MeasureTable, StateTable, Table, mature

Array = NDArray[np.float64]
Ints = NDArray[np.int_]

USUAL = 0.3
"""κ where the funga holds too few relatives to tell (start value of the design)."""
AS_MANY = 6
"""The usual κ counts like so many kinds with relatives."""
LEAST, MOST = 0.02, 0.98


def kin_of(tables: Mapping[str, Table], taxa: Sequence[Taxon]) -> dict[str, tuple[float, float]]:
    """Character id -> (κ of another species of the genus, κ of a kind of another genus of the family)."""
    genera = _numbers([taxon.genus for taxon in taxa])
    families = _numbers([taxon.family for taxon in taxa])
    return {table.id: _pair(table, genera, families) for table in tables.values()}


def _numbers(names: Sequence[str]) -> Ints:
    known = {name: i for i, name in enumerate(dict.fromkeys(names))}
    return np.array([known[name] for name in names], dtype=np.int_)


@dataclass(frozen=True, slots=True)
class Shown:
    """What the kinds that are scored for a character show. Kinds t and u agree by ⟨left_t, right_u⟩, [K, F] each.

    same: how each agrees with itself; background: with anything at all, [K].
    """

    left: Array
    right: Array
    same: Array
    background: Array


def _pair(table: Table, genera: Ints, families: Ints) -> tuple[float, float]:
    known = table.known[: genera.size]
    shown = _sizes(table, known) if isinstance(table, MeasureTable) else _shares(table, known)
    genus, of_genus = _sums(shown.right, genera[known])
    family, of_family = _sums(shown.right, families[known])
    within = _kappa(shown, genus - shown.right, of_genus - 1)
    across = _kappa(shown, family - genus, of_family - of_genus)
    return within, max(within, across)


def _sums(right: Array, group: Ints) -> tuple[Array, Ints]:
    """Σ of `right` over the group of each kind, [K, F], and how many kinds that is, [K]."""
    size = int(group.max()) + 1 if group.size else 0
    sums, counts = np.zeros((size, right.shape[1])), np.bincount(group, minlength=size)
    np.add.at(sums, group, right)
    return sums[group], counts[group]


def _shares(table: StateTable | MarkTable, known: NDArray[np.bool_]) -> Shown:
    """Two kinds agree by the chance that a fruit body of each shows the same."""
    p, b = mature(table.p)[: known.size][known], table.background
    if isinstance(table, MarkTable):
        scale = np.sqrt(p.shape[1])
        p, b = np.hstack([p, 1 - p]) / scale, np.concatenate([b, 1 - b]) / scale
    return Shown(p, p, np.asarray((p * p).sum(axis=1)), np.asarray(p @ b))


def _sizes(table: MeasureTable, known: NDArray[np.bool_]) -> Shown:
    """Two kinds agree the less, the further their means of ln x lie apart: −(μ_t − μ_u)²."""
    mu = table.mu[: known.size][known]
    one = np.ones_like(mu)
    apart = (mu - table.mu_b) ** 2 + table.sd_b**2
    return Shown(np.stack([-(mu**2), 2 * mu, -one], 1), np.stack([one, mu, mu**2], 1), np.zeros_like(mu), -apart)


def _kappa(shown: Shown, relatives: Array, count: Ints) -> float:
    """κ over the kinds that have relatives: Σ of `right` over those of each, [K, F], and how many they are, [K]."""
    way = shown.same - shown.background
    usual = AS_MANY * max(float(way.mean()) if way.size else 1.0, 1e-9)
    have = count > 0
    agreement = (shown.left * relatives).sum(axis=1)[have] / count[have]
    gone = float((shown.same[have] - agreement).sum()) + USUAL * usual
    return float(np.clip(gone / (float(way[have].sum()) + usual), LEAST, MOST))
