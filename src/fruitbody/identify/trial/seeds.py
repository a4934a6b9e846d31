"""Named seeds: every stream of chance has a name, so that none depends on what else was drawn."""

from __future__ import annotations

import hashlib

import numpy as np
from numpy.typing import NDArray


def generator(seed: int, *names: str | int) -> np.random.Generator:
    """A generator of its own for a seed and any number of names."""
    text = "/".join(str(name) for name in (seed, *names))
    return np.random.default_rng(int.from_bytes(hashlib.sha256(text.encode()).digest()[:8], "big"))


def pick(rng: np.random.Generator, weights: NDArray[np.float64]) -> int:
    """A place drawn with chances in proportion to the weights."""
    steps = np.cumsum(weights)
    return min(int(np.searchsorted(steps, rng.random() * steps[-1], side="right")), steps.size - 1)


TRAINING = 1_000
"""Seeds of the fit; those of a trial lie elsewhere (TRIAL)."""
TRIAL = 2_000
