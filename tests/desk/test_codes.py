"""Check characters against published codes, and what happens to codes that people mistype."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fruitbody.handling.codes import (
    ALPHABET,
    DRAWN_FROM,
    CodeError,
    check_character,
    clinic_number,
    has_valid_check,
    read_code,
    submission_code,
    written,
)

PAYLOADS = st.text(alphabet=ALPHABET, min_size=1, max_size=12)


# Two open standards use ISO/IEC 7064 MOD 37,36. A1-2425G-ABC1234002-M is the example of the Global Release Identifier,
# as the page of the package soundways/iso7064 at packagist.org shows it. 0000-0000-D07A-0090-Q, B159-D8FA-0124-0000-K
# are International Standard Audiovisual Numbers (ISO 15706), from memory.
@pytest.mark.parametrize(
    ("payload", "check"), [("A12425GABC1234002", "M"), ("00000000D07A0090", "Q"), ("B159D8FA01240000", "K")]
)
def test_check_characters_of_published_codes_come_out(payload: str, check: str) -> None:
    assert check_character(payload) == check


@given(PAYLOADS, st.data())
def test_every_single_wrong_character_is_found(payload: str, data: st.DataObject) -> None:
    code = payload + check_character(payload)
    at = data.draw(st.integers(0, len(code) - 1))
    wrong = data.draw(st.sampled_from([c for c in ALPHABET if c != code[at]]))
    assert not has_valid_check(code[:at] + wrong + code[at + 1 :])


def test_a_character_outside_the_alphabet_is_an_error() -> None:
    with pytest.raises(ValueError, match="substring"):
        check_character("F26É")


def test_a_clinic_number_is_prefix_year_counter_check() -> None:
    assert clinic_number("F", 2026, 417) == "F26-00417-L"


@given(st.integers(1, 99999), st.integers(2000, 2099))
def test_clinic_numbers_are_read_back_as_written(count: int, year: int) -> None:
    number = clinic_number("F", year, count)
    assert written(read_code(number.lower().replace("-", " "))) == number


def test_letter_o_typed_for_zero_is_mended() -> None:
    assert read_code("F26-OO417-L") == "F2600417L"


def test_a_scanned_link_counts_by_its_last_part() -> None:
    assert read_code("https://desk.example.org/slip/F26-00417-L/") == "F2600417L"


@given(st.text(alphabet=DRAWN_FROM, min_size=7, max_size=7))
def test_submission_codes_hold_no_look_alikes_and_are_read_back(drawn: str) -> None:
    code = submission_code(drawn)
    if code is not None:
        assert set(code) <= set(DRAWN_FROM) | {"-"}
        assert written(read_code(code)) == code


@pytest.mark.parametrize("typed", ["", "F26", "F26-00418-L", "☂☂☂☂☂", "https://elsewhere.example.org/x"])
def test_a_code_that_cannot_be_gets_a_sentence(typed: str) -> None:
    with pytest.raises(CodeError, match=r"\.$"):
        read_code(typed)


def test_a_submission_code_needs_seven_characters_of_its_alphabet() -> None:
    with pytest.raises(ValueError, match="seven characters"):
        submission_code("AAAAAAA")
