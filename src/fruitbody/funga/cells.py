"""A score in one cell of a table, as people write it: 'white|cream; at times: yellow' and '(4–) 6–12 (–15) µm'.

The same words stand in the cells of our CSV layout and in the notes of our NEXUS files.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from fruitbody.funga.model import STAGES, Character, CharacterKind, MeasureScore, Score, Taxon
from fruitbody.funga.reading import CONVENTIONS, SCORE_WORDS
from fruitbody.funga.terms import UnknownTermError, find_state, nearest

Complain = Callable[[str], None]
"""Takes one sentence on what is wrong with a cell."""

BETWEEN_STAGES = " // "
WORDS = {word.replace("_", " "): word for word in SCORE_WORDS}
"""The words of a score as they are written in a cell -> as the files have them."""
_NUMBER = r"\d+(?:\.\d+)?"
_DASH = r"\s*[–—-]\s*"
_RANGE = re.compile(
    rf"(?:\(({_NUMBER}){_DASH}\)\s*)?({_NUMBER}){_DASH}({_NUMBER})(?:\s*\({_DASH}({_NUMBER})\))?"
    r"\s*([^\[\]]*?)\s*(?:\[(.+)\])?"
)


def number_words(value: float) -> str:
    """A number without a needless '.0'.

    >>> number_words(6.0), number_words(6.25)
    ('6', '6.25')
    """
    return str(int(value)) if value == int(value) else repr(value)


def scores_by_character(taxon: Taxon) -> dict[str, dict[str, Score]]:
    """The scores of a taxon as character id -> stage ('' for all) -> score."""
    found: dict[str, dict[str, Score]] = {}
    for (character, stage), score in taxon.scores.items():
        found.setdefault(character, {})[stage] = score
    return found


def score_cell(stages: Mapping[str, Score], character: Character) -> str:
    """The cell that says these scores (stage -> score); `parse_score` reads it back without loss."""
    parts = []
    for stage, score in stages.items():
        words = _range_cell(score, character.unit) if isinstance(score, MeasureScore) else _state_cell(score)
        parts.append(f"{stage}: {words}" if stage else words)
    return BETWEEN_STAGES.join(parts)


def _state_cell(score: Score) -> str:
    parts = []
    for words, field in WORDS.items():
        states = getattr(score, field)
        if states:
            parts.append("|".join(states) if field == "mostly" else f"{words}: {'|'.join(states)}")
    return "; ".join(parts)


def _range_cell(score: MeasureScore, unit: str) -> str:
    least = f"({number_words(score.min)}–) " if score.min is not None else ""
    most = f" (–{number_words(score.max)})" if score.max is not None else ""
    convention = f" [{score.convention}]" if score.convention != "unstated" else ""
    tail = f" {unit}" if unit != "ratio" else ""
    return f"{least}{number_words(score.low)}–{number_words(score.high)}{most}{tail}{convention}"


def parse_score(text: str, character: Character, complain: Complain) -> dict[str, Any]:
    """The score table that a cell says, as the TOML files have it. Mistakes go to `complain`, a sentence each."""
    staged: dict[str, dict[str, Any]] = {}
    parts = [part.strip() for part in text.split("//")]
    for part in parts:
        stage, colon, rest = part.partition(":")
        name = stage.strip().casefold()
        if colon and name in STAGES:
            if name in staged:
                complain(f"the stage “{name}” stands twice.")
            staged[name] = _parse_part(rest, character, complain)
        elif len(parts) > 1:
            complain(f"“{part}” must begin with its stage: young, mature or past, and a colon.")
    return staged if staged or len(parts) > 1 else _parse_part(text, character, complain)


def _parse_part(text: str, character: Character, complain: Complain) -> dict[str, Any]:
    if character.kind is CharacterKind.MEASURE:
        return _parse_range(text.strip(), character, complain)
    return _parse_states(text, character, complain)


def _parse_states(text: str, character: Character, complain: Complain) -> dict[str, list[str]]:
    score: dict[str, list[str]] = {}
    for clause in text.split(";"):
        label, colon, rest = clause.partition(":")
        word = WORDS.get(" ".join(label.replace("_", " ").split()).casefold(), "") if colon else "mostly"
        if not word:
            complain(f"“{label.strip()}” is no word of a score. Use {', '.join(WORDS)}.")
            continue
        if word in score:
            complain(f"“{word.replace('_', ' ')}” stands twice.")
        score[word] = list(_states(rest if colon else clause, character, complain))
    return score


def _states(text: str, character: Character, complain: Complain) -> Iterable[str]:
    for name in text.split("|"):
        if not name.strip():
            complain("a state is missing before or after “|” or “;”.")
            continue
        if name.strip() in character.state_ids:
            yield name.strip()
            continue
        try:
            yield find_state(character, name.strip())
        except UnknownTermError as error:
            complain(str(error))


def _parse_range(text: str, character: Character, complain: Complain) -> dict[str, Any]:
    found = _RANGE.fullmatch(text)
    if found is None:
        hint = " Write decimals with a point." if re.search(r"\d,\d", text) else ""
        complain(f"“{text}” is no range. Write it like 6–12 or (4–) 6–12 (–15), in {character.unit}.{hint}")
        return {}
    least, low, high, most, unit, convention = found.groups()
    if unit and unit.replace("um", "µm").replace("μ", "µ") != character.unit:
        complain(f"“{unit}” is not the unit of “{character.plain}”: give it in {character.unit}.")
    if convention and convention not in CONVENTIONS:
        complain(f"there is no convention “{convention}”.{_near(convention, CONVENTIONS)}")
    score: dict[str, Any] = {
        key: float(value)
        for key, value in (("min", least), ("low", low), ("high", high), ("max", most))
        if value is not None
    }
    return {**score, "convention": convention} if convention and convention != "unstated" else score


def _near(term: str, known: Iterable[str]) -> str:
    close = nearest(term, known)
    return f" The nearest known: {', '.join(close)}." if close else ""
