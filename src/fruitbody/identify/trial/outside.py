"""The prior with part of the funga taken out, as if no file spoke of it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fruitbody.identify.index import Index
from fruitbody.identify.prior import Prior

Array = NDArray[np.float64]


def without(prior: Prior, index: Index, genera: NDArray[np.bool_]) -> Prior:
    """Whole genera taken out: genera [G]."""
    taxa, others = np.where(genera[index.genus_of], 0.0, prior.taxa), np.where(genera, 0.0, prior.others)
    return _prior(prior, taxa, others)


def without_taxon(prior: Prior, row: int, genus: int) -> Prior:
    """One taxon taken out; its genus then lacks one species more."""
    taxa, others = prior.taxa.copy(), prior.others.copy()
    taxa[row] = 0.0
    others[genus] += prior.unlisted
    return _prior(prior, taxa, others)


def _prior(before: Prior, taxa: Array, others: Array) -> Prior:
    """Strangers keep their share of all that comes in."""
    left = (taxa.sum() + others.sum()) / (before.taxa.sum() + before.others.sum())
    return Prior(taxa, others, before.stranger * float(left), before.unlisted)
