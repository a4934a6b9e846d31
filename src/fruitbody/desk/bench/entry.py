"""One line of typed words as a finding: "cap width 62", "gill attachment free", "not decurrent", "spore length 9 n 30".

Pure. `read_entry` finds the character and hands the rest to `read_value`; both give the fields that
`fruitbody.examine.parse.parse_finding` reads, which judges numbers and states.

    ?        looked, could not tell          x why    cannot be seen on this material, and why
    -        not looked for                  not ...  it is not this
    a or b   one of these                    a and b  both (marks)
    #b       on fruit body b                 n 30     so many measured       ± 0.4   expanded uncertainty
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from fruitbody.desk.bench.notebook_errors import NotebookError
from fruitbody.funga.model import Character, CharacterKind, Funga
from fruitbody.funga.terms import character_terms, find_character, find_state, plain_key, state_terms

NUMBER = r"[-−]?\d+(?:[.,]\d+)?"
RANGE = re.compile(rf"({NUMBER})(?:\s*(?:to|-|–)\s*({NUMBER}))?\s*([a-zµμ\"″/]*)\.?", re.IGNORECASE)
FRUIT_BODY = re.compile(r"(?:^|\s)#([a-z0-9]{1,8})(?=\s|$)", re.IGNORECASE)
COUNT = re.compile(rf"(?:^|(?<=\s))n\s*=?\s*({NUMBER})(?=\s|$)", re.IGNORECASE)
UNCERTAINTY = re.compile(rf"\s*(?:±|\+-|\+/-)\s*({NUMBER})")
TO_MM = {"": 1.0, "mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, '"': 25.4, "″": 25.4}
TO_UM = {"": 1.0, "µm": 1.0, "μm": 1.0, "um": 1.0, "µ": 1.0, "mm": 1000.0}
MOST_SUGGESTED = 12

Fields = dict[str, Any]


def called(character: Character) -> str:
    """The short name by which the bench types a character: 'gill attachment'."""
    return character.id.replace("_", " ")


def read_entry(funga: Funga, text: str) -> Fields:
    """The fields of the finding that somebody typed in one line.

    Raises NotebookError or UnknownTermError with a sentence where character or value cannot be found.
    """
    words = text.split()
    if not words:
        raise NotebookError("Write what you looked at and what you saw, for instance “cap width 62”.")
    character, rest = _split(funga, words)
    if character is not None:
        return read_value(character, " ".join(rest))
    return _by_state(funga, words)


def read_value(character: Character, text: str) -> Fields:
    """The fields of a finding on a character that is known already, from the words typed on its line."""
    body, text = _taken(FRUIT_BODY, text)
    fields: Fields = {"character": character.id}
    if body:
        fields["fruit_body"] = body.lower()
    text = text.strip()
    if not text:
        raise NotebookError(f"Say what you saw of “{character.plain}”, or ? where it could not be told.")
    answer = _answer(text)
    if answer:
        return fields | answer
    if character.kind is CharacterKind.MEASURE:
        return fields | _measure(character, text)
    return fields | _states(character, text)


def suggestions(funga: Funga, text: str, *, most: int = MOST_SUGGESTED) -> list[str]:
    """Whole entries that begin as typed, for a list under the entry line."""
    words = text.split()
    if not words:
        return []
    character, rest = _split(funga, words)
    if character is not None and character.states:
        typed = plain_key(" ".join(rest)).removeprefix("not-")
        said = "not " if rest[:1] == ["not"] else ""
        fitting = [s for s in character.states if not typed or any(typed in plain_key(w) for w in (s.id, s.plain))]
        found = [f"{called(character)} {said}{state.plain}" for state in fitting]
    else:
        found = []
    key = plain_key(text)
    for other in funga.characters.values():
        names = (called(other), other.plain, *other.synonyms)
        if other is not character and any(key in plain_key(name) for name in names):
            found.append(called(other))
    return list(dict.fromkeys(found))[:most]


def _split(funga: Funga, words: Sequence[str]) -> tuple[Character | None, list[str]]:
    """The character that the first words name, the longest name first, and the words after it."""
    terms = character_terms(funga.characters)
    for length in range(len(words), 0, -1):
        found = terms.get(plain_key(" ".join(words[:length])))
        if found and plain_key(words[length - 1]):
            return funga.characters[found], list(words[length:])
    return None, list(words)


def _by_state(funga: Funga, words: list[str]) -> Fields:
    """A state alone: 'not decurrent'. It must be a word of one character only."""
    said_not = words[0].lower() == "not"
    body, value = _taken(FRUIT_BODY, " ".join(words[1:] if said_not else words))
    key = plain_key(value)
    owners = [c for c in funga.characters.values() if c.states and key in state_terms(c)]
    if len(owners) > 1:
        listed = ", ".join(f"{called(c)} {value}" for c in owners[:4])
        raise NotebookError(f"“{value}” is said of several things. Say of which: {listed} …")
    if not owners:
        # Words before the first number are what was meant as the character; the core names the nearest.
        head = re.split(r"\s(?=[-−?#\d])", value, maxsplit=1)[0]
        find_character(funga, head)
    fields: Fields = {"character": owners[0].id, "value": key, "not": said_not}
    return fields | ({"fruit_body": body.lower()} if body else {})


def _answer(text: str) -> Fields:
    if text == "?":
        return {"answer": "could-not-tell"}
    if text in ("-", "–", "−"):
        return {"answer": "not-looked-for"}
    seen = re.match(r"x(?:\s+(.*))?$", text, re.IGNORECASE)
    if seen:
        if not seen[1]:
            raise NotebookError("Say after the x why it cannot be seen, for instance “x foot cut off”.")
        return {"answer": "cannot-be-seen", "why": seen[1][:200]}
    return {}


def _measure(character: Character, text: str) -> Fields:
    uncertainty, text = _taken(UNCERTAINTY, text)
    count, text = _taken(COUNT, text)
    if plain_key(text) in ("absent", "none"):
        return {"answer": "absent"}
    match = RANGE.fullmatch(text.strip())
    if not match:
        raise NotebookError(f"“{character.plain}” is a number in {character.unit}, not “{text.strip()}”.")
    factor = _factor(character, match[3].lower())
    numbers = [round(_number(part) * factor, 6) for part in match.groups()[:2] if part]
    fields: Fields = {"value": numbers if len(numbers) == 2 else numbers[0]}
    if uncertainty:
        fields["uncertainty"] = round(_number(uncertainty) * factor, 6)
    if count:
        number = _number(count)
        fields["n"] = int(number) if number.is_integer() else number
    return fields


def _factor(character: Character, unit: str) -> float:
    if unit in ("", character.unit.lower()):
        return 1.0
    known = TO_MM if character.unit == "mm" else TO_UM if character.unit == "µm" else {}
    if unit not in known:
        raise NotebookError(f"“{character.plain}” is told in {character.unit}, not in “{unit}”. Type it in that unit.")
    return known[unit]


def _states(character: Character, text: str) -> Fields:
    words, terms = text.split(), state_terms(character)
    # “not open yet” is a state of its own; only other words after a “not” are denied.
    negated = words[0].lower() == "not" and len(words) > 1 and plain_key(text) not in terms
    text = " ".join(words[1:]) if negated else text
    if plain_key(text) in terms:
        return {"value": terms[plain_key(text)], "not": negated}
    if plain_key(text) == "absent":
        return {"answer": "absent"}
    several = re.split(r"\s+or\s+|\s*\|\s*", text)
    if len(several) > 1:
        return {"value": [find_state(character, part) for part in several], "not": negated}
    together = re.split(r"\s+and\s+|\s*[,;+]\s*", text)
    if len(together) > 1:
        return {"value": [find_state(character, part) for part in together], "not": negated, "each": True}
    return {"value": find_state(character, text), "not": negated}


def _taken(pattern: re.Pattern[str], text: str) -> tuple[str, str]:
    """What the pattern holds, and the text without it."""
    match = pattern.search(text)
    if not match:
        return "", text
    return match[1], f"{text[: match.start()]} {text[match.end() :]}".strip()


def _number(text: str) -> float:
    return float(text.replace(",", ".").replace("−", "-"))
