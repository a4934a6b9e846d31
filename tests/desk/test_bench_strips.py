"""The strip of a finding against the range of a taxon."""

from __future__ import annotations

from fruitbody.desk.bench.strips import STRIP_WIDTH, Strip, strip_against, strip_of
from fruitbody.examine.finding import Finding, Measured
from fruitbody.funga.model import MeasureScore

RANGE = MeasureScore(low=40, high=110, min=30, max=140)


def strip(low: float, high: float | None = None) -> Strip:
    found = strip_against(RANGE, Finding("cap_width", measured=Measured(low, high)))
    assert found is not None
    return found


def test_a_value_in_the_middle_of_the_range_is_marked_in_the_middle_of_the_bar() -> None:
    found = strip(75)
    assert abs(found.bar_x + found.bar_width / 2 - found.mark_x) < 0.2


def test_a_value_outside_the_range_is_marked_outside_the_bar_and_inside_the_drawing() -> None:
    for found in (strip(900), strip(1)):
        assert not found.bar_x <= found.mark_x <= found.bar_x + found.bar_width
        assert 0 <= found.mark_x <= found.mark_x + found.mark_width <= STRIP_WIDTH


def test_the_extremes_hold_the_usual_range() -> None:
    found = strip(75)
    assert found.line_x <= found.bar_x
    assert found.line_x + found.line_width >= found.bar_x + found.bar_width


def test_the_words_say_what_the_drawing_shows() -> None:
    assert strip(60, 65).words == "known 40 to 110, found 60 to 65"


def test_a_range_of_one_value_can_be_drawn() -> None:
    assert strip_of(5, 5, 5, 5, (5, 5)).bar_width > 0


def test_a_finding_without_a_measure_has_no_strip() -> None:
    assert strip_against(RANGE, Finding("cap_width")) is None
