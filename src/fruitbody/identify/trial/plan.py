"""Who looks at what: the three depths at which a specimen is examined (common practice of a clinic's bench)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fruitbody.examine.finding import Observer, SeenOn
from fruitbody.funga.model import Character, CharacterKind, Funga

DEPTHS = ("poor", "macroscopic", "microscopy")
"""Poor submission: a finder's pictures and words. Macroscopic bench: a diagnostician with the material. Microscopy: the
bench, and spores and tissue as well."""

FINDER_TELLS = {
    "form": 1.0, "growth_habit": 0.5, "hymenium": 0.8, "cap_colour": 0.9, "body_colour": 0.9, "cap_width": 0.6,
    "body_width": 0.5, "body_height": 0.3, "stem": 0.6, "stem_colour": 0.4, "gill_colour": 0.4, "pore_colour": 0.4,
    "ring": 0.4, "volva": 0.15, "cap_surface": 0.4, "cap_shape": 0.4, "substrate": 0.9, "host": 0.5, "fairy_ring": 0.3,
    "tree_state": 0.4, "place_on_tree": 0.5, "smell": 0.2, "flesh_change": 0.1, "bracket_join": 0.4,
}  # fmt: skip
"""Chance that a finder says something of a character; others that are asked of finders have FINDER_ELSE."""
FINDER_ELSE = 0.08
SELDOM_LOOKED = {"cap_peel": 0.1, "drops": 0.3, "stage": 0.0, "spore_q": 0.0, "taste": 0.0}
"""Characters that the bench looks at more seldom than `_bench_chance` says."""
SECOND_LOOK = {"hymenium": 0.15, "deposit_colour": 0.15, "spore_ornament": 0.25, "spore_shape": 0.15}
"""Chance that a second reader, or a second preparation, looks at the same character again."""


@dataclass(frozen=True, slots=True)
class Ask:
    """One look at one character: by whom, on what; again: a second pair of eyes follows."""

    character: str
    by: Observer
    seen_on: SeenOn
    again: bool = False


def plan(known: Funga, depth: str, rng: np.random.Generator) -> list[Ask]:
    """What is looked at, in the order of the files. It does not depend on what the specimen is."""
    asks = []
    for character in known.characters.values():
        if character.kind is CharacterKind.STAGE:
            continue
        if depth == "poor":
            ask = _of_finder(character, rng, on_place=False)
        elif "place" in character.needs:
            ask = _of_finder(character, rng, on_place=True)
        else:
            ask = _at_bench(character, rng, depth)
        if ask is not None:
            asks.append(ask)
    return asks


def _of_finder(character: Character, rng: np.random.Generator, *, on_place: bool) -> Ask | None:
    chance = FINDER_TELLS.get(character.id, FINDER_ELSE if character.ask_finder else 0.0)
    if on_place:
        chance = min(1.2 * chance, 1.0)
    on_photo = rng.random() < 0.6
    if rng.random() >= chance:
        return None
    by_desk = on_photo and rng.random() < 0.5
    by = Observer.DIAGNOSTICIAN if by_desk else Observer.FINDER
    return Ask(character.id, by, SeenOn.PHOTO if on_photo else SeenOn.TOLD)


def _at_bench(character: Character, rng: np.random.Generator, depth: str) -> Ask | None:
    draw, twice = rng.random(), rng.random()
    if draw >= _bench_chance(character, depth):
        return None
    again = twice < SECOND_LOOK.get(character.id, 0.0)
    return Ask(character.id, Observer.DIAGNOSTICIAN, SeenOn.MATERIAL, again)


def _bench_chance(character: Character, depth: str) -> float:
    if character.id in SELDOM_LOOKED:
        return SELDOM_LOOKED[character.id]
    if "microscope" in character.needs:
        return 0.0 if depth != "microscopy" else (1.0 if character.measured_with else 0.75)
    if "reagent" in character.needs:
        return 0.3
    if character.id in ("form", "hymenium", "stem"):
        return 1.0
    if "deposit" in character.needs:
        return 0.7
    return 0.7 if character.vanishes else 0.85
