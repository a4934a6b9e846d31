"""Typed, pasted and stored measurements."""

from __future__ import annotations

import pytest

from fruitbody.examine.spores.errors import MeasurementError
from fruitbody.examine.spores.manual import read_measurements
from fruitbody.examine.spores.sample import Spore


@pytest.mark.parametrize(
    "text",
    [
        "9.3 5.6\n8.4 5.2\n", "9.3\t5.6\n8.4\t5.2", "9.3,5.6\n8.4,5.2", "9,3;5,6\n8,4;5,2", "9,3 5,6\n8,4 5,2",
        "length_um,width_um\n9.3,5.6\n8.4,5.2\n", "width,length\n5.6,9.3\n5.2,8.4", "L W\n9.3 5.6\n8.4 5.2",
        "9.3 µm 5.6 µm\n8.4 µm 5.2 µm", "\ufeff# from the print\r\n9.3 5.6\r\n\r\n8.4 5.2\r\n",
    ],
)  # fmt: skip
def test_two_columns_are_understood_however_they_are_parted(text: str) -> None:
    assert read_measurements(text).spores == (Spore(9.3, 5.6), Spore(8.4, 5.2))


def test_one_column_is_lengths() -> None:
    assert read_measurements("9.3\n8.4\n").spores == (Spore(9.3), Spore(8.4))


def test_fruit_bodies_and_collections_are_kept() -> None:
    found = read_measurements("length_um,width_um,fruit_body,collection\n9.3,5.6,a,K1\n8.4,5.2,b,K1\n")
    assert list(found.by_fruit_body()) == [("K1", "a"), ("K1", "b")]
    assert found.collections == 1


def test_every_line_at_fault_is_named() -> None:
    with pytest.raises(MeasurementError) as caught:
        read_measurements("length_um,width_um\n9.3,5.6\nnine,5\n9.1,\n0.0091,0.005\n")
    assert [problem.split(":")[0] for problem in caught.value.problems] == ["Line 3", "Line 5"]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "There are no measurements"),
        ("length_um,width_um\n", "no measurement"),
        ("0.0093 0.0056", "It looks like millimetres: multiply by 1000."),
        ("9300 5600", "It looks like nanometres: divide by 1000."),
        ("0.5 0.4", "cannot be; spores measure 0.9 to 120 µm"),
        ("121 20", "cannot be; spores measure 0.9 to 120 µm"),
        ("-9 5", "cannot be"),
        ("nan 5", "is no number"),
        ("5.6 9.3", "Put the larger one first"),
        ("9,3\n8,4", "The comma may be a decimal sign or part two columns"),
        ("width_um\n5.5", "no column is called length_um"),
        ("length_um,length_um\n9,9", "stands there twice"),
        ("9.3,5.6,a,b,c,d", "more values than columns"),
        ("9.3 5.6\n8.4", "1 of 2 spores have no width"),
    ],
)
def test_bad_input_is_answered_with_a_sentence(text: str, sentence: str) -> None:
    with pytest.raises(MeasurementError, match=sentence):
        read_measurements(text)


def test_the_bounds_of_a_spore_themselves_are_taken() -> None:
    assert read_measurements("120 0.9").spores == (Spore(120.0, 0.9),)


def test_many_bad_lines_are_counted_and_not_all_told() -> None:
    with pytest.raises(MeasurementError, match="And 12 more lines"):
        read_measurements("\n".join(["length_um", *["x"] * 20]))
