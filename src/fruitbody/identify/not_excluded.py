"""The dangerous groups that stand: every group not ruled out, those near the best first. Nothing is dropped."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.finding import Finding
from fruitbody.funga.model import GRADES, Funga
from fruitbody.identify.index import index_of
from fruitbody.identify.look_next import settle_order
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.tables import Model, StateTable, mature
from fruitbody.identify.words import DECIBANS

Array = NDArray[np.float64]
NEAR_DB = 10.0
"""Groups this near to the best come before the farther ones of the first list."""


@dataclass(frozen=True, slots=True)
class Standing:
    """A dangerous group that is not excluded. members: names in the funga; settle_by: what settles it, cheapest first;
    listed: 'first' within 30 dB of the best by likelihood alone, else 'folded'; behind_db: how far behind it is."""

    group: str
    plain: str
    syndrome: str
    grade: str
    members: tuple[str, ...]
    settle_by: tuple[str, ...]
    listed: str
    behind_db: float


def standing_groups(
    funga: Funga,
    model: Model,
    parameters: Parameters,
    findings: Sequence[Finding],
    steps: Array,
    *,
    out: Collection[str],
    seen: Collection[str],
    lost: Collection[str],
) -> tuple[Standing, ...]:
    """Every hazard group that is not ruled out for the whole lot, by likelihood alone: neither prior nor place in a
    ranking can hide one. A row is compared with the best only on what it is scored for, so that a thin entry of a
    dangerous kind is not hidden by what nobody wrote down."""
    behind = behind_best(model, findings, steps)
    index = index_of(funga)
    group_row = {group: model.n_taxa + i for i, group in enumerate(funga.hazard_groups)}
    standing = []
    for group in funga.hazard_groups.values():
        if group.id in out:
            continue
        members = index.members[group.id]
        rows = [group_row[group.id], *members]
        gap = float(min(behind[row] for row in rows))
        standing.append(
            Standing(
                group=group.id,
                plain=group.plain,
                syndrome=group.syndrome,
                grade=group.grade,
                members=tuple(index.taxa[row].name for row in members),
                settle_by=tuple(settle_order(funga, group.settled_by, seen, lost)[:3]),
                listed="first" if gap <= parameters.danger_window_db else "folded",
                behind_db=gap,
            )
        )
    return tuple(sorted(standing, key=lambda s: _order(funga, s)))


def behind_best(model: Model, findings: Sequence[Finding], steps: Array) -> Array:
    """How many decibans each row lies behind the best taxon, over the findings it is scored for, [R]; never below 0."""
    if not len(findings):
        return np.zeros(len(model.rows))
    best = int(np.argmax(steps[:, : model.n_taxa].sum(axis=0)))
    known = np.array([_known(model, finding) for finding in findings])
    gaps = np.where(known, steps[:, [best]] - steps, 0.0)
    return np.asarray(np.maximum(gaps.sum(axis=0) * DECIBANS, 0.0))


def _known(model: Model, finding: Finding) -> NDArray[np.bool_]:
    """Rows that a finding can be held against: the character is scored, or an ancestor is scored so that it cannot
    apply (a ball has no gills to be compared, and that speaks against it)."""
    table = model.tables.get(finding.character)
    if table is None:
        return np.zeros(len(model.rows), dtype=np.bool_)
    known = table.known.copy()
    while table.parent:
        parent = model.tables[table.parent]
        if isinstance(parent, StateTable):
            known |= parent.known & (mature(parent.p) @ table.enabled < 0.5)
        table = parent
    return known


def _order(funga: Funga, standing: Standing) -> tuple[bool, bool, int, float, float]:
    """Near before far, worse before milder, then by what settles it most cheaply."""
    first = [funga.characters[c] for c in standing.settle_by[:1]]
    cost = min((c.minutes + c.wait_hours for c in first), default=99.0)
    far = standing.behind_db > NEAR_DB
    return standing.listed != "first", far, GRADES.index(standing.grade), cost, standing.behind_db
