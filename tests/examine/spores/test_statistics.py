"""Moments and percentiles, shape classes, notation, intervals, how many more."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from fruitbody.examine.spores.errors import SporeError
from fruitbody.examine.spores.notation import bracketed, notation, told
from fruitbody.examine.spores.sample import Preparation, Sample, Spore
from fruitbody.examine.spores.shape import BOUNDS, bas_class, shape_class
from fruitbody.examine.spores.statistics import (
    BETWEEN,
    bootstrap,
    how_many,
    mean_length,
    odd_ones,
    robust_score,
    spread,
    summarise,
)  # fmt: skip
from fruitbody.identify.parameters import Parameters

RNG = np.random.default_rng(11)
LENGTHS, WIDTHS = RNG.normal(9.3, 0.5, 60), RNG.normal(5.6, 0.3, 60)


def sample(bodies: int = 3, collections: int = 2, **more: object) -> Sample:
    """60 spores dealt to the fruit bodies in turn; the first body is of the first collection, and so on."""
    spores = [
        Spore(float(length), float(width), "abc"[i % bodies], "xy"[(i % bodies) % collections])
        for i, (length, width) in enumerate(zip(LENGTHS, WIDTHS, strict=True))
    ]
    return Sample(tuple(spores), preparation=Preparation(**more))  # type: ignore[arg-type]


# Outside: NumPy and SciPy


def test_percentiles_are_those_of_numpys_default() -> None:
    found = spread(LENGTHS)
    assert [found.p5, found.median, found.p95] == pytest.approx(list(np.quantile(LENGTHS, [0.05, 0.5, 0.95])))


def test_percentiles_are_type_7_of_hyndman_and_fan_in_scipy() -> None:
    expected = stats.mstats.mquantiles(LENGTHS, [0.05, 0.95], alphap=1, betap=1)
    assert [spread(LENGTHS).p5, spread(LENGTHS).p95] == pytest.approx(list(expected))


def test_mean_and_standard_deviation_are_scipys() -> None:
    n, (low, high), mean, variance, _, _ = stats.describe(LENGTHS)
    found = spread(LENGTHS)
    assert (found.n, found.min, found.max) == (n, low, high)
    assert (found.mean, found.sd) == (pytest.approx(mean), pytest.approx(math.sqrt(variance)))


def test_one_spore_has_no_standard_deviation() -> None:
    assert spread([9.0]).sd is None


def test_the_robust_score_is_scipys_median_deviation() -> None:
    expected = np.abs(LENGTHS - np.median(LENGTHS)) / stats.median_abs_deviation(LENGTHS) * 0.6745
    assert robust_score(LENGTHS) == pytest.approx(expected)


def test_the_bootstrap_interval_of_one_fruit_body_is_scipys_percentile_interval() -> None:
    one = Sample(tuple(Spore(float(length)) for length in LENGTHS))
    expected = stats.bootstrap(
        (LENGTHS,), np.mean, method="percentile", n_resamples=4000, rng=np.random.default_rng(5)
    ).confidence_interval
    assert bootstrap(one, mean_length, seed=3, rounds=4000) == pytest.approx((expected.low, expected.high), abs=0.02)


def test_the_same_seed_gives_the_same_interval() -> None:
    assert bootstrap(sample(), mean_length, seed=3) == bootstrap(sample(), mean_length, seed=3)


def test_unlike_fruit_bodies_widen_the_interval() -> None:
    def three(step: float) -> Sample:
        return Sample(tuple(Spore(9 + step * (i % 3) + 0.1 * (i // 3), None, "abc"[i % 3]) for i in range(30)))

    (alike_low, alike_high), (unlike_low, unlike_high) = (bootstrap(three(s), mean_length, seed=1) for s in (0, 1))
    assert unlike_high - unlike_low > 2 * (alike_high - alike_low)


# Notation (Tulloss and Lindgren 2005)


def test_the_bracket_counts_spores_then_fruit_bodies_then_collections() -> None:
    assert notation(summarise(sample(bodies=3, collections=2))).startswith("[60/3/2] ")


def test_extremes_stand_round_the_5th_and_95th_percentile() -> None:
    assert bracketed(spread([7.0, *[8.0] * 9, *[9.0] * 9, 10.0]), places=1) == "(7.0–) 8.0–9.1 (–10.0)"
    # The 95th percentile of these 20 lies at position 18.05: 9 + 0.05 × (10 − 9); the 5th at 0.95: 7 + 0.95 × 1.


def test_an_extreme_equal_as_printed_is_left_out() -> None:
    assert bracketed(spread([8.0, 8.0, 9.0, 9.0]), places=1) == "8.0–9.0"
    assert bracketed(spread([8.0] * 40 + [9.0]), places=1) == "8.0 (–9.0)"


def test_means_per_fruit_body_are_told_with_their_range_and_the_overall_mean_with_a_prime() -> None:
    spores = (Spore(8.0, 5.0, "a"), Spore(8.0, 5.0, "a"), Spore(8.0, 5.0, "a"), Spore(10.0, 5.0, "b"))
    words = notation(summarise(Sample(spores)))
    assert "L = 8.0–10.0 µm, L′ = 8.5 µm" in words  # over all: (3 × 8 + 10)/4
    assert "mean Q = 1.60–2.00, Q′ = 1.70" in words


def test_a_single_fruit_body_has_no_range_of_means() -> None:
    assert "L = " not in notation(summarise(sample(bodies=1, collections=1)))


def test_halves_go_up_as_people_round() -> None:
    assert [told(v, 1) for v in (9.25, 9.35, 0.05)] == ["9.3", "9.4", "0.1"]


def test_without_a_scale_only_q_is_told_and_no_micrometre() -> None:
    words = notation(summarise(Sample((Spore(90.0, 60.0), Spore(93.0, 60.0)), "px")))
    assert words == "[2/1/1] Q = 1.50–1.55, Q′ = 1.53"


# Shape (Bas 1969)


@pytest.mark.parametrize(
    ("q", "name"),
    [
        (1.0, "globose"), (1.05, "globose"), (1.06, "subglobose"), (1.15, "subglobose"), (1.2, "broadly ellipsoid"),
        (1.3, "broadly ellipsoid"), (1.31, "ellipsoid"), (1.6, "ellipsoid"), (1.61, "elongate"), (2.0, "elongate"),
        (2.01, "cylindrical"), (3.0, "cylindrical"), (3.01, "bacilliform"),
    ],
)  # fmt: skip
def test_classes_of_q(q: float, name: str) -> None:
    assert bas_class(q) == name


def test_the_class_is_given_for_the_range_and_not_for_the_mean() -> None:
    assert shape_class(1.25, 1.7) == "broadly ellipsoid to elongate"
    assert bas_class((1.25 + 1.7) / 2) == "ellipsoid"


def test_a_spindle_has_its_own_word_and_no_class() -> None:
    assert summarise(sample(outline="spindle")).shape_class == "spindle"


def test_the_bounds_rise() -> None:
    assert [most for _, most in BOUNDS] == sorted(most for _, most in BOUNDS)


# Volume, outliers, how many


def test_volume_is_that_of_an_ellipsoid_of_revolution() -> None:
    (spore,) = (Spore(10.0, 6.0),)
    found = summarise(Sample((spore, spore))).volume
    assert found is not None
    assert found.mean == pytest.approx(4 / 3 * math.pi * 5.0 * 3.0 * 3.0)


def test_an_odd_spore_is_pointed_out_and_still_counted() -> None:
    spores = tuple(Spore(float(length), 5.5) for length in (9, 9.1, 9.2, 9.3, 9.15, 9.05, 14))
    summary = summarise(Sample(spores))
    assert summary.odd == (6,)
    assert (summary.n, summary.length.max) == (7, 14.0)


def test_four_spores_point_out_nobody() -> None:
    assert odd_ones([Spore(9.0), Spore(9.1), Spore(9.0), Spore(30.0)]) == ()


def test_the_number_wanted_gives_the_wished_interval() -> None:
    found = spread(LENGTHS)
    need = how_many(found, half_width=0.05)
    assert found.sd is not None
    assert 1.96 * found.sd / math.sqrt(need.wanted) <= 0.05 < 1.96 * found.sd / math.sqrt(need.wanted - 2)
    assert need.more == need.wanted - 60


def test_beyond_enough_more_spores_gain_less_than_five_per_cent() -> None:
    found = spread(LENGTHS)
    need = how_many(found, half_width=0.1)
    assert found.sd is not None

    def u(n: int) -> float:
        return math.hypot(need.floor, found.sd / math.sqrt(n))

    assert u(need.enough) / need.floor <= 1.05 < u(need.enough - 1) / need.floor


def test_the_share_between_collections_is_the_engines() -> None:
    assert Parameters().phi == BETWEEN


def test_one_spore_cannot_say_how_many_more() -> None:
    with pytest.raises(ValueError, match="Measure at least five first"):
        how_many(spread([9.0]), half_width=0.1)


def test_widths_are_all_there_or_none() -> None:
    with pytest.raises(SporeError, match="a width for every spore or for none"):
        Sample((Spore(9.0, 5.0), Spore(9.0)))
