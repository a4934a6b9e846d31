"""What a finder tells about a kind, as findings: which character an answer belongs to, in which unit.

Pure: from answers to findings of the core; whatever cannot become a finding stays as words.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fruitbody.examine.finding import Finding
from fruitbody.examine.parse import parse_finding
from fruitbody.funga.model import Character, Funga

CANNOT_TELL = "could-not-tell"
STATE_QUESTIONS = ("form", "growth_habit", "stage", "smell", "substrate", "host")
# The same question means another character with a cap or without one; the first that the form allows is taken.
BY_FORM: Mapping[str, tuple[str, ...]] = {
    "width_mm": ("cap_width", "body_width"),
    "height_mm": ("stem_length", "body_height"),
    "colour": ("cap_colour", "body_colour"),
}
NOT_TOLD = frozenset({("height_mm", "shelf")})
"""The stem of a shelf is not its height."""
PLAIN = {"width_mm": "width", "height_mm": "height", "colour": "colour"}


@dataclass(frozen=True, slots=True)
class Told:
    """Findings of the finder, and what was told that belongs to no character, as words."""

    findings: tuple[Finding, ...]
    words: tuple[str, ...]


def told_findings(funga: Funga, answers: Mapping[str, Any]) -> Told:
    """Findings from answers keyed by question; lengths in mm.

    Raises FindingError (with a sentence) for a number that cannot be, UnknownTermError for a state nobody knows.
    """
    findings: list[Finding] = []
    words: list[str] = []
    for question in STATE_QUESTIONS:
        if answers.get(question):
            findings.append(_finding(funga, question, answers[question]))
    form = str(answers.get("form") or "")
    for question, candidates in BY_FORM.items():
        value = answers.get(question)
        if value in (None, ""):
            continue
        character = "" if (question, form) in NOT_TOLD else _fitting(funga, candidates, form)
        # The finding is read even where the form is not known: a number that cannot be is refused all the same.
        finding = _finding(funga, character or candidates[-1], value)
        if character:
            findings.append(finding)
        elif value != CANNOT_TELL:
            words.append(f"{PLAIN[question]} as told: {finding.in_words()}{' mm' if finding.measured else ''}")
    return Told(tuple(findings), tuple(words))


def _fitting(funga: Funga, candidates: tuple[str, ...], form: str) -> str:
    """The character that this form has, or nothing where the form is not known or has none of them."""
    for character_id in candidates:
        if form and _applies(funga, funga.characters[character_id], form):
            return character_id
    return ""


def _applies(funga: Funga, character: Character, form: str) -> bool:
    if character.parent == "form":
        return form in character.enabled_by
    parent = funga.characters.get(character.parent)
    return parent is None or _applies(funga, parent, form)


def _finding(funga: Funga, character: str, value: Any) -> Finding:
    entry: dict[str, Any] = {"character": character, "by": "finder", "seen_on": "told"}
    entry.update({"answer": CANNOT_TELL} if value == CANNOT_TELL else {"value": value})
    return parse_finding(funga, entry)
