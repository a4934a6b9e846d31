"""How likely each kind is before anything is seen: frequency, region, month; and what a clinic learns."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fruitbody.funga.model import Frequency, Funga, Genus
from fruitbody.identify.index import FREQUENCY, index_of
from fruitbody.identify.parameters import Parameters

Array = NDArray[np.float64]
WIDEST_DB = 30.0
UNKNOWN_SPECIES = 5
"""Species assumed to be missing of a genus whose file gives no count for the continent."""


@dataclass(frozen=True, slots=True)
class Prior:
    """Normalised prior probabilities: taxa [T], one other species of each genus [G], a stranger to all (scalar);
    unlisted: of one unlisted species, of which `others` counts as many as the region has."""

    taxa: Array
    others: Array
    stranger: float
    unlisted: float = 0.0


def missing_species(genus: Genus, region: str, in_funga: int) -> int:
    """How many species of the genus the region has beyond the funga."""
    continent = {"na": "north-america", "eu": "europe"}.get(region.split("-")[0], "")
    counts = [genus.species[continent]] if continent in genus.species else list(genus.species.values())
    return max(max(counts) - in_funga, 0) if counts else UNKNOWN_SPECIES


def prior_of(funga: Funga, parameters: Parameters, *, region: str = "", month: int | None = None) -> Prior:
    """The prior over taxa, other species of known genera, and strangers. Never zero; taxa differ by 30 dB at most."""
    index = index_of(funga)
    weights = index.regions[region] * index.months[month or 0]
    weights = np.maximum(weights, weights.max() * 10 ** (-WIDEST_DB / 10))
    rare = FREQUENCY[Frequency.RARE] / 12 * parameters.species_outside
    missing = [
        missing_species(g, region, int(n)) for g, n in zip(funga.genera.values(), index.genus_counts, strict=True)
    ]
    others = rare * np.array(missing, dtype=np.float64)
    total = weights.sum() + others.sum()
    stranger = parameters.root_outside / (1 - parameters.root_outside) * total
    total += stranger
    return Prior(weights / total, others / total, stranger / total, rare / total)


@dataclass(frozen=True, slots=True)
class PastCase:
    """One of the clinic's own determinations: r per taxon, [T], summing to 1 at most; age in years.

    r is 1 for the named taxon only where the name was confirmed without the prior (microscopy, sequence, blind second
    reading, or written before the ranking was seen); else the posterior shares at that time.
    """

    r: Array
    age_years: float


def learn(prior: Array, cases: Sequence[PastCase], dangerous: NDArray[np.bool_]) -> Array:
    """π = (α π⁰ + Σ γ^age r)/(α + Σ γ^age), α 200, γ 0.8 a year; never below 0.2 π⁰, dangerous kinds never below π⁰.

    Counting shares instead of first choices keeps the rich from growing richer (engine §1.13). Returns a vector of the
    same sum as `prior`.
    """
    alpha, gamma = 200.0, 0.8
    share = prior / prior.sum()
    weights = [math.pow(gamma, case.age_years) for case in cases]
    seen = sum((w * case.r for w, case in zip(weights, cases, strict=True)), np.zeros_like(share))
    learnt = (alpha * share + seen) / (alpha + sum(weights))
    floor = np.where(dangerous, share, 0.2 * share)
    spare = learnt - floor
    if (spare < 0).any():
        lifted = np.maximum(learnt, floor)
        above = np.maximum(spare, 0.0)
        excess = lifted.sum() - 1.0
        learnt = lifted - excess * above / above.sum() if above.sum() > 0 else lifted
    return np.asarray(learnt / learnt.sum() * prior.sum(), dtype=np.float64)
