"""R0: specimens from the engine's own model, every level of it: the leak of the scores, the failing groups, the tree,
the unknown age, the observers. It tests the code, not the claim."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.finding import Finding, Measured
from fruitbody.funga.model import Funga
from fruitbody.identify.identify import Case
from fruitbody.identify.likelihood import STAGE_PRIOR
from fruitbody.identify.measures import heaping_u
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.readings import observer_class
from fruitbody.identify.tables import MarkTable, MeasureTable, Model, StateTable, Table
from fruitbody.identify.trial.plan import Ask
from fruitbody.identify.trial.seeds import pick
from fruitbody.identify.trial.seeing import finding_for

Array = NDArray[np.float64]
MARKS_ASKED = 2


class OwnWorld:
    """One fruit body of a row of the model: true states drawn as they are asked for."""

    def __init__(self, model: Model, parameters: Parameters, row: int, rng: np.random.Generator) -> None:
        self.model, self.parameters, self.row, self.rng = model, parameters, row, rng
        self.age = int(rng.choice(3, p=STAGE_PRIOR))
        self.failed: dict[tuple[str, str], bool] = {}
        self.states: dict[str, int | None] = {}
        self.said: dict[str, str] = {}

    def fails(self, table: Table) -> bool:
        """Whether the character's group fails: with its parent where both are of one group, else once per parent."""
        if table.parent and self.model.tables[table.parent].group == table.group:
            return self.fails(self.model.tables[table.parent])
        key = (table.parent, table.group)
        if key not in self.failed:
            self.failed[key] = bool(self.rng.random() < self.model.failure.get(table.group, 0.0))
        return self.failed[key]

    def applies(self, table: Table) -> bool:
        if not table.parent:
            return True
        parent = self.model.tables[table.parent]
        assert isinstance(parent, StateTable)
        state = self.state(parent)
        return state is not None and bool(table.enabled[state])

    def state(self, table: StateTable) -> int | None:
        """The true state; None where the character does not apply."""
        if table.id not in self.states:
            shares = self.shares(table)
            self.states[table.id] = pick(self.rng, shares) if self.applies(table) else None
        return self.states[table.id]

    def shares(self, table: StateTable | MarkTable) -> Array:
        if self.fails(table):
            return table.background
        return np.asarray(table.p[self.age if table.p.shape[0] > 1 else 0, self.row])


def own_case(
    known: Funga, model: Model, row: int, asks: Sequence[Ask], rng: np.random.Generator,
    parameters: Parameters | None = None,
) -> Case:  # fmt: skip
    """A case as the model would have it. A child is looked at where its parent was said to enable it."""
    parameters = parameters or Parameters()
    world = OwnWorld(model, parameters, row, rng)
    asked = {ask.character: ask for ask in asks}
    found: list[Finding] = []
    spores: dict[str, float] = {}
    for ask in asks:
        table = model.tables[ask.character]
        if table.parent and not _said_to_enable(model, table, asked, world):
            continue
        finding = finding_for(ask)
        who = observer_class(finding)
        if isinstance(table, StateTable):
            state = world.state(table)
            shares = table.not_applicable if state is None else table.readings[who][state]
            said = table.states[pick(rng, shares)]
            world.said[table.id] = said
            found.append(dataclasses.replace(finding, states=(said,)))
        elif isinstance(table, MarkTable):
            found += _own_marks(world, table, finding, who)
        else:
            found.append(_own_measure(world, table, finding, spores))
    return Case(tuple(found))


def _said_to_enable(model: Model, table: Table, asked: dict[str, Ask], world: OwnWorld) -> bool:
    parent = model.tables[table.parent]
    assert isinstance(parent, StateTable)
    return parent.id in world.said and bool(table.enabled[parent.states.index(world.said[parent.id])])


def _own_marks(world: OwnWorld, table: MarkTable, finding: Finding, who: str) -> list[Finding]:
    """Two marks, chosen without a look, are said to be there or not; by the background where they do not apply."""
    shares = world.shares(table) if world.applies(table) else table.background
    there, not_there = table.readings[who]
    found = []
    for mark in world.rng.choice(shares.size, min(MARKS_ASKED, shares.size), replace=False):
        true = world.rng.random() < shares[mark]
        said = world.rng.random() < (there[mark] if true else not_there[mark])
        found.append(dataclasses.replace(finding, states=(table.states[mark],), each=True, negated=not said))
    return found


def _own_measure(world: OwnWorld, table: MeasureTable, finding: Finding, spores: dict[str, float]) -> Finding:
    """One value with its uncertainty. Of spores the width is drawn given the length."""
    p, rng = world.parameters, world.rng
    if table.measured_with:
        return _own_spores(world, table, finding, spores)
    stray = (
        not world.applies(table) or world.fails(table) or not table.known[world.row] or rng.random() < p.leak_measure
    )
    mu, sd = (table.mu_b, table.sd_b) if stray else (table.mu[world.row], p.kappa * table.sigma[world.row])
    ln_x = float(rng.normal(mu, sd))
    finder = observer_class(finding) == "finder"
    u = max(0.25 if finder else 0.05, heaping_u(math.exp(ln_x), by_finder=finder, unit=table.unit) / math.exp(ln_x))
    value = math.exp(ln_x + float(rng.normal(0, u)))
    return dataclasses.replace(finding, measured=Measured(value, None, 2 * u * value, None))


def _own_spores(world: OwnWorld, table: MeasureTable, finding: Finding, spores: dict[str, float]) -> Finding:
    """Mean length and width of 20 spores, V = φS + u_cal² 11ᵀ + ((1 − φ)S + R)/n with the same calibration for both."""
    p, rng, row, n = world.parameters, world.rng, world.row, 20
    if not spores:
        length = world.model.tables[table.measured_with] if table.id.endswith("width") else table
        width = world.model.tables["spore_width"]
        assert isinstance(length, MeasureTable)
        assert isinstance(width, MeasureTable)
        stray = world.fails(table) or not table.known[row] or rng.random() < p.leak_measure
        rho = float(world.model.spore_rho[-1 if stray else row])
        sd = np.array([length.sd_b, width.sd_b] if stray else [p.kappa * t.sigma[row] for t in (length, width)])
        mean = np.array([length.mu_b, width.mu_b] if stray else [t.mu[row] for t in (length, width)])
        share = 1.0 if stray else p.phi + (1 - p.phi) / n
        cov = (
            share * np.array([[sd[0] ** 2, rho * sd[0] * sd[1]], [rho * sd[0] * sd[1], sd[1] ** 2]]) + p.calibration**2
        )
        cov = cov + np.diag((p.spore_reading_um / np.exp(mean)) ** 2 / n)
        drawn = rng.multivariate_normal(mean, cov)
        spores.update(spore_length=float(drawn[0]), spore_width=float(drawn[1]))
    return dataclasses.replace(finding, measured=Measured(math.exp(spores[table.id]), None, None, n))
