"""What the bench types in one line."""

from __future__ import annotations

from typing import Any

import pytest

from fruitbody.desk.bench.entry import read_entry, read_value, suggestions
from fruitbody.desk.bench.notebook_errors import NotebookError
from fruitbody.examine.finding import FindingError
from fruitbody.examine.parse import parse_finding
from fruitbody.funga import UnknownTermError, load

FUNGA = load()


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("cap width 62", {"character": "cap_width", "value": 62}),
        ("cap_width 62 mm", {"character": "cap_width", "value": 62}),
        ("cap diameter 6.2 cm", {"character": "cap_width", "value": 62}),
        ("cap width 58-66", {"character": "cap_width", "value": [58, 66]}),
        ("cap width 58 to 66 #b", {"character": "cap_width", "value": [58, 66], "fruit_body": "b"}),
        ("spore length 9.3 n 30", {"character": "spore_length", "value": 9.3, "n": 30}),
        ("spore length 9,3 ± 0,4 n=30", {"character": "spore_length", "value": 9.3, "uncertainty": 0.4, "n": 30}),
        ("gill attachment free", {"character": "gill_attachment", "value": "free", "not": False}),
        ("attachment emarginate", {"character": "gill_attachment", "value": "notched", "not": False}),
        ("not decurrent", {"character": "gill_attachment", "value": "decurrent", "not": True}),
        ("gill attachment not decurrent", {"character": "gill_attachment", "value": "running-down", "not": True}),
        ("volva none", {"character": "volva", "value": "none", "not": False}),
        ("deposit chocolate", {"character": "deposit_colour", "value": "chocolate", "not": False}),
        (
            "gill attachment free or notched",
            {"character": "gill_attachment", "value": ["free", "notched"], "not": False},
        ),
        ("ring ?", {"character": "ring", "answer": "could-not-tell"}),
        ("ring -", {"character": "ring", "answer": "not-looked-for"}),
        ("volva x foot cut off", {"character": "volva", "answer": "cannot-be-seen", "why": "foot cut off"}),
        ("RING  None", {"character": "ring", "value": "none", "not": False}),
    ],
)
def test_a_typed_line_is_read(text: str, fields: dict[str, Any]) -> None:
    assert read_entry(FUNGA, text) == fields
    parse_finding(FUNGA, read_entry(FUNGA, text))


def test_marks_take_several() -> None:
    character = FUNGA.characters["cap_surface"]
    first, second = character.states[0].id, character.states[1].id
    fields = read_value(character, f"{first}, {second}")
    assert parse_finding(FUNGA, fields).states == (first, second)
    assert parse_finding(FUNGA, fields).each


def test_every_state_of_every_character_can_be_typed_after_its_short_name() -> None:
    for character in FUNGA.characters.values():
        for state in character.states:
            fields = read_entry(FUNGA, f"{character.id.replace('_', ' ')} {state.plain}")
            assert (fields["character"], fields["value"]) == (character.id, state.id)


@pytest.mark.parametrize(
    ("text", "error", "says"),
    [
        ("", NotebookError, "for instance"),
        ("cap wdith 62", UnknownTermError, "Nearest known: cap-width"),
        ("cap width", NotebookError, "Say what you saw"),
        ("cap width wide", NotebookError, "is a number in mm"),
        ("cap width 62 kg", NotebookError, "Type it in that unit"),
        ("volva x", NotebookError, "why it cannot be seen"),
        ("gill attachment sqare", UnknownTermError, "no state of"),
        ("white", NotebookError, "is said of several things"),
    ],
)
def test_what_cannot_be_read_is_told_with_what_to_do(text: str, error: type[Exception], says: str) -> None:
    with pytest.raises(error, match=says):
        read_entry(FUNGA, text)


@pytest.mark.parametrize(("text", "says"), [("cap width 9000", "cannot be"), ("spore length -3", "cannot be")])
def test_impossible_numbers_get_the_cores_sentence(text: str, says: str) -> None:
    with pytest.raises(FindingError, match=says):
        parse_finding(FUNGA, read_entry(FUNGA, text))


def test_suggestions_name_characters_then_their_states() -> None:
    assert "cap width" in suggestions(FUNGA, "cap wi")
    assert "volva a loose sac or cup" in suggestions(FUNGA, "volva sa")
    assert suggestions(FUNGA, "") == []
