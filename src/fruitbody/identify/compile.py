"""From a funga to the arrays of the engine."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fruitbody.funga.model import (
    ABSENT_STATES,
    FROM_MEMORY,
    STAGES,
    Character,
    CharacterKind,
    Funga,
    HazardGroup,
    MeasureScore,
    Score,
    StateScore,
    Taxon,
)
from fruitbody.funga.weights import mark_chances, state_shares
from fruitbody.identify.constancy import kin_of
from fruitbody.identify.index import FungaKey
from fruitbody.identify.measures import score_to_normal
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.readings import CLASSES, mark_reading, reading_matrix
from fruitbody.identify.spores import correlation
from fruitbody.identify.tables import MarkTable, MeasureTable, Model, StateTable, Table

Array = NDArray[np.float64]
SILENT = 0.5
"""How far silence of a source pulls the background towards the unremarkable state."""
NONE_SHARE = 0.9
BASIS_PART = {"spores": "microscopic", "microscopy": "microscopic", "reagents": "microscopic", "place": "habitat"}
"""Which part of a taxon's basis vouches for the scores of an organ; the macroscopic part for all others."""

Entry = Taxon | HazardGroup


@lru_cache(maxsize=8)
def _compiled(key: FungaKey, parameters: Parameters) -> Model:
    return compile_model(key.funga, parameters)


def model_of(funga: Funga, parameters: Parameters) -> Model:
    """The compiled model of a funga; kept for the next call."""
    return _compiled(FungaKey(funga), parameters)


def compile_model(funga: Funga, parameters: Parameters) -> Model:
    """Compile every character into a table over taxa, hazard groups and the reference row."""
    entries = _entries(funga)
    tables: dict[str, Table] = {}
    for character in funga.characters.values():
        if character.kind is CharacterKind.STATES:
            tables[character.id] = _state_table(funga, character, parameters)
        elif character.kind is CharacterKind.MARKS:
            tables[character.id] = _mark_table(funga, character, parameters)
        elif character.kind is CharacterKind.MEASURE:
            tables[character.id] = _measure_table(funga, character, entries, parameters)
    groups = {table.group for table in tables.values()}
    children: dict[str, tuple[str, ...]] = {}
    for table in tables.values():
        if table.parent:
            children[table.parent] = (*children.get(table.parent, ()), table.id)
    return Model(
        tables=tables,
        rows=(*funga.taxa, *(f"group:{g}" for g in funga.hazard_groups), "reference"),
        n_taxa=len(funga.taxa),
        spore_rho=_spore_rho(entries, parameters),
        failure=dict.fromkeys(groups, parameters.group_failure),
        temper={},
        children=children,
        kin=kin_of(tables, tuple(funga.taxa.values())),
    )


def published(entry: Entry, character: Character) -> int:
    """How many published sources stand behind an entry's score of a character; 2 stands for more, 0 for memory."""
    part = BASIS_PART.get(character.organ, "macroscopic")
    basis = entry.basis.get(part, ()) if isinstance(entry, Taxon) else ()
    return min(sum(source != FROM_MEMORY for source in basis), 2)


def leak(entry: Entry, character: Character, parameters: Parameters) -> float:
    """λ: how much of a score gives way to the background, by what the entry rests on."""
    return float(_leaks(parameters)[published(entry, character)])


def _leaks(parameters: Parameters) -> Array:
    base = np.array([parameters.leak_memory, parameters.leak_one, parameters.leak_two])
    return np.minimum(base * parameters.leak_scale, 0.9)


def background_of(funga: Funga, character: Character) -> Array:
    """The stored background of a character with states or marks; uniform, or 0.1 a mark, where none is stored."""
    size = len(character.states)
    stored = funga.background.get(character.id)
    if stored is not None and len(stored) == size:
        row = np.array(stored)
        return row if character.kind is CharacterKind.MARKS else np.asarray(row / row.sum())
    return np.full(size, 0.1) if character.kind is CharacterKind.MARKS else np.full(size, 1 / size)


def by_stage(scores: Mapping[tuple[str, str], Score], character_id: str) -> list[Score | None]:
    """The score at each stage of STAGES; a stage without one takes the mature score, then any other."""
    if (character_id, "") in scores:
        return [scores[character_id, ""]] * len(STAGES)
    found = {stage: scores[character_id, stage] for stage in STAGES if (character_id, stage) in scores}
    spare = found.get("mature") or next(iter(found.values()), None)
    return [found.get(stage, spare) for stage in STAGES]


@dataclass(frozen=True, slots=True)
class Scored:
    """What no parameter changes: q [stages, R, S] as the words say, known [R], how many sources stand behind it [R]."""

    q: Array
    known: NDArray[np.bool_]
    sources: NDArray[np.int_]


@lru_cache(maxsize=4)
def _scored(key: FungaKey) -> Mapping[str, Scored]:
    funga = key.funga
    entries = _entries(funga)
    found = {}
    for character in funga.characters.values():
        if character.kind in (CharacterKind.STATES, CharacterKind.MARKS):
            found[character.id] = _scored_character(funga, character, entries)
    return found


def _scored_character(funga: Funga, character: Character, entries: Sequence[Entry]) -> Scored:
    """Rows of which nothing is known hold the background; of a silent taxon, pulled to the unremarkable state."""
    to_shares = mark_chances if character.kind is CharacterKind.MARKS else state_shares
    background = background_of(funga, character)
    silent = background.copy()
    if character.if_silent:
        silent = (1 - SILENT) * background
        silent[character.state_ids.index(character.if_silent)] += SILENT
    q = np.broadcast_to(background, (len(STAGES), len(entries) + 1, background.size)).copy()
    known, sources = np.zeros(len(entries) + 1, dtype=np.bool_), np.zeros(len(entries) + 1, dtype=np.int_)
    for row, entry in enumerate(entries):
        per_stage = by_stage(entry.scores, character.id)
        if per_stage[0] is None:
            q[:, row] = silent if isinstance(entry, Taxon) else background
            continue
        known[row], sources[row] = True, published(entry, character)
        for stage, score in enumerate(per_stage):
            assert isinstance(score, StateScore)
            q[stage, row] = to_shares(score, character)
    if all(np.array_equal(q[0], q[stage]) for stage in range(1, len(STAGES))):
        q = q[:1].copy()
    return Scored(q, known, sources)


def _entries(funga: Funga) -> list[Entry]:
    return [*funga.taxa.values(), *funga.hazard_groups.values()]


def _shares(funga: Funga, character: Character, background: Array, parameters: Parameters) -> tuple[Array, Any]:
    """p [A, R, S] after the leak, and which rows are known, [R]."""
    scored = _scored(FungaKey(funga))[character.id]
    lam = np.where(scored.known, _leaks(parameters)[scored.sources], 0.0)[None, :, None]
    return (1 - lam) * scored.q + lam * background, scored.known


def _family(funga: Funga, character: Character) -> dict[str, Any]:
    """Parent and enabling states of a character, as the tables hold them."""
    if not character.parent:
        return {}
    parent = funga.characters[character.parent]
    return {"parent": parent.id, "enabled": np.array([s in character.enabled_by for s in parent.state_ids])}


def _state_table(funga: Funga, character: Character, parameters: Parameters) -> StateTable:
    background = background_of(funga, character)
    p, known = _shares(funga, character, background, parameters)
    readings = {who: reading_matrix(character, background, who, parameters) for who in CLASSES}
    coloured = all(state.lab for state in character.states)
    return StateTable(
        id=character.id,
        group=character.group,
        order=character.order,
        states=character.state_ids,
        p=p,
        background=background,
        readings=readings,
        not_applicable=_said_where_it_cannot_be(character, background @ readings["clinic"]),
        known=known,
        lab=np.array([state.lab for state in character.states]) if coloured else None,
        spread=np.array([state.spread for state in character.states]) if coloured else None,
        **_family(funga, character),
    )


def _said_where_it_cannot_be(character: Character, said: Array) -> Array:
    """What people report of a character that does not apply: nine times of ten 'none', where there is such a state."""
    none = [i for i, state in enumerate(character.state_ids) if state in ABSENT_STATES]
    if not none:
        return said
    certain = np.zeros_like(said)
    certain[none] = 1 / len(none)
    return np.asarray(NONE_SHARE * certain + (1 - NONE_SHARE) * said)


def _mark_table(funga: Funga, character: Character, parameters: Parameters) -> MarkTable:
    background = background_of(funga, character)
    p, known = _shares(funga, character, background, parameters)
    return MarkTable(
        id=character.id,
        group=character.group,
        order=character.order,
        states=character.state_ids,
        p=p,
        background=background,
        readings={who: mark_reading(character, background, who, parameters) for who in CLASSES},
        known=known,
        **_family(funga, character),
    )


def _measure_table(
    funga: Funga, character: Character, entries: Sequence[Entry], parameters: Parameters
) -> MeasureTable:
    mu_b, sd_b = funga.background.get(character.id, (3.0, 1.5))[:2]
    mu, sigma = np.full(len(entries) + 1, mu_b), np.full(len(entries) + 1, sd_b)
    known = np.zeros(len(entries) + 1, dtype=np.bool_)
    for row, entry in enumerate(entries):
        score = by_stage(entry.scores, character.id)[STAGES.index("mature")]
        if isinstance(score, MeasureScore):
            mu[row], sigma[row] = score_to_normal(score, unstated_width=parameters.unstated_width)
            known[row] = True
    return MeasureTable(
        id=character.id,
        group=character.group,
        order=character.order,
        unit=character.unit,
        mu=mu,
        sigma=sigma,
        mu_b=mu_b,
        sd_b=sd_b,
        known=known,
        measured_with=character.measured_with,
        **_family(funga, character),
    )


def _spore_rho(entries: Sequence[Entry], parameters: Parameters) -> Array:
    """Correlation of ln L and ln W per row; the last row is the background's."""
    rho = np.full(len(entries) + 1, 0.5)
    rho[-1] = 0.7
    for row, entry in enumerate(entries):
        spreads = []
        for name in ("spore_length", "spore_width", "spore_q"):
            score = entry.scores.get((name, ""))
            if isinstance(score, MeasureScore):
                spreads.append(score_to_normal(score, unstated_width=parameters.unstated_width)[1])
        if len(spreads) == 3:
            rho[row] = correlation(spreads[0], spreads[1], spreads[2])
    return rho
