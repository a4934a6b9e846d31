"""Stored findings in words, for pages that only read them. Pure, over rows that are loaded already."""

from __future__ import annotations

from fruitbody.desk.bench.models import Finding
from fruitbody.funga.model import Funga


def character_words(funga: Funga, row: Finding) -> str:
    """What was looked at, with fruit body, part and stage where noted: 'colour of the cap (fruit body a, young)'."""
    character = funga.characters.get(row.character)
    plain = character.plain if character else row.character.replace("_", " ")
    notes = [f"fruit body {row.fruit_body}" if row.fruit_body else "", row.part, row.stage, row.moisture]
    told = ", ".join(note for note in notes if note)
    return f"{plain} ({told})" if told else plain


def value_words(funga: Funga, row: Finding) -> str:
    """The value of a finding in plain words, with its unit: 'not free', '62 mm', 'looked, could not tell'."""
    if row.answer not in ("present", "absent"):
        return row.answer.replace("-", " ") + (f" ({row.why})" if row.why else "")
    character = funga.characters.get(row.character)
    plain = {state.id: state.plain for state in character.states} if character else {}
    unit = f" {character.unit}" if character and character.unit not in ("", "ratio") else ""
    if row.value is None:
        return "absent" if row.answer == "absent" else "seen"
    values = row.value if isinstance(row.value, list) else [row.value]
    if all(isinstance(value, (int, float)) for value in values):
        words = " to ".join(f"{value:g}" for value in values) + unit
    else:
        names = (plain.get(str(value), str(value).replace("-", " ")) for value in values)
        words = (" and " if row.each else " or ").join(names)
    return f"not {words}" if row.negated or row.answer == "absent" else words
