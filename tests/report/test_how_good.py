"""The figures of the trial in words: nothing measured here, nothing lost, faults as sentences."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from fruitbody.identify.trial import record
from fruitbody.identify.trial.run import DANGER_CASES
from fruitbody.report.curves import calibration_alt, calibration_svg, ranks_alt, ranks_svg
from fruitbody.report.how_good import FIGURES, RUNGS, FiguresError, GoalLine, how_good, read_figures, shown


def figure(value: float, low: float | None = None, high: float | None = None) -> dict[str, Any]:
    return {"value": value, "low": low, "high": high, "n": 400}


CELL = {
    "top_1": figure(0.9712, 0.952, 0.981), "top_3": figure(0.99, 0.98, 1.0), "top_10": figure(1.0, 0.99, 1.0),
    "genus": figure(0.985, 0.97, 0.99), "proposal_right": figure(0.96, 0.94, 0.98),
    "unjustified": figure(0.012, 0.008, 0.02), "log_score": figure(-0.21, -0.3, -0.15),
    "slope": {"value": None, "n": 400}, "none_genus": figure(0.62, 0.58, 0.66),
    "false_alarms": figure(0.05, 0.04, 0.06),
}  # fmt: skip
GOALS = [
    {"words": "first name right", "least": 0.92, "met": True, **figure(0.97, 0.95, 0.98)},
    {"words": "unjustified", "most": 0.02, "met": False, **figure(0.035, 0.03, 0.04)},
    {"words": "slope", "least": 0.85, "most": 1.15, "met": False, **figure(1.25, 1.1, 1.4)},
]
BINS = [{"n": 40, "stated": 0.35, "right": 0.4}, {"n": 400, "stated": 0.96, "right": 0.97}]


def written(**changes: Any) -> dict[str, Any]:
    """Figures as the command writes them."""
    return {
        "date": "2026-11-25", "funga": "abc", "taxa": 300, "per_taxon": 80, "figures": {"R2": {"microscopy": CELL}},
        "curves": {"R2": {"microscopy": {"calibration": BINS, "rank": [0.97] * 20}}}, "goals": GOALS,
        "danger": {"n": 30_000, "wrong": 0, "wrong_at_most": 1e-4, "adversary": 0, "adversary_at_most": 1e-4},
        "peers": [{"rung": "R2", "depth": "microscopy", "peer": "naive Bayes", "figure": "top_1", "n": 400,
                   "ours": 0.97, "theirs": 0.9, "difference": 0.07, "low": 0.05, "high": 0.09}],
        **changes,
    }  # fmt: skip


def test_the_page_reads_the_file_that_the_command_writes() -> None:
    assert FIGURES == record.FIGURES


def test_the_first_sentence_says_how_many_of_a_hundred_were_right() -> None:
    first = how_good(written()).plain[0]
    assert first.startswith(
        "Of 100 specimens examined at the bench and under the microscope, the first name was right in 97 (95 to 98);"
    )


def test_strangers_and_dangers_are_told_in_sentences() -> None:
    _, strangers, danger = how_good(written()).plain
    assert "“none of these” in 62 (58 to 66), at 5 (4 to 6) false alarms" in strangers
    assert danger.startswith(
        "Of 30,000 specimens of dangerous kinds none was wrongly excluded (at most 1 in 10,000, 95 %)"
    )


def test_a_goal_says_by_how_much_it_is_met_or_missed() -> None:
    goals = how_good(written()).goals
    assert goals[0] == GoalLine("First name right", "0.97", "0.95 to 0.98", "at least 0.92", True, "0.050")
    assert (goals[1].met, goals[1].by) == (False, "0.015")
    assert (goals[2].goal, goals[2].by) == ("at least 0.85 and at most 1.15", "0.10")


@pytest.mark.parametrize(
    ("wrong", "adversary", "n", "met"), [(0, 0, DANGER_CASES, True), (0, 1, DANGER_CASES, False), (0, 0, 600, False)]
)
def test_the_goal_on_dangerous_kinds_needs_none_wrong_of_enough(wrong: int, adversary: int, n: int, met: bool) -> None:
    danger = {"n": n, "wrong": wrong, "wrong_at_most": 0.01, "adversary": adversary}
    assert how_good(written(danger=danger)).goals[-1].met is met


def test_the_day_is_told_with_its_zone() -> None:
    assert how_good(written()).measured_on == "25 November 2026 (UTC)"


def test_what_was_not_measured_is_a_dash() -> None:
    assert shown(CELL, "slope") == "–"
    assert how_good(written(figures={}, danger={})).plain == ()


@pytest.mark.parametrize(
    ("low", "high", "words"), [(0.01, 0.1, "better"), (-0.1, -0.01, "worse"), (-0.1, 0.1, "no diff")]
)
def test_a_peer_is_better_only_where_the_interval_leaves_nought_out(low: float, high: float, words: str) -> None:
    entry = {**written()["peers"][0], "low": low, "high": high}
    assert how_good(written(peers=[entry])).peers[0].better.startswith(words)


def test_published_specimens_are_told_with_those_that_the_funga_lacks() -> None:
    found = {"figures": CELL, "strangers": {"n": 12, "proposal_right": 5}, "danger": {}, "specimens": [{}] * 72}
    told = how_good(written(literature=found)).literature
    assert told[0].startswith("72 specimens were taken from published accounts")
    assert told[2] == "Of 12 specimens of kinds that the funga lacks, what it proposed was still true of 5."


def test_a_file_that_is_not_there_is_no_error(tmp_path: Path) -> None:
    assert read_figures(tmp_path / "figures.json") is None


@pytest.mark.parametrize("content", ["{", "[]", '{"date": "2026-11-25"}', "\x00"])
def test_a_broken_file_says_which_command_makes_it_anew(tmp_path: Path, content: str) -> None:
    path = tmp_path / "figures.json"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(FiguresError, match="Run “fruitbody evaluate” again"):
        read_figures(path)


def test_a_file_is_read_as_it_was_written(tmp_path: Path) -> None:
    path = tmp_path / "figures.json"
    path.write_text(json.dumps(written()), encoding="utf-8")
    assert read_figures(path) == written()


def test_curves_are_pictures_with_their_numbers_in_words() -> None:
    alt = calibration_alt("Bench", BINS)
    assert "stated 35%, came true 40% of 40" in alt
    assert ElementTree.fromstring(calibration_svg(BINS, alt)).get("aria-label") == alt


def test_labels_of_curves_that_end_together_stand_apart() -> None:
    by_rung = {rung: [0.5 + 0.02 * k for k in range(20)] for rung in RUNGS}
    root = ElementTree.fromstring(ranks_svg(by_rung, ranks_alt("Bench", by_rung)))
    places = sorted(float(e.attrib["y"]) for e in root.iter() if e.text in RUNGS)
    assert len(places) == len(RUNGS)
    assert min(b - a for a, b in pairwise(places)) >= 13
