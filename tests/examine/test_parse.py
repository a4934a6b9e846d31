"""What people write, and what becomes of it."""

from __future__ import annotations

from typing import Any

import pytest

from fruitbody import funga
from fruitbody.examine.finding import Answer, FindingError, Observer, SeenOn
from fruitbody.examine.parse import parse_finding, parse_findings
from fruitbody.funga.terms import UnknownTermError

KNOWN = funga.load()


def parse(**entry: Any) -> Any:
    return parse_finding(KNOWN, {key.rstrip("_"): value for key, value in entry.items()})


@pytest.mark.parametrize(
    "term", ["gill attachment", "gill-attachment", "gill_attachment", "Gill  Attachment", "attachment"]
)
def test_a_character_is_understood_in_hyphen_or_space_form(term: str) -> None:
    assert parse(character=term, value="free").character == "gill_attachment"


def test_a_list_means_one_of() -> None:
    assert parse(character="cap colour", value=["white", "yellow"]).states == ("white", "yellow")


def test_all_at_once_is_for_marks_only() -> None:
    assert parse(character="cap surface", value=["scaly", "hairy"], each=True).each
    with pytest.raises(FindingError, match="Only marks can be there all at once"):
        parse(character="cap colour", value=["white", "yellow"], each=True)


def test_an_unknown_term_names_the_nearest() -> None:
    with pytest.raises(UnknownTermError, match=r"no state of “how gills meet the stem” called “decurent”.*decurrent"):
        parse(character="gill attachment", value="decurent")
    with pytest.raises(UnknownTermError, match=r"no character called “cap colr”.*cap-colour"):
        parse(character="cap colr", value="white")


def test_lenient_sets_unknown_terms_aside_and_lists_them() -> None:
    found, aside = parse_findings(
        KNOWN, [{"character": "ring", "value": "nonsense"}, {"character": "ring", "value": "none"}], lenient=True
    )
    assert len(found) == 1
    assert len(aside) == 1
    assert "Finding 1" in aside[0]


@pytest.mark.parametrize(
    ("entry", "sentence"),
    [
        ({"character": "cap width", "value": 9000}, "cannot be; it lies outside 0.5 to 1500 mm. Check the unit"),
        ({"character": "spore length", "value": -3}, "cannot be"),
        ({"character": "cap width", "value": "wide"}, "is a number in mm"),
        ({"character": "cap width", "value": True}, "is a number in mm"),
        ({"character": "cap width", "value": float("nan")}, "is a number in mm"),
        ({"character": "cap width", "value": [60, 40]}, "runs backwards"),
        ({"character": "cap width", "value": [1, 2, 3]}, "has two numbers"),
        ({"character": "cap width", "value": 60, "n": 0}, "a whole number from 1"),
        ({"character": "cap width", "value": 60, "uncertainty": -1}, "half the width of the interval"),
        ({"character": "ring"}, "has no value"),
        ({"value": "x"}, "needs “character”"),
        ({"character": "ring", "value": []}, "list of states for “ring” is empty"),
        ({"character": "ring", "value": "none", "by": "somebody"}, "is no word for “by”"),
        ({"character": "ring", "value": "none", "colour": "red"}, "has no field “colour”"),
    ],
)
def test_a_value_that_cannot_be_is_answered_with_a_sentence(entry: dict[str, Any], sentence: str) -> None:
    with pytest.raises(FindingError, match=sentence):
        parse_finding(KNOWN, entry)


def test_absent_becomes_the_state_that_stands_for_nothing() -> None:
    finding = parse(character="ring", answer="absent")
    assert finding.states == ("none",)
    assert finding.answer is Answer.ABSENT


def test_an_answer_without_a_value_needs_none() -> None:
    finding = parse(character="volva", answer="cannot be seen", why="base missing")
    assert finding.answer is Answer.CANNOT_BE_SEEN
    assert not finding.tells


def test_a_finer_stage_stands_for_one_of_three() -> None:
    assert parse(character="gill colour", value="white", stage="button").stage == "young"


def test_observer_and_what_it_was_seen_on_are_kept() -> None:
    finding = parse(character="ring", value="none", by="finder", seen_on="photo")
    assert (finding.by, finding.seen_on) == (Observer.FINDER, SeenOn.PHOTO)


def test_a_measured_colour_is_refused_where_states_are_no_colours() -> None:
    assert parse(character="cap colour", lab=[60, 10, 30]).soft is not None
    with pytest.raises(FindingError, match="says nothing of it"):
        parse(character="ring", lab=[60, 10, 30])


def test_shares_that_do_not_add_up_are_refused() -> None:
    with pytest.raises(FindingError, match="add up to 1"):
        parse(character="cap colour", soft={"white": 0.5, "red": 0.2})
