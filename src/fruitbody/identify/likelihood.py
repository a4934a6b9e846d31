"""How well each hypothesis predicts what was seen: the tree of characters, evaluated one finding at a time (engine §1).

Everything is relative to the reference row (the background), so a value is the likelihood ratio that decibans measure.
Parents are scored together with their children over the parent's true state; groups of characters fail together with
probability π, in which case they follow the background. Findings are added in the order of the character files, and the
difference each makes to the log is its weight of evidence: the chain rule.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.finding import Finding
from fruitbody.funga.model import STAGES, Character
from fruitbody.identify.measure_reports import MeasureFactors
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.products import Joint
from fruitbody.identify.readings import CLASSES, observer_class, reading_matrix
from fruitbody.identify.reports import (
    MarkReport,
    StateReport,
    implied_report,
    mark_report,
    state_report,
)
from fruitbody.identify.tables import Factor, MarkTable, MeasureTable, Model, StateTable, Table

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
Memo = dict[tuple[object, ...], Any]
STAGE_PRIOR = np.array([0.15, 0.70, 0.15])
"""Chance that a fruit body sent in is young, mature, past (common practice)."""


class Evidence:
    """Findings added one by one; `log_ratio` is the log likelihood ratio of every row against the reference, [R]."""

    def __init__(
        self, model: Model, parameters: Parameters, *, expected: Sequence[Finding] = (), memo: Memo | None = None
    ) -> None:
        """expected: the findings to come, if they are known; memo: what single reports say by themselves, shared
        between cases of one model and one set of parameters. Both save work and change nothing."""
        self.model, self.parameters = model, parameters
        self.memo = {} if memo is None else memo
        self.joints: dict[str, Joint] = {}
        self.expected = self._with_parents(expected)
        self.states: dict[str, list[StateReport]] = {}
        self.marks: dict[str, list[MarkReport]] = {}
        self.measures = MeasureFactors(model, parameters)
        self.implied: dict[str, tuple[Mask, str]] = {}
        self.weighed: dict[str, tuple[object, ...]] = {}
        self.roots: dict[str, dict[str, Factor]] = {}
        self.group_logs: dict[str, Array] = {}
        self.stage = STAGE_PRIOR.copy()

    def add(self, finding: Finding) -> None:
        """Take one finding in and renew what it touches."""
        self._take(finding)
        self._renew(self.model.tables[finding.character])

    def _with_parents(self, findings: Sequence[Finding]) -> set[str]:
        names: set[str] = set()
        for name in {finding.character for finding in findings}:
            while name:
                names.add(name)
                name = self.model.tables[name].parent
        return names

    def _take(self, finding: Finding) -> None:
        table = self.model.tables[finding.character]
        presupposes = not finding.negated
        if isinstance(table, StateTable):
            report = self._state_report(table, finding)
            presupposes = report.presupposes
            self.states.setdefault(table.id, []).append(report)
        elif isinstance(table, MarkTable):
            self.marks.setdefault(table.id, []).append(mark_report(table, finding))
        else:
            self.measures.add(table, finding)
        if presupposes:
            self._imply(table, observer_class(finding))

    def add_all(self, findings: Sequence[Finding]) -> None:
        """Take many findings in at once, for ranking alone: the same sum as one by one, without the steps between."""
        self.expected = self._with_parents(findings)
        for finding in findings:
            self._take(finding)
        touched = [self.model.tables[name] for name in self.expected]
        for table in sorted(touched, key=lambda t: -t.order):
            factor = self._factor(table)
            if table.parent:
                self._joint(self.model.tables[table.parent]).put(table, factor)
            else:
                self.roots.setdefault(table.group, {})[table.id] = factor
        for group, members in self.roots.items():
            self.group_logs[group] = self._group_log(group, list(members.values()))

    def observe_stage(self, said: Sequence[float]) -> None:
        """Bayes on the unknown stage: `said` is P(report | young, mature, past)."""
        posterior = self.stage * np.asarray(said)
        self.stage = posterior / posterior.sum()

    def log_ratio(self) -> Array:
        """ln P(findings | row) − ln P(findings | reference), summed over the unknown stage, [R]."""
        total = np.zeros((1, len(self.model.rows)))
        for value in self.group_logs.values():
            total = total + value
        if total.shape[0] == 1:
            return np.asarray(total[0], dtype=np.float64)
        top = total.max(axis=0)
        return np.asarray(top + np.log(self.stage @ np.exp(total - top)), dtype=np.float64)

    def _state_report(self, table: StateTable, finding: Finding) -> StateReport:
        if finding.soft is not None:
            return state_report(table, finding, soft_trust=self.parameters.soft_trust)
        who = finding.by, finding.seen_on, finding.fruit_body, finding.stage
        key = ("said", table.id, finding.states, finding.negated, *who)
        if key not in self.memo:
            self.memo[key] = state_report(table, finding, soft_trust=self.parameters.soft_trust)
        report: StateReport = self.memo[key]
        return report

    def _imply(self, table: Table, who: str) -> None:
        """A positive report of a child alone implies that its parent enables it, and so on upwards."""
        while table.parent:
            parent = self.model.tables[table.parent]
            if any(report.presupposes for report in self.states.get(parent.id, ())):
                return
            enabled, best = table.enabled, who
            if parent.id in self.implied:
                before, said_by = self.implied[parent.id]
                enabled = before & enabled if (before & enabled).any() else before
                best = max(said_by, who, key=CLASSES.index)
            self.implied[parent.id] = (enabled, best)
            table = parent

    def _renew(self, table: Table) -> None:
        """Compute this character's factor again, then its parents', then its root group."""
        factor = self._factor(table)
        while table.parent:
            parent = self.model.tables[table.parent]
            self._joint(parent).put(table, factor)
            table, factor = parent, self._factor(parent)
        group = self.roots.setdefault(table.group, {})
        group[table.id] = factor
        self.group_logs[table.group] = self._group_log(table.group, list(group.values()))

    def _joint(self, parent: Table) -> Joint:
        assert isinstance(parent, StateTable)
        if parent.id not in self.joints:
            names = self.model.children[parent.id]
            awaited = [name for name in names if name in self.expected] if self.expected else names
            self.joints[parent.id] = Joint(parent, [self.model.tables[n] for n in awaited], self.model.failure)
        return self.joints[parent.id]

    def _group_log(self, group: str, factors: Sequence[Factor]) -> Array:
        failure = self.model.failure.get(group, 0.0)
        holds, fails = _product([f.t for f in factors]), _product([f.b for f in factors])
        return np.asarray(self.model.temper.get(group, 1.0) * np.log((1 - failure) * holds + failure * fails))

    def _factor(self, table: Table) -> Factor:
        if isinstance(table, MarkTable):
            marks = self.marks[table.id]
            return self._kept(table, marks, lambda: _mark_factor(table, marks))
        if isinstance(table, MeasureTable):
            return self.measures.factor(table)
        reports = list(self.states.get(table.id, ()))
        if table.id in self.implied and not any(report.presupposes for report in reports):
            reports.append(implied_report(table, *self.implied[table.id]))
        joint = self.joints.get(table.id)
        if joint is None:
            return self._kept(table, reports, lambda: _leaf_factor(table, reports, self.parameters.shared_state))
        key = tuple(report.key for report in reports)
        if self.weighed.get(table.id) != key:
            self.weighed[table.id] = key
            joint.weigh(_product([report.r for report in reports]) if reports else np.ones(table.background.size))
        return joint.factor(math.prod(report.na for report in reports))

    def _kept(self, table: Table, reports: Sequence[StateReport | MarkReport], work: Callable[[], Factor]) -> Factor:
        """A single report is looked up: it says the same in every case."""
        if len(reports) != 1:
            return work()
        key = (table.id, *reports[0].key)
        if key not in self.memo:
            self.memo[key] = work()
        factor: Factor = self.memo[key]
        return factor


def _product(arrays: Sequence[Array]) -> Array:
    value = np.asarray(arrays[0])
    for array in arrays[1:]:
        value = value * array
    return value


def _leaf_factor(table: StateTable, reports: Sequence[StateReport], shared: float) -> Factor:
    """Reports on one character without observed children. Reports of one fruit body share one true state; different
    fruit bodies share it with probability `shared` and are else separate draws of the same taxon."""
    t: Array = np.ones((1, table.known.size))
    base = 1.0
    by_stage = table.p.shape[0] > 1
    for stage in dict.fromkeys(report.stage if by_stage else -1 for report in reports):
        p = table.p if stage < 0 else table.p[stage : stage + 1]
        bodies: dict[str, Array] = {}
        for report in reports:
            if not by_stage or report.stage == stage:
                bodies[report.fruit_body] = bodies.get(report.fruit_body, 1.0) * report.r
        own = _over_bodies(p, list(bodies.values()), shared)
        t = t * own
        base *= float(_over_bodies(table.background, list(bodies.values()), shared))
    na = float(np.prod([report.na for report in reports]))
    return Factor(t / base, np.ones((1, 1)), na / base)


def _over_bodies(p: Array, r: Sequence[Array], shared: float) -> Array:
    one_state = p @ _product(r)
    if len(r) == 1:
        return np.asarray(one_state)
    return np.asarray(shared * one_state + (1 - shared) * _product([p @ body for body in r]))


def _mark_factor(table: MarkTable, reports: Sequence[MarkReport]) -> Factor:
    """Marks are independent given the taxon. *One of* (∨) is 1 − *none of them*, by inclusion and exclusion."""
    certain = [report for report in reports if not report.any_of]
    open_ = [report for report in reports if report.any_of]
    stages = {report.stage for report in reports}
    stage = stages.pop() if len(stages) == 1 else -1
    p = table.p if stage < 0 or table.p.shape[0] == 1 else table.p[stage : stage + 1]
    t, base = np.zeros(p.shape[:2]), 0.0
    for subset in range(2 ** len(open_)):
        there, not_there = np.ones(table.background.size), np.ones(table.background.size)
        for report in certain:
            there[list(report.marks)] *= report.there
            not_there[list(report.marks)] *= report.not_there
        sign = 1.0
        for position, report in enumerate(open_):
            if subset >> position & 1:
                sign = -sign
                there[list(report.marks)] *= 1 - report.there
                not_there[list(report.marks)] *= 1 - report.not_there
        touched = np.flatnonzero((there != 1) | (not_there != 1))
        t = t + sign * np.prod(p[..., touched] * there[touched] + (1 - p[..., touched]) * not_there[touched], axis=2)
        b = table.background[touched]
        base += sign * float(np.prod(b * there[touched] + (1 - b) * not_there[touched]))
    return Factor(np.maximum(t, 1e-12) / base, np.ones((1, 1)), 1.0)


def stage_said(stage: Character, parameters: Parameters, finding: Finding) -> list[float]:
    """P(what was said of the age | young, mature, past), from the readings of the finer stage states."""
    flat = np.full(len(stage.states), 1 / len(stage.states))
    who = observer_class(finding)
    readings = reading_matrix(stage, flat, who, parameters)
    said = readings[:, [stage.state_ids.index(state) for state in finding.states]].sum(axis=1)
    said = 1 - said if finding.negated else said
    return [
        float(np.mean([p for p, s in zip(said, stage.states, strict=True) if s.stands_for == age])) for age in STAGES
    ]
