"""How our characters stand in the columns of a NEXUS matrix, there and back.

NEXUS (Maddison, Swofford and Maddison 1997, Systematic Biology 46: 590–621) gives a column exclusive states with a
symbol each. So a character with exclusive states is one column; one whose marks go together, or that has more states
than there are symbols, is one column with the states absent and present for each of them; a measure is a column of
size classes. What columns cannot say stands in notes.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from fruitbody.funga.cells import number_words
from fruitbody.funga.model import Character, CharacterKind, MeasureScore, Score, StateScore

SYMBOLS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
"""A NEXUS symbol means the same in either case, so there are 36."""
YES_NO = ("absent", "present")
R10 = (1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0)
"""Preferred numbers of the series R10 (ISO 3, from memory), for one decade."""
Entry = frozenset[int] | None
"""Indices of the states that a taxon may show in a column; None where it is not scored."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column. states: its state labels; state: the state it asks for, where it is a column of absent and present;
    bounds: between its size classes, in the unit of the character."""

    character: Character
    states: tuple[str, ...]
    state: str = ""
    bounds: tuple[float, ...] = ()

    @property
    def label(self) -> str:
        return f"{self.character.id}: {self.state}" if self.state else self.character.id


def columns_of(character: Character) -> tuple[Column, ...]:
    """The columns that a character takes."""
    if character.kind is CharacterKind.MEASURE:
        return (_classes(character),)
    if character.kind is CharacterKind.MARKS or len(character.states) > len(SYMBOLS):
        return tuple(Column(character, YES_NO, state) for state in character.state_ids)
    return (Column(character, character.state_ids),)


def _classes(character: Character) -> Column:
    least, most = character.possible or (1.0, 10.0)
    for step in (1, 2):
        series = [round(n * 10.0**decade, 6) for decade in range(-3, 5) for n in R10[::step]]
        bounds = tuple(bound for bound in series if least < bound < most)
        if len(bounds) < len(SYMBOLS):
            break
    unit = character.unit.replace("µ", "u").replace("ratio", "").strip()
    words = [number_words(bound) for bound in bounds]
    labels = [f"under {words[0]}", *(f"{a}-{b}" for a, b in pairwise(words)), f"over {words[-1]}"]
    return Column(character, tuple(f"{label} {unit}".strip() for label in labels), bounds=bounds)


def entries_of(columns: Sequence[Column], stages: Mapping[str, Score]) -> tuple[Entry, ...]:
    """What a scored taxon has in the columns of a character. stages: stage -> score, taken together."""
    ranges = [score for score in stages.values() if isinstance(score, MeasureScore)]
    if ranges:
        return (frozenset(index for score in ranges for index in _covered(columns[0].bounds, score)),)
    scores = [score for score in stages.values() if isinstance(score, StateScore)]
    possible = {state for score in scores for state in (*score.mostly, *score.at_times, *score.seldom)}
    if not columns[0].state:
        return (frozenset(columns[0].states.index(state) for state in possible) or None,)
    if columns[0].character.kind is CharacterKind.MARKS:
        return tuple(_mark(column.state, scores) for column in columns)
    nevers = {state for score in scores for state in score.never} - possible
    return tuple(_one_of_many(column.state, possible, nevers) for column in columns)


def _covered(bounds: Sequence[float], score: MeasureScore) -> range:
    first = bisect_right(bounds, score.low)
    return range(first, max(first, bisect_left(bounds, score.high)) + 1)


def _mark(mark: str, scores: Sequence[StateScore]) -> Entry:
    """Present where it usually is, both where it is so at times, absent where a scored surface does not list it."""
    usual = [mark in score.mostly for score in scores]
    if all(usual):
        return frozenset({1})
    rare = any(mark in (*score.at_times, *score.seldom) for score in scores)
    return frozenset({0, 1}) if rare or any(usual) else frozenset({0})


def _one_of_many(state: str, possible: set[str], nevers: set[str]) -> Entry:
    if state in possible:
        return frozenset({1}) if len(possible) == 1 else frozenset({0, 1})
    return frozenset({0}) if state in nevers else None


def cell_of(columns: Sequence[Column], entries: Sequence[Entry]) -> str:
    """The cell that a matrix alone says of a character; '' for nothing. A size class is too coarse to be a score."""
    character = columns[0].character
    if character.kind is CharacterKind.MEASURE:
        return ""
    if not columns[0].state:
        return "|".join(columns[0].states[index] for index in sorted(entries[0] or ()))
    seen = {column.state: entry for column, entry in zip(columns, entries, strict=True) if entry and 1 in entry}
    if character.kind is not CharacterKind.MARKS:
        return "|".join(seen)
    mostly = "|".join(state for state, entry in seen.items() if 0 not in entry)
    at_times = "|".join(state for state, entry in seen.items() if 0 in entry)
    return "; ".join(part for part in (mostly, f"at times: {at_times}" if at_times else "") if part)
