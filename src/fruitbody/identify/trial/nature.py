"""Kinds as they are in nature, which is not quite what the funga says of them (rungs R1 and above)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fruitbody.funga.model import STAGES, Character, Funga, MeasureScore, StateScore, Taxon
from fruitbody.funga.weights import mark_chances, state_shares
from fruitbody.identify.compile import by_stage, model_of
from fruitbody.identify.index import index_of
from fruitbody.identify.measures import score_to_normal
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.tables import MarkTable, MeasureTable, Model, StateTable, Table, mature
from fruitbody.identify.trial.seeds import generator, pick
from fruitbody.identify.trial.seeing import Truth

Array = NDArray[np.float64]
WRONG_SHARE = (0.05, 0.15)
"""Of a taxon's scored characters this share is wrong in the books, drawn evenly between the two for each taxon."""
MOST_WRONG = 0.5
AGES = (0.2, 0.6, 0.2)
"""Chances of young, mature and past among what is sent in; the engine assumes others."""


@dataclass(frozen=True, slots=True)
class Kind:
    """What a taxon really shows: shares of states [A, S] and chances of marks [A, M] by stage, (μ, σ) of ln x."""

    shares: Mapping[str, Array]
    sizes: Mapping[str, tuple[float, float]]


class Nature:
    """The kinds of a funga as they are. A seed gives one nature, whatever is drawn from it in what order."""

    def __init__(self, known: Funga, seed: int) -> None:
        self.known, self.seed = known, seed
        self.model: Model = model_of(known, Parameters())
        self.index = index_of(known)
        self._kinds: dict[int, Kind] = {}

    @cached_property
    def congeners(self) -> list[list[int]]:
        """For each taxon the rows of the others of its genus."""
        genus = self.index.genus_of
        return [[int(r) for r in np.flatnonzero(genus == g) if r != row] for row, g in enumerate(genus)]

    def kind(self, row: int) -> Kind:
        if row not in self._kinds:
            self._kinds[row] = self._make(self.index.taxa[row])
        return self._kinds[row]

    def _make(self, taxon: Taxon) -> Kind:
        rng = generator(self.seed, "nature", taxon.id)
        wrong = self._chances_of_being_wrong(taxon, rng.uniform(*WRONG_SHARE))
        shares: dict[str, Array] = {}
        sizes: dict[str, tuple[float, float]] = {}
        for character in self.known.characters.values():
            table = self.model.tables.get(character.id)
            scores = by_stage(taxon.scores, character.id)
            astray = rng.random() < wrong.get(character.id, 0.0)
            if table is None or scores[0] is None:
                continue
            if isinstance(table, MeasureTable):
                score = scores[STAGES.index("mature")]
                assert isinstance(score, MeasureScore)
                mu, sigma = score_to_normal(score)
                sizes[character.id] = mu + sigma * float(rng.normal(0, 2.0 if astray else 0.3)), sigma
            else:
                shares[character.id] = self._real(character, table, scores, astray, rng)
        return Kind(shares, sizes)

    def _chances_of_being_wrong(self, taxon: Taxon, share: float) -> dict[str, float]:
        """By character, so that `share` of those scored are wrong on average: authors differ where eyes differ, about a
        colour or a smell, and hardly ever about gills or pores."""
        scored = list(dict.fromkeys(name for name, _ in taxon.scores if name in self.model.tables))
        slips = {name: self.known.characters[name].slip_clinic for name in scored}
        mean = sum(slips.values()) / max(len(slips), 1)
        return {name: min(share * slip / mean, MOST_WRONG) for name, slip in slips.items()}

    def _real(
        self, character: Character, table: Table, scores: Sequence[object], astray: bool, rng: np.random.Generator
    ) -> Array:
        """Words are no numbers: the true shares scatter about the weights of the words. astray: the books name a state
        that is the exception."""
        rows = []
        shift = int(rng.choice(len(character.states), p=_elsewhere(character, table, scores[0])))
        for score in scores:
            assert isinstance(score, StateScore)
            if isinstance(table, MarkTable):
                chances = mark_chances(score, character)
                real = rng.beta(12 * chances + 0.1, 12 * (1 - chances) + 0.1)
                if astray:
                    real[shift] = 1 - real[shift]
            else:
                real = rng.dirichlet(20 * state_shares(score, character) + 0.02)
                if astray:
                    real = 0.2 * real
                    real[shift] += 0.8
            rows.append(real)
        return np.array(rows)

    def draw(self, row: int, rng: np.random.Generator) -> Truth:
        """One collection of a kind, all its characters."""
        age = int(rng.choice(3, p=AGES))
        states: dict[str, int] = {}
        marks: dict[str, NDArray[np.bool_]] = {}
        means: dict[str, float] = {}
        spreads: dict[str, float] = {}
        for table in self.model.tables.values():
            if table.parent and not (table.parent in states and table.enabled[states[table.parent]]):
                continue
            source = self._source(row, table, rng)
            if isinstance(table, MeasureTable):
                mu, sigma = self.kind(source).sizes[table.id] if source >= 0 else (table.mu_b, 0.6 * table.sd_b)
                means[table.id] = mu + sigma * float(rng.normal())
                spreads[table.id] = 0.6 * sigma
                continue
            shares = self.kind(source).shares[table.id][age] if source >= 0 else mature(table.p)[row]
            if isinstance(table, MarkTable):
                marks[table.id] = rng.random(shares.size) < shares
            else:
                states[table.id] = pick(rng, shares)
        return Truth(states, marks, means, spreads, STAGES[age])

    def _source(self, row: int, table: Table, rng: np.random.Generator) -> int:
        """Where the truth of a character comes from: the taxon's own entry; where it has none, half the time a
        congener's; else −1, the background."""
        if table.known[row]:
            return row
        others = [r for r in self.congeners[row] if table.known[r]]
        pick = int(rng.integers(1 << 30))
        return others[pick % len(others)] if others and rng.random() < 0.5 else -1


def _elsewhere(character: Character, table: Table, score: object) -> Array:
    """Where a wrong score should have pointed: a near state, else by the background; not the states named, nor those
    declared never."""
    assert isinstance(score, StateScore)
    assert isinstance(table, StateTable | MarkTable)
    weight = table.background.copy()
    for state in score.mostly:
        for near in character.near.get(state, ()):
            weight[character.state_ids.index(near)] += 0.5
    # What two published sources say is never seen is not what all of it shows.
    ruled_out = [character.state_ids.index(state) for state in (*score.mostly, *score.never)]
    weight[ruled_out] = 0.0
    return weight / weight.sum() if weight.sum() > 0 else np.full(weight.size, 1 / weight.size)
