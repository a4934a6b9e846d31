"""Worked checks 1 and 2 of docs/identify.md. Both were computed twice by independent means before this code existed:
enumeration in 40-digit arithmetic, and matrix algebra in float64."""

from __future__ import annotations

import math

import numpy as np
import pytest

from fruitbody.examine.finding import Finding, Observer, SeenOn
from fruitbody.funga.model import MeasureScore
from fruitbody.identify import measures as m
from fruitbody.identify.look_next import bits, danger_bits, measure_bins
from fruitbody.identify.outside import blurred_logs, relative_logs
from fruitbody.identify.spores import SporeSample, SporeScores, correlation, sample_density, sample_variance
from fruitbody.identify.tables import MeasureTable, StateTable
from tests.identify import worked

PRIOR = [0.10, 0.30, 0.30, 0.20, 0.10]
DB = 10 / math.log(10)
EXPECTED_DECIBANS = [
    [+1.125823, +1.125823, +1.125823, -9.499940],
    [+3.942164, +3.071856, -6.880309, -0.070140],
    [+1.352769, +0.126867, +1.439224, -2.196595],
    [+1.052182, +1.508948, +1.879792, -5.108099],
    [+2.151423, +0.316541, -2.887583, -1.204740],
    [-4.198418, -0.196613, +0.868264, +0.707946],
    [0.000000, -1.234611, -1.280068, +0.339105],
]


def steps() -> np.ndarray:
    logs = worked.chain(worked.model(), worked.findings(), worked.parameters())
    return np.diff(np.vstack([np.zeros(5), logs]), axis=0)


def posterior_of(found: list[Finding] | None = None, **model: object) -> np.ndarray:
    logs = worked.chain(worked.model(**model), found or worked.findings(), worked.parameters())
    return worked.posterior(logs[-1], PRIOR)


def test_the_posterior_of_worked_check_2_is_reproduced() -> None:
    expected = [0.2452842750, 0.6252847775, 0.0563262738, 0.0027852181, 0.0703194555]
    assert posterior_of() == pytest.approx(expected, abs=1e-9)


def test_the_decibans_of_worked_check_2_are_reproduced_finding_by_finding() -> None:
    assert steps()[:, :4] * DB == pytest.approx(np.array(EXPECTED_DECIBANS), abs=2e-6)


def test_decibans_add_up_to_the_posterior_odds_of_any_two_hypotheses() -> None:
    total, posterior = steps().sum(axis=0)[:4] * DB, posterior_of()
    for i in range(4):
        for j in range(4):
            odds = 10 * math.log10(posterior[i] / posterior[j])
            prior = 10 * math.log10(PRIOR[i] / PRIOR[j])
            assert total[i] - total[j] + prior == pytest.approx(odds, abs=1e-9)


def test_a_group_that_may_fail_is_a_mixture_over_the_whole_group() -> None:
    expected = [0.275339619, 0.604396617, 0.051452790, 0.003300323, 0.065510651]
    assert posterior_of(failure={"cap": 0.10}, temper={}) == pytest.approx(expected, abs=1e-9)


def test_the_outside_as_a_relative_of_known_taxa_is_reproduced() -> None:
    temper = np.array([1.0, 1.0, 0.8, 0.8, 0.8, 1.0, 0.9])
    v = np.array(PRIOR[:4])
    blurred = blurred_logs(steps()[:, :4], 0.3, temper=temper)
    outside = relative_logs(blurred, v, np.zeros(4, dtype=int), 1)[0]
    weight = np.array(PRIOR) * np.exp(np.append(steps().sum(axis=0)[:4], outside))
    expected = [0.239499739, 0.610538694, 0.054997932, 0.002719534, 0.092244102]
    assert weight / weight.sum() == pytest.approx(expected, abs=1e-9)


WRONG = {
    "nothing known counts as a match": [0.272519, 0.602721, 0.054294, 0.002685, 0.067782],
    "all exponents are 1": [0.283500, 0.602758, 0.049688, 0.001531, 0.062524],
    "a negation knows no error": [0.121201, 0.722338, 0.070421, 0.003446, 0.082594],
    "two colours are independent": [0.295829, 0.570623, 0.069214, 0.001684, 0.062651],
}


@pytest.mark.parametrize("fault", WRONG)
def test_a_program_with_a_known_fault_would_not_pass(fault: str) -> None:
    """The check can fail: each fault gives the figures of the table of wrong programs, and they are not ours."""
    logs = steps()
    if fault == "all exponents are 1":
        wrong = posterior_of(temper={})
    elif fault == "nothing known counts as a match":
        logs[6, 0] = 0.9 * math.log(1.0 / 0.854)
        wrong = worked.posterior(logs.sum(axis=0), PRIOR)
    elif fault == "a negation knows no error":
        p = np.array([0.95, 0.3, 0.0, 0.05]) * 0.9 + 0.1 * 0.25
        logs[5, :4] = np.log((1 - p) / 0.75)
        wrong = worked.posterior(logs.sum(axis=0), PRIOR)
    else:
        alone = worked.chain(worked.model(), worked.findings()[3:4], worked.parameters())[0]
        logs[3] = alone
        wrong = worked.posterior(logs.sum(axis=0), PRIOR)
    assert wrong == pytest.approx(WRONG[fault], abs=2e-6)
    assert wrong != pytest.approx(posterior_of(), abs=1e-4)


def test_the_order_of_findings_never_matters_inside_a_block() -> None:
    found = worked.findings()
    assert posterior_of(found[::-1]) == pytest.approx(posterior_of(found), abs=1e-12)


def test_look_next_gives_the_bits_of_the_worked_check() -> None:
    model, posterior = worked.model(), posterior_of()
    volva, stem = model.tables["volva"], model.tables["stem_length"]
    assert isinstance(volva, StateTable)
    assert isinstance(stem, MeasureTable)
    p = volva.p[0] @ volva.readings["clinic"]
    assert bits(posterior, p) == pytest.approx(0.533621103, abs=1e-8)
    assert danger_bits(posterior, np.array([1, 0, 0, 0, 0.2]), p) == pytest.approx(0.497123623, abs=1e-8)
    bins = measure_bins(stem.mu, np.hypot(stem.sigma, 0.05), posterior, leak_to=(0.05, stem))
    assert bits(posterior, bins) == pytest.approx(0.239398521, rel=0.01)


# Worked check 1: a spore sample.

RANGES = {
    "X": ((8.0, 10.0), (5.0, 6.0), (1.45, 1.80)),
    "Y": ((9.0, 12.0), (5.5, 7.0), (1.5, 1.9)),
    "Z": ((7.0, 9.0), (4.5, 6.0), None),
}


def spore_scores() -> SporeScores:
    rows = []
    for length, width, q in RANGES.values():
        mu_l, sd_l = m.score_to_normal(MeasureScore(*length))
        mu_w, sd_w = m.score_to_normal(MeasureScore(*width))
        sd_q = m.score_to_normal(MeasureScore(*q))[1] if q else None
        rows.append((mu_l, mu_w, sd_l, sd_w, correlation(sd_l, sd_w, sd_q)))
    return SporeScores(*(np.array(column) for column in zip(*rows, strict=True)))


BACKGROUND = SporeScores(*(np.array([v]) for v in (2.10, 1.65, 0.35, 0.30, 0.7)))


def sample(n: int) -> SporeSample:
    return SporeSample(ln_l=math.log(9.30), ln_w=math.log(5.60), n=n, calibration=0.010, reading_um=0.10)


def test_ranges_become_the_normal_scores_of_worked_check_1() -> None:
    scores = spore_scores()
    assert scores.mu_l == pytest.approx([2.1910133, 2.3410656, 2.0715674], abs=1e-7)
    assert scores.sd_w == pytest.approx([0.055421818, 0.073308060, 0.087449141], abs=1e-9)
    assert scores.rho == pytest.approx([0.4458985, 0.6128777, 0.5], abs=1e-7)


def test_the_variance_of_a_mean_of_30_spores_is_reproduced() -> None:
    v_ll, v_lw, v_ww = sample_variance(sample(30), spore_scores(), kappa=1.3, phi=0.6)
    assert v_ll == pytest.approx([0.0048729652, 0.0080305895, 0.0061531330], abs=1e-10)
    assert v_lw == pytest.approx([0.0018375093, 0.0041725307, 0.0035623343], abs=1e-10)
    assert v_ww == pytest.approx([0.0032944221, 0.0056810337, 0.0080373647], abs=1e-10)


def test_the_densities_of_worked_check_1_are_reproduced() -> None:
    own, base = sample_density(sample(30), spore_scores(), BACKGROUND, kappa=1.3, phi=0.6, leak=0.05)
    assert own == pytest.approx([36.041090, 10.017650, 3.2647473], rel=1e-7)
    assert base == pytest.approx([1.9790586], rel=1e-7)
    assert np.log(own / base) * DB == pytest.approx([12.603393, 7.0430721, 2.1739092], abs=1e-6)


@pytest.mark.parametrize(
    ("n", "x_to_y", "x_to_z"),
    [(1, 4.0177, 7.1740), (5, 5.1663, 9.6018), (30, 5.5603, 10.4295), (300, 5.6408, 10.5981), (10**9, 5.6499, 10.6173)],
)
def test_more_spores_weigh_hardly_more_because_collections_differ(n: int, x_to_y: float, x_to_z: float) -> None:
    own, _ = sample_density(sample(n), spore_scores(), BACKGROUND, kappa=1.3, phi=0.6, leak=0.05)
    decibans = np.log(own) * DB
    assert decibans[0] - decibans[1] == pytest.approx(x_to_y, abs=1e-4)
    assert decibans[0] - decibans[2] == pytest.approx(x_to_z, abs=1e-4)


CAP = m.score_to_normal(MeasureScore(40.0, 110.0))
MU, SIGMA = np.array([CAP[0]]), np.array([CAP[1]])


def test_one_value_between_two_numbers_is_an_interval_probability() -> None:
    assert m.one_between(40, 60, mu=MU, sigma=SIGMA, kappa=1.3)[0] == pytest.approx(0.2980235058, abs=1e-9)


def test_smallest_and_largest_of_five_are_scored_as_order_statistics() -> None:
    density = m.range_of_n(40, 60, 5, mu=MU, sigma=SIGMA, kappa=1.3, phi=0.6)[0]
    assert density == pytest.approx(1.203461166, rel=1e-6)


def test_an_unripe_size_says_only_that_the_final_one_is_no_smaller() -> None:
    assert m.still_growing(math.log(62), mu=MU, sigma=SIGMA, kappa=1.3)[0] == pytest.approx(0.56708861, abs=1e-8)


def test_one_value_with_its_uncertainty_is_a_widened_normal() -> None:
    value = m.one_value(math.log(62), 3 / 62, 1, mu=MU, sigma=SIGMA, kappa=1.3, phi=0.6)[0]
    assert value == pytest.approx(0.97689169, abs=1e-8)


def test_a_photo_reader_and_a_finder_are_different_classes_of_observer() -> None:
    from fruitbody.identify.readings import observer_class

    assert observer_class(Finding("ring", by=Observer.DIAGNOSTICIAN, seen_on=SeenOn.PHOTO)) == "between"
    assert observer_class(Finding("ring", by=Observer.FINDER, seen_on=SeenOn.MATERIAL)) == "finder"
