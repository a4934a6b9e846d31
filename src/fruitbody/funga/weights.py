"""Words become weights once, here (engine §1.2)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fruitbody.funga.model import Character, StateScore

Array = NDArray[np.float64]
WEIGHTS = {"mostly": 1.0, "at_times": 0.3, "seldom": 0.05, "never": 0.0}
"""Weights of the score words among exclusive states."""
MARK_CHANCES = {"mostly": 0.9, "at_times": 0.3, "seldom": 0.05, "never": 0.0}
"""Chance of a mark, by its score word."""
UNLISTED_MARK = 0.03
"""Chance of a mark that a scored character does not list."""


def state_shares(score: StateScore, character: Character) -> Array:
    """Normalised weights over the exclusive states, [S]; where only *never* is declared, even over the others."""
    index = {state: i for i, state in enumerate(character.state_ids)}
    shares = np.zeros(len(index))
    for word, weight in WEIGHTS.items():
        for state in getattr(score, word):
            shares[index[state]] = weight
    if shares.sum() == 0:
        shares[:] = 1.0
        shares[[index[state] for state in score.never]] = 0.0
    return np.asarray(shares / shares.sum())


def mark_chances(score: StateScore, character: Character) -> Array:
    """Chance of each mark, [M]."""
    index = {state: i for i, state in enumerate(character.state_ids)}
    chances = np.full(len(index), UNLISTED_MARK)
    for word, chance in MARK_CHANCES.items():
        for state in getattr(score, word):
            chances[index[state]] = chance
    return chances
