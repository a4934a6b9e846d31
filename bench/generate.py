"""Fungas of any size, grown from the real one by shuffling its scores: for measuring speed, never for naming."""

from __future__ import annotations

import dataclasses

import numpy as np

from fruitbody.examine.finding import Finding, Measured
from fruitbody.funga.model import CharacterKind, Funga, Genus, MeasureScore, StateScore, Taxon


def generated_funga(known: Funga, size: int, *, seed: int = 1) -> Funga:
    """A funga of `size` taxa in genera of about twenty: each taxon mixes the scores of two real ones."""
    rng = np.random.default_rng(seed)
    real = list(known.taxa.values())
    genera = {f"Genus{g}": Genus(f"Genus{g}", f"Family{g // 5}", "", {}, "generated") for g in range(size // 20 + 1)}
    taxa: dict[str, Taxon] = {}
    for number in range(size):
        base = real[int(rng.integers(len(real)))]
        scores = dict(base.scores)
        donor = real[int(rng.integers(len(real)))]
        for key, score in donor.scores.items():
            if key in scores and rng.random() < 0.4:
                scores[key] = score
        genus = f"Genus{number // 20}"
        taxa[f"t{number}"] = dataclasses.replace(
            base, id=f"t{number}", name=f"{genus} {number}", genus=genus, family=genera[genus].family, scores=scores
        )
    return dataclasses.replace(known, taxa=taxa, genera=genera, digest=f"generated {size} {seed}")


def findings_of(known: Funga, taxon: Taxon, count: int, *, seed: int = 2) -> tuple[Finding, ...]:
    """`count` findings that fit a taxon: its usual states, the middle of its ranges."""
    rng = np.random.default_rng(seed)
    keys = [key for key in taxon.scores if known.characters[key[0]].kind is not CharacterKind.STAGE]
    rng.shuffle(keys)
    found = []
    for character, stage in keys[:count]:
        score = taxon.scores[character, stage]
        if isinstance(score, MeasureScore):
            middle = (score.low * score.high) ** 0.5
            found.append(Finding(character, measured=Measured(middle, uncertainty=0.1 * middle), stage=stage))
        elif isinstance(score, StateScore) and score.mostly:
            found.append(Finding(character, states=score.mostly[:1], stage=stage))
    return tuple(found)
