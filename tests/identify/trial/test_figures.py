"""Figures of merit against scikit-learn, SciPy, and values of engine §6."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats
from sklearn.linear_model import LogisticRegression
from sklearn.metrics import log_loss

from fruitbody.identify.trial import figures as f


@pytest.fixture(scope="module")
def stated() -> tuple[np.ndarray, np.ndarray]:
    """Probabilities over five hypotheses for 400 cases, and what was true."""
    rng = np.random.default_rng(1)
    p = rng.dirichlet(np.full(5, 0.4), 400)
    return p, np.array([rng.choice(5, p=row) for row in p])


def test_the_log_score_is_scikit_learns_log_loss_with_its_sign_turned(stated: tuple[np.ndarray, np.ndarray]) -> None:
    p, true = stated
    assert f.log_score(p[np.arange(400), true]) == pytest.approx(-log_loss(true, p, labels=range(5)), rel=1e-9)


def test_the_brier_score_is_the_squared_distance_to_the_truth(stated: tuple[np.ndarray, np.ndarray]) -> None:
    p, true = stated
    assert f.brier(p, true) == pytest.approx(float(((p - np.eye(5)[true]) ** 2).sum(axis=1).mean()), rel=1e-12)


def test_equals_count_before_the_true_one() -> None:
    assert [f.rank_of(np.array([0.4, 0.3, 0.3]), true) for true in (0, 1, 2)] == [1, 3, 3]


def test_the_smallest_set_counts_from_the_likeliest() -> None:
    assert f.smallest_set(np.array([0.05, 0.6, 0.3, 0.05])) == 2
    assert f.smallest_set(np.array([0.5, 0.3, 0.1, 0.1])) == 3


def test_the_calibration_slope_is_scikit_learns_logistic_regression_without_penalty() -> None:
    rng = np.random.default_rng(2)
    p = rng.uniform(0.02, 0.98, 3000)
    right = rng.random(3000) < p**1.5
    logit = np.log(p / (1 - p))[:, None]
    theirs = LogisticRegression(C=np.inf, tol=1e-10, max_iter=1000).fit(logit, right)
    ours = f.calibration(p, right)
    assert ours == pytest.approx((theirs.intercept_[0], theirs.coef_[0, 0]), rel=1e-4)


def test_overconfidence_shows_as_a_slope_below_one() -> None:
    rng = np.random.default_rng(3)
    logit = rng.normal(0, 1.5, 20_000)
    right = rng.random(20_000) < 1 / (1 + np.exp(-logit))
    assert f.calibration(1 / (1 + np.exp(-2 * logit)), right)[1] == pytest.approx(0.5, abs=0.03)


@pytest.mark.parametrize(("n", "known"), [(36, 0.145), (72, 0.106), (1_000, 0.028), (20_000, 0.006)])
def test_a_perfectly_calibrated_engine_shows_the_known_error_at_each_size(n: int, known: float) -> None:
    rng = np.random.default_rng(4)
    found = []
    for _ in range(200 if n < 5000 else 20):
        p = rng.uniform(0.1, 1.0, n)
        found.append(f.ece(p, rng.random(n) < p))
    assert np.mean(found) == pytest.approx(known, rel=0.25)


def test_the_sums_leave_their_room_one_time_of_twenty() -> None:
    rng = np.random.default_rng(5)
    outside = 0
    for _ in range(2000):
        p = rng.uniform(0, 1, 60)
        gap, room = f.sums(p, rng.random(60) < p)
        outside += abs(gap) > room
    assert outside / 2000 == pytest.approx(0.0455, abs=0.015)


@pytest.mark.parametrize(("hits", "n"), [(0, 29_956), (0, 72), (3, 500), (17, 40)])
def test_the_upper_bound_is_clopper_and_pearsons(hits: int, n: int) -> None:
    assert f.upper_bound(hits, n) == pytest.approx(stats.beta.ppf(0.95, hits + 1, n - hits), rel=1e-6)


def test_none_wrong_of_29956_bounds_the_rate_by_one_in_ten_thousand() -> None:
    assert f.upper_bound(0, 29_956) == pytest.approx(1e-4, rel=1e-3)


def test_the_interval_is_scipys_bootstrap_where_every_case_is_a_cluster_of_its_own() -> None:
    values = np.random.default_rng(6).exponential(1.0, 200)
    theirs = stats.bootstrap((values,), np.mean, n_resamples=4000, method="percentile", rng=7).confidence_interval
    ours = f.interval(values, np.arange(200), rounds=4000)
    assert ours == pytest.approx((theirs.low, theirs.high), abs=0.02)


def test_cases_of_one_taxon_that_agree_widen_the_interval() -> None:
    values = np.repeat(np.random.default_rng(8).random(20), 50)
    low, high = f.interval(values, np.repeat(np.arange(20), 50))
    narrow = f.interval(values, np.arange(1000))
    assert high - low > 5 * (narrow[1] - narrow[0])


def test_any_statistic_can_have_an_interval() -> None:
    values = np.arange(100.0)
    low, high = f.interval(values, np.arange(100), lambda v: float(np.median(v)))
    assert low < 49.5 < high


def test_detection_is_the_share_above_the_false_alarm_threshold() -> None:
    ordinary, strange = np.arange(100.0), np.array([10.0, 95.0, 97.0, 200.0])
    found, threshold = f.detection(ordinary, strange, 0.05)
    assert (ordinary > threshold).mean() <= 0.05
    assert found == 0.5
