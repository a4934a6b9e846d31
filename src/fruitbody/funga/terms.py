"""From what people write to the ids of the funga: hyphen or space, upper or lower case, synonyms, near misses."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping

from fruitbody.funga.model import Character, Funga


class UnknownTermError(ValueError):
    """A term that the funga does not know; `nearest` holds the terms it may have been meant for."""

    def __init__(self, kind: str, term: str, nearest: tuple[str, ...]) -> None:
        self.kind, self.term, self.nearest = kind, term, nearest
        near = f" Nearest known: {', '.join(nearest)}." if nearest else ""
        super().__init__(f"There is no {kind} called “{term}”.{near}")


def plain_key(term: str) -> str:
    """A term as a key: lower case, words joined by single hyphens.

    >>> plain_key("Joined  at Base")
    'joined-at-base'
    """
    return re.sub(r"[\s_\-–/]+", "-", term.strip().casefold()).strip("-")


def nearest(term: str, known: Iterable[str], *, most: int = 3) -> tuple[str, ...]:
    """Up to `most` known terms that look like this one, the likeliest first."""
    return tuple(difflib.get_close_matches(plain_key(term), list(known), n=most, cutoff=0.55))


def character_terms(characters: Mapping[str, Character]) -> dict[str, str]:
    """Every key by which a character may be called, ids before names before synonyms."""
    terms = {plain_key(c): c for c in characters}
    for character in characters.values():
        for word in (character.plain, *character.synonyms):
            terms.setdefault(plain_key(word), character.id)
    return terms


def state_terms(character: Character) -> dict[str, str]:
    """Every key by which a state of this character may be called."""
    terms = {plain_key(state.id): state.id for state in character.states}
    for state in character.states:
        for word in (state.plain, *state.synonyms):
            terms.setdefault(plain_key(word), state.id)
    return terms


def find_character(funga: Funga, term: str) -> Character:
    """The character called `term`. Raises UnknownTermError with the nearest ones."""
    terms = _character_terms(funga)
    key = plain_key(term)
    if key in terms:
        return funga.characters[terms[key]]
    raise UnknownTermError("character", term, nearest(term, terms))


def find_state(character: Character, term: str) -> str:
    """The id of the state called `term` in this character. Raises UnknownTermError with the nearest ones."""
    terms = state_terms(character)
    key = plain_key(term)
    if key in terms:
        return terms[key]
    close = nearest(term, terms) or tuple(character.state_ids[:6])
    raise UnknownTermError(f"state of “{character.plain}”", term, close)


_CACHE: dict[str, dict[str, str]] = {}


def _character_terms(funga: Funga) -> dict[str, str]:
    if funga.digest not in _CACHE:
        _CACHE[funga.digest] = character_terms(funga.characters)
    return _CACHE[funga.digest]
