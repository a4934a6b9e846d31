"""How a specimen departs from its kind, several characters at once: age, weather, size (R2); the parcel's fate (R3)."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import numpy as np

from fruitbody.funga.model import ABSENT_STATES, Funga
from fruitbody.identify.tables import Model, StateTable
from fruitbody.identify.trial.seeing import Bools, Truth

ODD_ORGAN = 0.06
"""Chance that a whole group of characters looks like another kind's."""
STRUCTURE = ("form", "hymenium", "spores", "tissue", "place", "host", "growth")
"""Groups whose characters neither age nor weather change together."""
AGED_SHAPES = {"young": ("hemispherical", "egg"), "past": ("flat", "depressed")}
FADES_PAST, FADES_WET, FADES_DRY = 0.35, 0.25, 0.25


def depart(known: Funga, model: Model, truth: Truth, other: Callable[[], Truth], rng: np.random.Generator) -> Truth:
    """Age, weather and size at work on one collection; now and then a whole group of characters as in another kind."""
    states, marks = dict(truth.states), dict(truth.marks)
    weather = ("dry", "usual", "wet")[int(rng.choice(3, p=(0.25, 0.5, 0.25)))]
    fade = {"dry": FADES_DRY, "wet": FADES_WET}.get(weather, 0.0) + (FADES_PAST if truth.age == "past" else 0.0)
    for name, state in truth.states.items():
        character = known.characters[name]
        colour = name.endswith("_colour") and name != "deposit_colour"
        near = character.near.get(character.state_ids[state], ())
        if colour and near and rng.random() < fade:
            states[name] = character.state_ids.index(near[int(rng.integers(len(near)))])
    _age(known, truth.age, states, rng)
    _weather(known, weather, states, marks, rng)
    size = float(rng.normal(0, 0.25)) - (0.5 * rng.random() if truth.age == "young" else 0.0)
    means = {n: mean + (size if model.tables[n].group == "size" else 0.0) for n, mean in truth.means.items()}
    for group in dict.fromkeys(table.group for table in model.tables.values()):
        if rng.random() < ODD_ORGAN and group not in STRUCTURE:
            swap(model, states, other(), group)
    return dataclasses.replace(truth, states=states, marks=marks, means=means)


def swap(model: Model, states: dict[str, int], other: Truth, group: str) -> None:
    """Take over another fruit body's states of one group, where both have the character."""
    for name in states:
        if model.tables[name].group == group and name in other.states and not model.children.get(name):
            states[name] = other.states[name]


def _age(known: Funga, age: str, states: dict[str, int], rng: np.random.Generator) -> None:
    chances = {"cap_shape": 0.5, "ring": 0.3, "volva": 0.1, "smell": 0.25, "flesh_change": 0.2, "milk": 0.2}
    for name, chance in chances.items():
        hit = rng.random() < chance
        if name not in states or not hit:
            continue
        ids = known.characters[name].state_ids
        ways = AGED_SHAPES if name == "cap_shape" else {"past": ABSENT_STATES}
        to = [state for state in ways.get(age, ()) if state in ids]
        if to:
            states[name] = ids.index(to[int(rng.integers(len(to)))])


def _weather(
    known: Funga, weather: str, states: dict[str, int], marks: dict[str, Bools], rng: np.random.Generator
) -> None:
    draws = rng.random(2)
    ids = known.characters["cap_touch"].state_ids
    if "cap_touch" in states and weather == "dry" and draws[0] < 0.7:
        states["cap_touch"] = ids.index("dry")
    if "cap_touch" in states and weather == "wet" and draws[0] < 0.4:
        states["cap_touch"] = min(states["cap_touch"] + 1, len(ids) - 1)
    loose = known.characters["cap_surface"].state_ids.index("patches")
    if "cap_surface" in marks and weather == "wet" and draws[1] < 0.5:
        marks["cap_surface"] = marks["cap_surface"].copy()
        marks["cap_surface"][loose] = False


def wrong_body(model: Model, truth: Truth, other: Truth, rng: np.random.Generator) -> Truth:
    """One group's characters, or all that the microscope shows, were seen on another fruit body."""
    groups = list(dict.fromkeys(model.tables[name].group for name in truth.states))
    group = groups[int(rng.integers(len(groups)))]
    taken = ("spores", "tissue") if group in ("spores", "tissue") else (group,)
    states, means = dict(truth.states), dict(truth.means)
    for name in truth.states:
        table = model.tables[name]
        if table.group in taken and name in other.states and isinstance(table, StateTable):
            states[name] = other.states[name]
    for name in truth.means:
        if model.tables[name].group in taken and name in other.means:
            means[name] = other.means[name]
    return dataclasses.replace(truth, states=states, means=means)
