"""The background of each character: what an unknown kind shows. Stored, not recomputed as taxa come and go."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from fruitbody.funga.model import Character, CharacterKind, Funga, MeasureScore, Score, StateScore
from fruitbody.funga.weights import mark_chances, state_shares

TAXA_SHARE = 0.9
MARK_FLAT = 0.1


def background_toml(known: Funga) -> str:
    """The table as TOML: mean over taxa for which the character is known, mixed 9 : 1 with uniform (engine §1.3).

    Measures hold mean and standard deviation of ln x.
    """
    lines = [
        "# Background of each character. Made once from the taxa by `fruitbody funga background`, then kept.",
        "[background]",
    ]
    for character in known.characters.values():
        taxa = [[s for (c, _), s in t.scores.items() if c == character.id] for t in known.taxa.values()]
        scored = [scores for scores in taxa if scores]
        if not scored or character.kind is CharacterKind.STAGE:
            continue
        row = _measure_row(scored) if character.kind is CharacterKind.MEASURE else _state_row(character, scored)
        lines.append(f"{character.id} = [{', '.join(f'{value:.5f}' for value in row)}]")
    return "\n".join(lines) + "\n"


def _state_row(character: Character, scored: Sequence[Sequence[Score]]) -> list[float]:
    """Mean over taxa; a taxon scored by stage counts once, with the mean of its stages."""
    marks = character.kind is CharacterKind.MARKS
    to_shares = mark_chances if marks else state_shares
    rows = [
        np.mean([to_shares(score, character) for score in scores if isinstance(score, StateScore)], axis=0)
        for scores in scored
    ]
    flat = MARK_FLAT if marks else 1 / len(character.states)
    mixed = TAXA_SHARE * np.mean(rows, axis=0) + (1 - TAXA_SHARE) * flat
    return [float(value) for value in (mixed if marks else mixed / mixed.sum())]


def _measure_row(scored: Sequence[Sequence[Score]]) -> list[float]:
    """Mean and standard deviation of ln x over taxa, the width of each range included; at least 0.25."""
    flat = [scores[-1] for scores in scored]
    mids = [
        (0.5 * math.log(s.low * s.high), math.log(s.high / s.low) / 3.3) for s in flat if isinstance(s, MeasureScore)
    ]
    mean = sum(mid for mid, _ in mids) / len(mids)
    variance = sum((mid - mean) ** 2 + spread**2 for mid, spread in mids) / len(mids)
    return [mean, max(math.sqrt(variance), 0.25)]
