"""The budget of a length: worked check 3, the traps, and propagation against the `uncertainties` library."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from uncertainties import ufloat, umath

from fruitbody.examine.photo.budget import (
    BudgetError,
    Lens,
    Placing,
    Scale,
    distance_mm,
    length,
    lens_of,
    perspective_excess,
    ratio_u,
    simulate,
)

# Worked check 3: 4032 x 3024 px, 26 mm equivalent, a quarter dollar of 24.26 mm.
LENS = lens_of(26.0, 4032, 3024)
QUARTER = Scale(24.26, 0.06, 184.0, 0.6, 150.0, 0.8)
PLACING = Placing(nearer_mm=25.0, u_nearer_mm=15.0, incline_deg=8.0)
FOUND = length(612.0, 2.5, scale=QUARTER, lens=Lens(3029.0), placing=PLACING)


def test_the_focal_length_is_that_of_the_worked_check() -> None:
    assert LENS.f_px == pytest.approx(3029, abs=0.5)
    assert LENS.u == 0.04


def test_tilt_distance_and_scale_are_those_of_the_worked_check() -> None:
    assert (QUARTER.tilt_deg, QUARTER.u_tilt_deg) == pytest.approx((35.391, 0.504), abs=5e-4)
    assert distance_mm(QUARTER, Lens(3029.0)) == pytest.approx((399.367, 16.06), abs=5e-3)
    assert QUARTER.mm_per_px == pytest.approx(0.13184783, abs=5e-9)


def test_the_steps_to_the_length_are_those_of_the_worked_check() -> None:
    flat = replace(PLACING, incline_deg=0.0)
    same_depth = replace(flat, nearer_mm=0.0)
    assert length(612.0, 2.5, scale=QUARTER, lens=Lens(3029.0), placing=same_depth).value_mm == pytest.approx(
        80.6909, abs=5e-5
    )
    assert length(612.0, 2.5, scale=QUARTER, lens=Lens(3029.0), placing=flat).value_mm == pytest.approx(
        75.6397, abs=5e-5
    )
    assert FOUND.value_mm == pytest.approx(76.3770, abs=5e-5)


@pytest.mark.parametrize(
    ("source", "u_mm", "percent"),
    [
        ("depth mismatch", 3.06025, 81.2),
        ("inclination", 1.04272, 9.4),
        ("margin", 0.80000, 5.5),
        ("drawn ends", 0.44123, 1.7),
        ("distortion", 0.30551, 0.8),
        ("ellipse axis", 0.26569, 0.6),
        ("focal length", 0.20402, 0.4),
        ("reference", 0.20151, 0.4),
    ],
)
def test_every_row_of_the_worked_budget_holds(source: str, u_mm: float, percent: float) -> None:
    (row,) = [row for row in FOUND.budget if row.source == source]
    assert row.u_mm == pytest.approx(u_mm, abs=6e-6 if source != "inclination" else 3e-5)
    assert 100 * row.share == pytest.approx(percent, abs=0.051)


def test_the_combined_and_expanded_uncertainty_are_those_of_the_worked_check() -> None:
    assert FOUND.u_mm == pytest.approx(3.39606, abs=1e-5)
    assert FOUND.expanded_mm == pytest.approx(6.7921, abs=5e-5)
    assert not FOUND.asymmetric


def test_monte_carlo_gives_the_worked_figures_within_its_sampling_error() -> None:
    """2 million draws in the worked check, 400,000 here: sd/sqrt(n) is 0.005, the ends of the 95 % about 0.02."""
    drawn = simulate(612.0, 2.5, scale=QUARTER, lens=Lens(3029.0), placing=PLACING, n=400_000)
    assert drawn.mean() == pytest.approx(76.389, abs=0.02)
    assert drawn.std() == pytest.approx(3.425, abs=0.015)
    assert np.quantile(drawn, (0.025, 0.975)) == pytest.approx((69.81, 83.25), abs=0.08)
    within = np.mean(np.abs(drawn - FOUND.value_mm) <= FOUND.expanded_mm)
    assert within == pytest.approx(0.9525, abs=0.0015)


@pytest.mark.parametrize(
    ("phi", "value", "expanded"), [(0.0, 80.691, 2.069), (25.0, 84.249, 2.087), (90.0, 98.981, 2.419)]
)
def test_in_the_plane_of_the_coin_the_direction_counts(phi: float, value: float, expanded: float) -> None:
    found = length(612.0, 2.5, scale=QUARTER, lens=LENS, placing=Placing(lie="plane"), segment_deg=phi)
    assert (found.value_mm, found.expanded_mm) == pytest.approx((value, expanded), abs=6e-4)


# --- traps ----------------------------------------------------------------------------------------------------------


def test_the_scale_comes_from_the_major_axis_and_not_from_a_mean() -> None:
    assert QUARTER.mm_per_px == 24.26 / 184.0


def test_a_nearer_part_is_made_smaller_and_a_farther_one_larger() -> None:
    at = [length(612.0, 2.5, scale=QUARTER, lens=LENS, placing=Placing(nearer_mm=z)).value_mm for z in (-20, 0, 20)]
    assert at[0] > at[1] > at[2]


def test_below_fifteen_degrees_the_minor_axis_is_not_propagated() -> None:
    nearly = replace(QUARTER, minor_px=183.0)
    assert nearly.u_tilt_deg is None
    found = length(612.0, 2.5, scale=nearly, lens=LENS, placing=Placing(lie="plane"), segment_deg=90.0)
    assert found.value_mm == pytest.approx(80.6909, abs=5e-5)
    assert "tilt not resolved" in {row.source for row in found.budget}


@pytest.mark.parametrize(("tilt", "percent"), [(20, 0.09), (40, 0.31), (60, 0.56)])
def test_the_perspective_of_a_near_coin_is_that_of_the_engine_page(tilt: float, percent: float) -> None:
    """Distance 100 mm, a quarter dollar; the figures stand in the worked traps."""
    scale = replace(QUARTER, major_px=242.6, minor_px=242.6 * math.cos(math.radians(tilt)))
    assert 100 * perspective_excess(scale, Lens(1000.0)) == pytest.approx(percent, abs=0.012)


def test_from_150_mm_on_perspective_of_the_coin_is_left_out() -> None:
    assert perspective_excess(QUARTER, LENS) == 0.0


def test_a_photo_without_a_focal_length_has_one_known_to_forty_percent() -> None:
    lens = lens_of(None, 4032, 3024)
    assert (lens.u, lens.void) == (0.40, True)
    wide = length(612.0, 2.5, scale=QUARTER, lens=lens, placing=PLACING)
    assert {r.source: r.u_mm for r in wide.budget}["focal length"] == pytest.approx(2.04, abs=0.01)


def test_above_a_fifth_the_interval_is_asymmetric_and_holds_its_share() -> None:
    lens, placing = lens_of(None, 4032, 3024), replace(PLACING, nearer_mm=60.0, u_nearer_mm=40.0)
    found = length(612.0, 2.5, scale=QUARTER, lens=lens, placing=placing)
    drawn = simulate(612.0, 2.5, scale=QUARTER, lens=lens, placing=placing, seed=7)
    assert found.asymmetric
    assert np.mean((drawn > found.low_mm) & (drawn < found.high_mm)) == pytest.approx(0.95, abs=0.005)
    assert abs((found.high_mm + found.low_mm) / 2 - found.value_mm) > 0.5


def test_a_part_nearer_than_the_camera_is_refused() -> None:
    with pytest.raises(BudgetError, match="cannot be 500 mm nearer"):
        length(612.0, 2.5, scale=QUARTER, lens=LENS, placing=Placing(nearer_mm=500.0))


def test_a_ratio_is_better_known_than_either_length() -> None:
    other = length(300.0, 2.5, scale=QUARTER, lens=LENS, placing=PLACING)
    alone = math.hypot(FOUND.u_mm / FOUND.value_mm, other.u_mm / other.value_mm)
    assert ratio_u(FOUND, other, ("ellipse axis", "reference", "focal length", "depth mismatch")) < 0.6 * alone


@pytest.mark.parametrize(("mm", "words"), [(7.4, "about 7 mm"), (23.0, "about 2.5 cm"), (61.0, "about 6 cm")])
def test_the_finder_is_told_a_round_length(mm: float, words: str) -> None:
    assert replace(FOUND, value_mm=mm).in_words() == words


# --- outside check --------------------------------------------------------------------------------------------------


def test_propagation_agrees_with_the_uncertainties_library() -> None:
    """Independent: automatic differentiation. Inclination enters as its second-order term, as in the model."""
    d, a, f = ufloat(24.26, 0.06), ufloat(184.0, 0.6), ufloat(3029.0, 0.04 * 3029)
    p, nearer = ufloat(612.0, 2.5 * math.sqrt(2)), ufloat(25.0, 15.0)
    spread = math.radians(8.0)
    k = 1 + spread**2 / 2
    straight = p * (d / a - nearer / f) * k
    other = straight * ufloat(1.0, 0.004) + ufloat(0.0, 0.8)
    u = math.hypot(other.std_dev, 75.6397 * spread**2 / math.sqrt(2))
    assert (other.nominal_value, u) == pytest.approx((FOUND.value_mm, FOUND.u_mm), rel=2e-5)


def test_propagation_in_the_plane_agrees_with_the_uncertainties_library() -> None:
    d, a, b = ufloat(24.26, 0.06), ufloat(184.0, 0.6), ufloat(150.0, 0.8)
    p, phi = ufloat(612.0, 2.5 * math.sqrt(2)), math.radians(40.0)
    other = d / a * p * umath.sqrt(math.cos(phi) ** 2 + math.sin(phi) ** 2 * (a / b) ** 2)
    other = other * ufloat(1.0, 0.004) + ufloat(0.0, 0.8)
    found = length(612.0, 2.5, scale=QUARTER, lens=LENS, placing=Placing(lie="plane"), segment_deg=40.0)
    assert (found.value_mm, found.u_mm) == pytest.approx((other.nominal_value, other.std_dev), rel=1e-5)
