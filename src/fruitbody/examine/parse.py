"""From what a person or a file wrote to a Finding: terms, synonyms, units, impossible numbers."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from fruitbody.examine.finding import Answer, Finding, FindingError, Measured, Observer, SeenOn, Soft
from fruitbody.funga.model import ABSENT_STATES, STAGES, Character, CharacterKind, Funga
from fruitbody.funga.terms import UnknownTermError, find_character, find_state, nearest, plain_key

FIELDS = (
    "character", "value", "each", "not", "by", "seen_on", "fruit_body", "part", "stage",
    "answer", "uncertainty", "n", "why", "note", "person", "preparation", "soft", "trained_on", "lab",
)  # fmt: skip


def parse_finding(funga: Funga, entry: Mapping[str, Any]) -> Finding:
    """Read one finding as a file or form gives it (keys: docs/identify.md).

    Raises UnknownTermError for a word the funga does not know, FindingError for a value that cannot be.
    """
    if not isinstance(entry, Mapping):
        raise FindingError("A finding is a table with “character” and “value”.")
    for key in entry:
        if key not in FIELDS:
            raise FindingError(f"A finding has no field “{key}”. {_did_you_mean(key, FIELDS)}")
    for key in ("each", "not"):
        if not isinstance(entry.get(key, False), bool):
            raise FindingError(f"“{key}” is true or false, not “{entry[key]}”.")
    if not isinstance(entry.get("character"), str):
        raise FindingError("Every finding needs “character”, the name of what was looked at.")
    character = find_character(funga, entry["character"])
    answer = _word(entry, "answer", Answer, Answer.PRESENT)
    stage = _stage(funga, str(entry.get("stage", "")))
    common: dict[str, Any] = {
        "character": character.id,
        "answer": answer,
        "by": _word(entry, "by", Observer, Observer.DIAGNOSTICIAN),
        "seen_on": _word(entry, "seen_on", SeenOn, SeenOn.MATERIAL),
        "stage": stage,
        **{key: str(entry.get(key, "")) for key in ("fruit_body", "part", "why", "person", "preparation")},
    }
    if "soft" in entry or "lab" in entry:
        return Finding(**common, soft=_soft(character, entry))
    if answer not in (Answer.PRESENT, Answer.ABSENT):
        return Finding(**common)
    if answer is Answer.ABSENT and entry.get("value") is None:
        return Finding(**common, **_absent(character))
    if entry.get("value") is None:
        raise FindingError(
            f"The finding on “{character.id}” has no value. Give one, or an answer such as “not-looked-for”."
        )
    if character.kind is CharacterKind.MEASURE:
        return Finding(**common, measured=_measured(character, entry))
    negated = bool(entry.get("not", False)) != (answer is Answer.ABSENT)
    states = _states(character, entry["value"])
    each = bool(entry.get("each", False))
    if each and character.kind is not CharacterKind.MARKS and len(states) > 1:
        raise FindingError(f"Only marks can be there all at once; “{character.plain}” has one state. Leave “each” out.")
    return Finding(**common, states=states, negated=negated, each=each)


def parse_findings(
    funga: Funga, entries: Sequence[Mapping[str, Any]], *, lenient: bool = False
) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """All findings of a file. With `lenient`, those with unknown terms are set aside and returned as sentences."""
    findings: list[Finding] = []
    set_aside: list[str] = []
    for position, entry in enumerate(entries, start=1):
        try:
            findings.append(parse_finding(funga, entry))
        except UnknownTermError as error:
            if not lenient:
                raise FindingError(f"Finding {position}: {error}") from error
            set_aside.append(f"Finding {position}: {error}")
        except FindingError as error:
            raise FindingError(f"Finding {position}: {error}") from error
    return tuple(findings), tuple(set_aside)


def _word(entry: Mapping[str, Any], key: str, words: Any, default: Any) -> Any:
    if key not in entry or entry[key] in ("", None):
        return default
    term = plain_key(str(entry[key]))
    try:
        return words(term)
    except ValueError:
        known = [word.value for word in words]
        raise FindingError(f"“{entry[key]}” is no word for “{key}”. Known: {', '.join(known)}.") from None


def _did_you_mean(term: str, known: Iterable[str]) -> str:
    close = nearest(term, known)
    return f"Did you mean {close[0]}?" if close else f"Known: {', '.join(known)}."


def _stage(funga: Funga, term: str) -> str:
    if not term or term in STAGES:
        return term
    stage = funga.characters["stage"]
    return stage.state(find_state(stage, term)).stands_for


def _absent(character: Character) -> dict[str, Any]:
    """What *absent* says: the state that stands for nothing, or none of the marks."""
    if character.kind is CharacterKind.MARKS:
        return {"states": character.state_ids, "negated": True}
    for state in ABSENT_STATES:
        if state in character.state_ids:
            return {"states": (state,)}
    raise FindingError(f"“{character.plain}” cannot be absent. Say what was seen, or that it could not be told.")


def _states(character: Character, value: Any) -> tuple[str, ...]:
    values = value if isinstance(value, list | tuple) else [value]
    if not values:
        raise FindingError(f"The list of states for “{character.id}” is empty. Name at least one.")
    found = tuple(find_state(character, str(item)) for item in values)
    return tuple(dict.fromkeys(found))


def _number(character: Character, value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise FindingError(f"“{character.plain}” is a number in {character.unit}, not “{value}”.")
    least, most = character.possible or (0.0, math.inf)
    if not least <= value <= most:
        raise FindingError(
            f"{character.plain.capitalize()}: {value:g} {character.unit} cannot be; "
            f"it lies outside {least:g} to {most:g} {character.unit}. Check the unit and type it again."
        )
    return float(value)


def _measured(character: Character, entry: Mapping[str, Any]) -> Measured:
    value, u, n = entry["value"], entry.get("uncertainty"), entry.get("n")
    if n is not None and (isinstance(n, bool) or not isinstance(n, int) or n < 1):
        raise FindingError(f"“n” says how many were measured: a whole number from 1, not “{n}”.")
    if u is not None and (isinstance(u, bool) or not isinstance(u, int | float) or not 0 <= u < math.inf):
        raise FindingError(f"“uncertainty” is half the width of the interval, in {character.unit}, not “{u}”.")
    if not isinstance(value, list | tuple):
        return Measured(_number(character, value), None, u, n)
    if len(value) != 2:
        raise FindingError(f"A range for “{character.id}” has two numbers, the smaller first.")
    low, high = (_number(character, item) for item in value)
    if low > high:
        raise FindingError(
            f"The range {low:g} to {high:g} {character.unit} runs backwards. Put the smaller number first."
        )
    return Measured(low, high if high > low else None, u, n)


def _soft(character: Character, entry: Mapping[str, Any]) -> Soft:
    if character.kind is not CharacterKind.STATES:
        raise FindingError(f"Soft evidence needs a character with states; “{character.id}” has none.")
    if "lab" in entry:
        return _colour(character, entry)
    return Soft(shares=_shares(character, entry["soft"]), trained_on=_shares(character, entry.get("trained_on", {})))


def _colour(character: Character, entry: Mapping[str, Any]) -> Soft:
    lab = entry["lab"]
    if not (isinstance(lab, list | tuple) and len(lab) == 3 and all(isinstance(v, int | float) for v in lab)):
        raise FindingError("“lab” is three numbers: L, a, b (CIELAB, D65, 2°).")
    if not all(state.lab for state in character.states):
        raise FindingError(f"The states of “{character.id}” are no colours, so a measured colour says nothing of it.")
    expanded = entry.get("uncertainty", 12.0)
    if isinstance(expanded, bool) or not isinstance(expanded, int | float) or not expanded > 0:
        raise FindingError("The “uncertainty” of a colour is a number above zero, in units of L, a and b.")
    return Soft(lab=(float(lab[0]), float(lab[1]), float(lab[2])), lab_uncertainty=float(expanded) / 2)


def _shares(character: Character, table: Any) -> dict[str, float]:
    if not isinstance(table, Mapping) or not all(isinstance(q, int | float) for q in table.values()):
        raise FindingError("Soft evidence is a table of states and their shares, such as { white = 0.7, cream = 0.3 }.")
    shares = {find_state(character, term): float(q) for term, q in table.items()}
    if shares and (min(shares.values()) < 0 or not math.isclose(sum(shares.values()), 1.0, abs_tol=1e-6)):
        raise FindingError("The shares of soft evidence are not negative and add up to 1.")
    return shares
