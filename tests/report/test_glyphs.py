"""Text cleaned for the page: what is marked, and that nothing is lost."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fruitbody.report.glyphs import Marks, described


def test_equal_runs_share_a_mark_and_different_ones_do_not() -> None:
    assert Marks().clean(["🍄 x 🍄", "张"]) == ["⟦1⟧ x ⟦1⟧", "⟦2⟧"]


def test_text_in_lists_and_dicts_is_cleaned_and_the_rest_is_kept() -> None:
    value: dict[str, Any] = {"a": ["🍄", 3, None], "b": {"c": 1.5, "d": "ñ"}}
    assert Marks().clean(value) == {"a": ["⟦1⟧", 3, None], "b": {"c": 1.5, "d": "ñ"}}


def test_a_letter_and_its_accent_become_one_character() -> None:
    assert Marks().clean("e\u0301") == "é"


@pytest.mark.parametrize("line_end", ["\r\n", "\r", "\u2028", "\x0b"])
def test_every_kind_of_line_end_is_kept_as_one(line_end: str) -> None:
    assert Marks().clean(f"a{line_end}b") == "a\nb"


@pytest.mark.parametrize("character", ["\x00", "\x07", "\u202e", "\u2066", "\ud800", "\ue000", "\ufdd0"])
def test_a_character_without_a_shape_is_marked_and_described(character: str) -> None:
    marks = Marks()
    assert marks.clean(f"a{character}b") == "a⟦1⟧b"
    assert marks.listed() == (("⟦1⟧", described(character)),)


def test_a_description_gives_code_and_unicode_name() -> None:
    # Names from the Unicode character database.
    assert described("🍄") == "U+1F344 MUSHROOM"
    assert described("\u202e") == "U+202E RIGHT-TO-LEFT OVERRIDE"


def test_latin_only_marks_what_is_beyond_latin_without_asking() -> None:
    marks = Marks(latin_only=True)
    assert marks.clean("Ana «ñ» ж – 3 µm") == "Ana «ñ» ⟦1⟧ – 3 µm"


@given(st.text(st.characters(codec="utf-8"), max_size=30))
def test_nothing_is_lost(text: str) -> None:
    marks = Marks()
    cleaned = marks.clean("<" + text + ">")
    for run, mark in marks.runs.items():
        cleaned = cleaned.replace(mark, run)
    assert Marks(latin_only=True).clean(cleaned) == Marks(latin_only=True).clean("<" + text + ">")


@given(st.text(alphabet=st.characters(min_codepoint=32, max_codepoint=126)))
def test_plain_letters_pass_unchanged(text: str) -> None:
    assert Marks().clean(text) == text
