"""From a true specimen to findings: what observers say of what is there."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.finding import Finding, Measured, Observer, SeenOn
from fruitbody.identify.measures import heaping_u
from fruitbody.identify.readings import observer_class
from fruitbody.identify.tables import MarkTable, MeasureTable, StateTable
from fruitbody.identify.trial.plan import Ask
from fruitbody.identify.trial.seeds import pick

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]
OWN_PRINT = {"deposit_colour": "print"}


@dataclass(frozen=True, slots=True)
class Truth:
    """A fruit body as it is: states and marks by character, measures as ln of a collection's mean, with the spread of
    ln x between fruit bodies; applies: characters that it has. age: young, mature or past."""

    states: Mapping[str, int]
    marks: Mapping[str, Bools]
    means: Mapping[str, float]
    spreads: Mapping[str, float]
    age: str


@dataclass(frozen=True, slots=True)
class Eyes:
    """How observers of one case do. skill: factor on their slips, by class; wrong_words: chance that a word is mapped
    to any other state, by class; vague: chance of naming two states."""

    skill: Mapping[str, float]
    wrong_words: Mapping[str, float]
    vague: float


def finding_for(ask: Ask) -> Finding:
    part = OWN_PRINT.get(ask.character, "")
    person = {Observer.DIAGNOSTICIAN: "first", Observer.SECOND_READER: "second"}.get(ask.by, "")
    return Finding(ask.character, by=ask.by, seen_on=ask.seen_on, part=part, person=person)


def says_state(table: StateTable, true: int | None, eyes: Eyes, who: str, rng: np.random.Generator) -> tuple[str, ...]:
    """The word or two for a state; true None: the character does not apply, but is spoken of."""
    shares = table.not_applicable if true is None else _said(table, true, eyes.skill[who], who)
    said = pick(rng, shares)
    if rng.random() < eyes.wrong_words[who]:
        said = int(rng.integers(shares.size))
    if rng.random() < eyes.vague and shares.size > 2:
        others = table.readings[who][said].copy()
        others[said] = 0.0
        return table.states[said], table.states[pick(rng, others)]
    return (table.states[said],)


def _said(table: StateTable, true: int, skill: float, who: str) -> Array:
    """The observer's row of M, its off-diagonal multiplied by this person's skill factor."""
    row: Array = table.readings[who][true].copy()
    right = row[true]
    wrong = min(skill * (1 - right), 0.9)
    row *= wrong / (1 - right)
    row[true] = 1 - wrong
    return row


def says_marks(table: MarkTable, there: Bools, eyes: Eyes, who: str, rng: np.random.Generator) -> tuple[str, ...]:
    """The marks that are noticed, or thought to be: what is not there is seldom spoken of."""
    hit, invented = table.readings[who]
    miss = np.minimum(eyes.skill[who] * (1 - hit), 0.9)
    chance = np.where(there, 1 - miss, np.minimum(eyes.skill[who] * invented, 0.5))
    seen = rng.random(there.size) < chance
    if rng.random() < eyes.wrong_words[who] and seen.any():
        seen[rng.choice(np.flatnonzero(seen))] = False
        seen[rng.integers(seen.size)] = True
    return tuple(state for state, said in zip(table.states, seen, strict=True) if said)


def says_measure(table: MeasureTable, truth: Truth, ask: Ask, n: int, rng: np.random.Generator) -> Measured:
    """A size: a finder's guess by the tens; a ruler at the bench, of one fruit body or of the smallest and largest of a
    few; a mean of n spores."""
    mean, spread = truth.means[table.id], truth.spreads[table.id]
    if table.measured_with:
        value = math.exp(
            mean + rng.normal(0, spread / math.sqrt(n)) + rng.normal(0, 0.01 + 0.1 / math.exp(mean) / math.sqrt(n))
        )
        return Measured(round(value, 2), None, round(2 * max(0.015 * value, 0.03), 3), n)
    bodies = np.exp(mean + rng.normal(0, spread, n))
    if observer_class(finding_for(ask)) != "clinic":
        value = float(bodies[0]) * math.exp(rng.normal(0, 0.2 if ask.seen_on is SeenOn.PHOTO else 0.3))
        step = 1.0 if value < 10 else (5.0 if value < 40 else 10.0)
        return Measured(
            _inside(max(step, round(value / step) * step)),
            None,
            0.4 * value if ask.seen_on is SeenOn.PHOTO else None,
            None,
        )
    rounded = [max(_round(float(body), table.unit), 0.1) for body in bodies]
    if n == 1 or min(rounded) == max(rounded):
        u = max(0.02 * rounded[0], heaping_u(rounded[0], by_finder=False, unit=table.unit))
        return Measured(rounded[0], None, 2 * u, None)
    return Measured(min(rounded), max(rounded), None, n)


def _round(value: float, unit: str) -> float:
    return float(round(value)) if unit == "mm" and value >= 3 else round(value, 1)


def _inside(value: float) -> float:
    return float(min(max(value, 0.1), 2000.0))
