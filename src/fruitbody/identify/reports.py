"""From a finding to what it says of each true state: a vector r(s) = P(report | state s). Every report ends so.

A list, a negation, soft evidence and a measured colour are all vectors over the states, so that several reports of one
character can share one true state (engine §1.5 to §1.8).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.finding import Finding
from fruitbody.funga.model import ABSENT_STATES, STAGES
from fruitbody.identify.readings import observer_class
from fruitbody.identify.tables import MarkTable, StateTable

Array = NDArray[np.float64]
TINY = 1e-12
"""Floor of a likelihood: 'none of all its states' is impossible everywhere, so it tells nothing."""


@dataclass(frozen=True, slots=True)
class StateReport:
    """r: P(report | state), [S]; na: P(report | the character does not apply); presupposes: whether the report takes
    for granted that the character applies; stage: index into STAGES, or -1 for the fruit body's own unknown stage."""

    r: Array
    na: float
    presupposes: bool
    fruit_body: str = ""
    stage: int = -1

    @property
    def key(self) -> tuple[object, ...]:
        """What makes two reports say the same."""
        return self.r.tobytes(), self.na, self.stage


@dataclass(frozen=True, slots=True)
class MarkReport:
    """there, not_there: P(report | mark there or not) for the marks in `marks`; `any_of`: at least one of them."""

    marks: tuple[int, ...]
    there: Array
    not_there: Array
    any_of: bool
    presupposes: bool
    stage: int = -1

    @property
    def key(self) -> tuple[object, ...]:
        """What makes two reports say the same."""
        return self.marks, self.there.tobytes(), self.not_there.tobytes(), self.any_of, self.stage


def stage_index(finding: Finding) -> int:
    return STAGES.index(finding.stage) if finding.stage else -1


def state_report(table: StateTable, finding: Finding, *, soft_trust: float) -> StateReport:
    """The vector of one finding on a character with exclusive states."""
    stage = stage_index(finding)
    if finding.soft is not None:
        return StateReport(_soft(table, finding, soft_trust), 1.0, False, finding.fruit_body, stage)
    columns = [table.states.index(state) for state in finding.states]
    said = table.readings[observer_class(finding)][:, columns].sum(axis=1)
    na = float(table.not_applicable[columns].sum())
    if finding.negated:
        return StateReport(np.maximum(1 - said, TINY), max(1 - na, TINY), False, finding.fruit_body, stage)
    tells = len(set(columns)) < len(table.states) and not set(finding.states) & set(ABSENT_STATES)
    return StateReport(said, na, tells, finding.fruit_body, stage)


def implied_report(table: StateTable, enabled: NDArray[np.bool_], who: str) -> StateReport:
    """A child reported alone says that its parent is in one of the enabling states."""
    columns = np.flatnonzero(enabled)
    said = table.readings[who][:, columns].sum(axis=1)
    return StateReport(said, float(table.not_applicable[columns].sum()), True)


def _soft(table: StateTable, finding: Finding, trust: float) -> Array:
    """λ(s) ∝ q(s)/π⁰(s), or the density of a measured colour, scaled to a mean of 1 under the background."""
    soft = finding.soft
    assert soft is not None
    if soft.lab is not None and table.lab is not None and table.spread is not None:
        variance = table.spread**2 + soft.lab_uncertainty**2
        exponent = -0.5 * ((np.array(soft.lab) - table.lab) ** 2 / variance).sum(axis=1)
        factor = np.exp(exponent - exponent.max()) / np.sqrt(variance.prod(axis=1))
    else:
        shares = np.array([soft.shares.get(state, 0.0) for state in table.states])
        trained = np.array([soft.trained_on.get(state, 0.0) for state in table.states])
        factor = shares / (trained if trained.sum() > 0 else table.background)
    factor = factor / float(table.background @ factor)
    return np.asarray(trust * factor + (1 - trust), dtype=np.float64)


def mark_report(table: MarkTable, finding: Finding) -> MarkReport:
    """What one finding says of the marks it names; of the others it says nothing."""
    marks = tuple(table.states.index(state) for state in finding.states)
    said_there, said_not = table.readings[observer_class(finding)]
    there, not_there = said_there[list(marks)], said_not[list(marks)]
    if finding.negated:
        return MarkReport(marks, 1 - there, 1 - not_there, False, False, stage_index(finding))
    any_of = len(marks) > 1 and not finding.each
    return MarkReport(marks, there, not_there, any_of, True, stage_index(finding))
