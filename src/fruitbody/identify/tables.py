"""What a hypothesis expects of each character, as arrays: the compiled form on which the likelihood works.

Rows (R) are hypotheses: first the taxa, then the hazard groups as gross pseudo-taxa, last the *reference* row, of which
nothing is known and whose every expectation is the background. A is 3 where stages matter, else 1.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class StateTable:
    """p: P(state | row, stage), shape [A, R, S]; background: [S]; readings: observer class -> M[S, S];
    not_applicable: what is reported where the parent only seems to enable this character, [S];
    enabled: which states of the parent enable it, [S of parent], empty without parent."""

    id: str
    group: str
    order: int
    states: tuple[str, ...]
    p: Array
    background: Array
    readings: Mapping[str, Array]
    not_applicable: Array
    known: Mask
    parent: str = ""
    enabled: Mask = field(default_factory=lambda: np.zeros(0, dtype=np.bool_))
    lab: Array | None = None
    spread: Array | None = None


@dataclass(frozen=True, slots=True)
class MarkTable:
    """p: P(mark is there | row, stage), [A, R, M]; readings: observer class -> (P(said | there), P(said | not)), [M]
    each."""

    id: str
    group: str
    order: int
    states: tuple[str, ...]
    p: Array
    background: Array
    readings: Mapping[str, tuple[Array, Array]]
    known: Mask
    parent: str = ""
    enabled: Mask = field(default_factory=lambda: np.zeros(0, dtype=np.bool_))


@dataclass(frozen=True, slots=True)
class MeasureTable:
    """mu, sigma of ln x per row, [R]; of the background mu_b, sd_b. Unknown rows hold the background's."""

    id: str
    group: str
    order: int
    unit: str
    mu: Array
    sigma: Array
    mu_b: float
    sd_b: float
    known: Mask
    measured_with: str = ""
    parent: str = ""
    enabled: Mask = field(default_factory=lambda: np.zeros(0, dtype=np.bool_))


Table = StateTable | MarkTable | MeasureTable


@dataclass(frozen=True, slots=True)
class Model:
    """All tables of a funga, by character id in the order of the files.

    kin: character -> (κ of an unlisted species of a genus, of a stranger to every genus), see `constancy`.

    rows: ids of the rows; n_taxa: how many of them are taxa; spore_rho: correlation of ln L and ln W per row, [R];
    failure: chance that a group of characters fails together, by group; temper: exponent by group (1 where absent).
    """

    tables: Mapping[str, Table]
    rows: tuple[str, ...]
    n_taxa: int
    spore_rho: Array
    failure: Mapping[str, float]
    temper: Mapping[str, float]
    children: Mapping[str, tuple[str, ...]]
    kin: Mapping[str, tuple[float, float]] = field(default_factory=dict)

    @property
    def reference(self) -> int:
        return len(self.rows) - 1


@dataclass(frozen=True, slots=True)
class Factor:
    """Likelihood ratios of a character and all below it: t where its group holds, b where its group fails, both [A, R]
    against the reference; na where the parent's true state does not enable it."""

    t: Array
    b: Array
    na: float


def mature(p: Array) -> Array:
    """The mature stage of a table's p [A, R, S], or its only one: [R, S]."""
    return np.asarray(p[1] if p.shape[0] > 1 else p[0])
