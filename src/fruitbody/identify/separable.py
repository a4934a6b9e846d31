"""Can two kinds be told apart by what both are scored for: expected weight of evidence in decibans, λ = 0 (engine §1).

Two kinds are apart when one character of a diagnostician is expected to speak with 10 dB for the true one, whichever of
the two that is, or when 15 dB come together over groups of characters that are independent of one another. What one of
them is not scored for counts nothing, so that filling in a blank is never rewarded.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fruitbody.funga.model import Funga, Taxon
from fruitbody.funga.problems import Problem
from fruitbody.identify.compile import compile_model
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.tables import MarkTable, MeasureTable, Model, StateTable, mature

Array = NDArray[np.float64]

ONE_DB = 10.0
"""Expected decibans of one character, in both directions, that are enough by themselves."""
TOGETHER_DB = 15.0
"""Expected decibans over independent groups, in both directions, that are enough together."""
NIL = 1e-12
SPORES = ("spore_length", "spore_width", "spore_q")
SAMPLE = 30
"""Spores in a sample, as a careful bench counts them."""
DB = 10 / math.log(10)


@dataclass(frozen=True, slots=True)
class Apart:
    """How far two kinds lie apart: the best character with its decibans in the weaker direction, and the sum of the
    best of each group, in the weaker direction."""

    best: str
    best_db: float
    together_db: float

    @property
    def enough(self) -> bool:
        return self.best_db >= ONE_DB or self.together_db >= TOGETHER_DB


@dataclass(frozen=True, slots=True)
class Expectation:
    """What every taxon is expected to show, ready to be compared: reports of states and marks, normals of measures."""

    model: Model
    reports: dict[str, Array]
    kappa: float
    share: float


def expectation(funga: Funga, parameters: Parameters | None = None) -> Expectation:
    """Compile a funga with no score leaking (λ = 0), read by a diagnostician."""
    shared = replace(parameters or Parameters(), leak_scale=0.0)
    model = compile_model(funga, shared)
    reports: dict[str, Array] = {}
    for table in model.tables.values():
        if isinstance(table, StateTable):
            reports[table.id] = mature(table.p) @ table.readings["clinic"]
        elif isinstance(table, MarkTable):
            there, other = table.readings["clinic"]
            p = mature(table.p)
            reports[table.id] = p * there + (1 - p) * other
    return Expectation(model, reports, shared.kappa, shared.phi + (1 - shared.phi) / SAMPLE)


def apart(expected: Expectation, a: int, b: int) -> Apart:
    """How far the taxa of rows a and b lie apart. Symmetric in a and b."""
    by_group: dict[str, tuple[float, float]] = {}
    best, best_db = "", 0.0
    for name, group, forth, back in _characters(expected, a, b):
        weaker = min(forth, back)
        if weaker > best_db:
            best, best_db = name, weaker
        if weaker > min(by_group.get(group, (0.0, 0.0))):
            by_group[group] = (forth, back)
    forth = sum(pair[0] for pair in by_group.values())
    back = sum(pair[1] for pair in by_group.values())
    return Apart(best, best_db, min(forth, back))


def _characters(expected: Expectation, a: int, b: int) -> Iterator[tuple[str, str, float, float]]:
    """(character, group, dB if a is true, dB if b is true) of everything that both are scored for."""
    for table in expected.model.tables.values():
        if not (table.known[a] and table.known[b]) or table.id in SPORES:
            continue
        if isinstance(table, StateTable):
            rows = expected.reports[table.id]
            yield table.id, table.group, _states(rows[a], rows[b]), _states(rows[b], rows[a])
        elif isinstance(table, MarkTable):
            rows = expected.reports[table.id]
            yield table.id, table.group, _marks(rows[a], rows[b]), _marks(rows[b], rows[a])
        else:
            yield table.id, table.group, *_sizes(expected, table, a, b)
    yield from _spores(expected, a, b)


def _states(p: Array, q: Array) -> float:
    return float(DB * np.sum(p * np.log(np.maximum(p, NIL) / np.maximum(q, NIL))))


def _marks(p: Array, q: Array) -> float:
    return _states(p, q) + _states(1 - p, 1 - q)


def _sizes(expected: Expectation, table: MeasureTable, a: int, b: int) -> tuple[float, float]:
    spread = expected.kappa * table.sigma[[a, b]]
    first, second = (np.array([[s**2]]) for s in spread)
    shift = np.array([table.mu[a] - table.mu[b]])
    return _normals(shift, first, second), _normals(shift, second, first)


def _spores(expected: Expectation, a: int, b: int) -> Iterator[tuple[str, str, float, float]]:
    """Length and width of one sample together; Q is no third observation."""
    length, width = (expected.model.tables.get(name) for name in SPORES[:2])
    if not isinstance(length, MeasureTable) or not length.known[[a, b]].all():
        return
    if not isinstance(width, MeasureTable) or not width.known[[a, b]].all():
        yield length.id, length.group, *_sizes(expected, length, a, b)
        return
    shift = np.array([length.mu[a] - length.mu[b], width.mu[a] - width.mu[b]])
    first, second = (_scatter(expected, length, width, row) for row in (a, b))
    yield length.id, length.group, _normals(shift, first, second), _normals(shift, second, first)


def _scatter(expected: Expectation, length: MeasureTable, width: MeasureTable, row: int) -> Array:
    """V of a sample of SAMPLE spores about the taxon's means (engine §3), the reading's own scatter left out."""
    sl, sw, rho = length.sigma[row], width.sigma[row], expected.model.spore_rho[row]
    return np.asarray(
        expected.kappa**2 * expected.share * np.array([[sl**2, rho * sl * sw], [rho * sl * sw, sw**2]]),
        dtype=np.float64,
    )


def _normals(shift: Array, p: Array, q: Array) -> float:
    """Expected dB of N(·, p) against N(·, q) whose means lie `shift` apart: the Kullback–Leibler divergence."""
    inverse = np.linalg.inv(q)
    nats = np.trace(inverse @ p) + shift @ inverse @ shift - shift.size
    nats += math.log(np.linalg.det(q) / np.linalg.det(p))
    return float(DB * 0.5 * nats)


def unseparated(funga: Funga) -> list[Problem]:
    """A remark on every pair of congeners, and of kinds taken for one another, that nothing scored tells apart.

    Pairs in one declared group are meant to stay together; a *taken for* that says it takes a sequence has said so.
    """
    expected = expectation(funga)
    row = {taxon_id: i for i, taxon_id in enumerate(funga.taxa)}
    remarks = []
    for a, b, why in _pairs(funga):
        found = apart(expected, row[a.id], row[b.id])
        if found.enough:
            continue
        words = (
            f"{why} {b.name}, and nothing scored tells them apart: the best character, "
            f"{found.best or 'none'}, speaks with {found.best_db:.0f} dB, all together with "
            f"{found.together_db:.0f} dB. "
            "Score what differs where it is known, declare a group, or say not_here."
        )
        remarks.append(Problem(a.file, a.id, words))
    return remarks


def _pairs(funga: Funga) -> Iterator[tuple[Taxon, Taxon, str]]:
    """Every pair that must be separable, once."""
    done: set[frozenset[str]] = set()
    together = [funga.members_of(group) for group in funga.groups.values()]
    said = {frozenset((t.id, p.taxon)) for t in funga.taxa.values() for p in t.taken_for if p.not_here}
    for taxon in funga.taxa.values():
        mates = [(other, "a congener of") for other in funga.taxa.values() if other.genus == taxon.genus]
        mates += [(funga.taxa[p.taxon], "taken for") for p in taxon.taken_for if p.taxon in funga.taxa]
        for other, why in mates:
            pair = frozenset((taxon.id, other.id))
            declared = pair in said or any(pair <= group for group in together)
            if other.id != taxon.id and pair not in done and not declared:
                done.add(pair)
                yield taxon, other, why
