"""The coverage test itself: repeatable, and its figures are those of their definitions."""

from __future__ import annotations

import math

import numpy as np
import pytest

from fruitbody.examine.photo.trial import Row, photo_trial
from fruitbody.examine.photo.trial_summary import as_text, figures, summary


def row(value: float, *, u: float = 1.0, told: float = 0.0, scale: float = 0.0, kind: str = "card") -> Row:
    return Row(kind, "0-20°", "40-80 px", "clear", False, told, 50.0, value, u, value - 2 * u, value + 2 * u, scale)


def test_equal_arguments_give_equal_rows_and_progress_is_told() -> None:
    told: list[int] = []
    first = photo_trial(2, 3, told.append)
    assert repr(first) == repr(photo_trial(2, 3))
    assert told == [1, 2]


def test_coverage_pivots_and_wide_errors_are_counted() -> None:
    """By hand: z = 0, 1, -1, 4; one interval of four misses, by 2 mm, and one value is off by more than 3 u."""
    found = figures("x", [row(50.0), row(51.0), row(49.0), row(54.0, scale=0.05)])
    assert (found.covered, found.off3, found.silent) == (0.75, 0.25, 0.25)
    assert found.pivot_mean == pytest.approx(1.0)
    assert found.pivot_sd == pytest.approx(float(np.std([0, 1, -1, 4])))
    assert found.score == pytest.approx(4 / 50)


def test_refusals_are_counted_apart() -> None:
    found = figures("x", [row(50.0), row(math.nan)])
    assert (found.n, found.answered, found.covered) == (2, 1, 1.0)


def test_the_table_tells_coverage_by_how_wrongly_the_height_was_told() -> None:
    text = as_text(summary([row(50.0, told=5.0), row(50.0, told=-20.0), row(53.0, told=40.0)]))
    line = next(line for line in text.splitlines() if line.startswith("height told wrongly by 30-45 mm"))
    assert "0.0%" in line
