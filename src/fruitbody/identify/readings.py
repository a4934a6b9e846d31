"""How observers misread: the matrices M[true, report] of each character for each class of observer (engine §1.2)."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.finding import Finding, Observer, SeenOn
from fruitbody.funga.model import Character
from fruitbody.identify.parameters import Parameters

Array = NDArray[np.float64]
CLASSES = ("finder", "between", "clinic")
"""Classes of observer: a finder; the front desk, or a trained eye on a photo; a trained eye on the material."""

MOST_SLIPS = 0.9
"""No observer is taken to be wrong more often than this, whatever the fit says."""
INVENTED_SHARE = 0.25
"""A mark is invented this much more seldom than it is missed (common practice)."""


def observer_class(finding: Finding) -> str:
    """Which class of misreading applies to a finding."""
    if finding.by is Observer.FINDER or finding.seen_on is SeenOn.TOLD:
        return "finder"
    if finding.by in (Observer.FRONT_DESK, Observer.OUTSIDE) or finding.seen_on is SeenOn.PHOTO:
        return "between"
    return "clinic"


def slip_of(character: Character, who: str) -> float:
    """Chance that the word of this class of observer is not the true state."""
    if who == "between":
        return math.sqrt(character.slip_finder * character.slip_clinic)
    return character.slip_finder if who == "finder" else character.slip_clinic


def stray_of(parameters: Parameters, who: str) -> float:
    """g: chance that the report belongs to another fruit body or is a slip of the pen."""
    if who == "between":
        return math.sqrt(parameters.slip_finder * parameters.slip_clinic)
    return parameters.slip_finder if who == "finder" else parameters.slip_clinic


def misread_of(parameters: Parameters, who: str) -> float:
    """Factor on a character's own slips for this class of observer."""
    if who == "between":
        return math.sqrt(parameters.misread_finder * parameters.misread_clinic)
    return parameters.misread_finder if who == "finder" else parameters.misread_clinic


def reading_matrix(character: Character, background: Array, who: str, parameters: Parameters) -> Array:
    """M[s, o] = (1 − g) M⁰ + g·1·bᵀ, rows true states, columns reports; every row sums to 1."""
    stray, factor = stray_of(parameters, who), misread_of(parameters, who)
    size = len(character.states)
    index = {state: i for i, state in enumerate(character.state_ids)}
    slip = min(factor * slip_of(character, who), MOST_SLIPS)
    matrix = np.zeros((size, size))
    for state, row in index.items():
        explicit = _explicit(character, state, who, index)
        stretch = min(factor, MOST_SLIPS / max(sum(explicit.values()), 1e-9))
        explicit = {column: stretch * chance for column, chance in explicit.items()}
        rest = slip * (1 - sum(explicit.values()))
        others = _spread(character, state, index, background, tuple(explicit))
        matrix[row] = rest * others
        for column, chance in explicit.items():
            matrix[row, column] += chance
        matrix[row, row] += 1 - matrix[row].sum()
    return np.asarray((1 - stray) * matrix + stray * background[None, :], dtype=np.float64)


def _explicit(character: Character, state: str, who: str, index: dict[str, int]) -> dict[int, float]:
    chances: dict[int, float] = {}
    for entry in character.misread:
        if entry.true == state:
            mid = math.sqrt(entry.finder * entry.clinic)
            chances[index[entry.read]] = {"finder": entry.finder, "between": mid, "clinic": entry.clinic}[who]
    return chances


def _spread(
    character: Character, state: str, index: dict[str, int], background: Array, taken: tuple[int, ...]
) -> Array:
    """Where a slip goes: four fifths to near states if there are any, the rest by the background."""
    row = index[state]
    far = background.copy()
    far[[row, *taken]] = 0.0
    far = far / far.sum() if far.sum() > 0 else far
    close = [index[other] for other in character.near.get(state, ()) if index[other] not in taken]
    if not close:
        return far
    near = np.zeros_like(background)
    near[close] = 1 / len(close)
    return np.asarray(0.8 * near + 0.2 * far, dtype=np.float64)


def mark_reading(character: Character, background: Array, who: str, parameters: Parameters) -> tuple[Array, Array]:
    """P(reported | there) and P(reported | not there) of each mark, both of shape [marks]."""
    stray = stray_of(parameters, who)
    slip = min(misread_of(parameters, who) * slip_of(character, who), MOST_SLIPS)
    there = (1 - stray) * (1 - slip) + stray * background
    not_there = (1 - stray) * slip * INVENTED_SHARE + stray * background
    return there, not_there
