"""The engine against something outside the project: scikit-learn, SciPy, published tables."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import entropy, norm
from sklearn.datasets import load_digits
from sklearn.naive_bayes import CategoricalNB

from fruitbody.examine.finding import Finding
from fruitbody.funga.model import MeasureScore
from fruitbody.identify import measures as m
from fruitbody.identify.likelihood import Evidence
from fruitbody.identify.look_next import bits
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.tables import Model, StateTable
from tests.identify.findings import KNOWN


@pytest.fixture(scope="module")
def table() -> tuple[np.ndarray, np.ndarray]:
    """A public categorical table: the optical digits (Alpaydin and Kaynak 1998, UCI), in five greys."""
    digits = load_digits()
    return np.minimum(digits.data[:, 10:54] // 4, 4).astype(int), digits.target


def naive_model(x: np.ndarray, y: np.ndarray) -> tuple[Model, np.ndarray]:
    """Our engine without leak, misreading, groups or outside, on the same smoothed shares."""
    classes, levels = np.unique(y), 5
    prior = np.array([(y == k).mean() for k in classes])
    tables = {}
    for c in range(x.shape[1]):
        counts = np.array([[np.sum((y == k) & (x[:, c] == s)) for s in range(levels)] for k in classes])
        p = (counts + 1) / (counts.sum(axis=1, keepdims=True) + levels)
        background = np.full(levels, 1 / levels)
        tables[f"c{c}"] = StateTable(
            id=f"c{c}",
            group=f"g{c}",
            order=c,
            states=tuple(str(s) for s in range(levels)),
            p=np.vstack([p, background])[None],
            background=background,
            readings={"clinic": np.eye(levels)},
            not_applicable=background,
            known=np.ones(len(classes) + 1, dtype=bool),
        )
    rows = (*(str(k) for k in classes), "reference")
    return Model(tables, rows, len(classes), np.full(len(rows), 0.5), {}, {}, {}), prior


def test_the_posterior_equals_scikit_learns_categorical_naive_bayes(table: tuple[np.ndarray, np.ndarray]) -> None:
    x, y = table
    model, prior = naive_model(x, y)
    theirs = CategoricalNB(alpha=1.0, min_categories=5).fit(x, y).predict_proba(x[:60])
    for row, expected in zip(x[:60], theirs, strict=True):
        evidence = Evidence(model, Parameters())
        evidence.add_all([Finding(f"c{c}", states=(str(s),)) for c, s in enumerate(row)])
        weight = prior * np.exp(evidence.log_ratio()[:-1] - evidence.log_ratio()[:-1].max())
        assert weight / weight.sum() == pytest.approx(expected, abs=1e-9)


def test_expected_information_equals_scipys_entropy_differences() -> None:
    rng = np.random.default_rng(5)
    for _ in range(20):
        posterior = rng.dirichlet(np.ones(9))
        p = rng.dirichlet(np.ones(4), size=9)
        outcome = posterior @ p
        after = sum(q * entropy(posterior * p[:, o] / q, base=2) for o, q in enumerate(outcome))
        assert bits(posterior, p) == pytest.approx(entropy(posterior, base=2) - after, abs=1e-10)


def test_interval_probabilities_equal_scipys_normal_distribution() -> None:
    low, high = np.array([-8.0, -1.2, 0.0, 2.5]), np.array([-2.0, 0.7, 7.5, 2.6])
    assert m.between(low, high) == pytest.approx(norm.cdf(high) - norm.cdf(low), abs=1e-12)
    z = np.linspace(-6, 6, 101)
    assert m.normal_cdf(z) == pytest.approx(norm.cdf(z), abs=2e-8)


def test_the_density_of_a_range_equals_a_direct_integral() -> None:
    """Order statistics of n normal draws about a collection mean, integrated with 4,001 equal steps."""
    mu, sigma = m.score_to_normal(MeasureScore(40.0, 110.0))
    lo, hi, n, kappa, phi = np.log(35.0), np.log(90.0), 7, 1.3, 0.6
    outer, inner = np.sqrt(phi) * kappa * sigma, np.sqrt(1 - phi) * kappa * sigma
    beta = np.linspace(mu - 8 * outer, mu + 8 * outer, 4001)
    f = norm.pdf(lo, beta, inner) * norm.pdf(hi, beta, inner)
    inside = (norm.cdf(hi, beta, inner) - norm.cdf(lo, beta, inner)) ** (n - 2)
    expected = np.trapezoid(norm.pdf(beta, mu, outer) * n * (n - 1) * f * inside, beta)
    ours = m.range_of_n(35, 90, n, mu=np.array([mu]), sigma=np.array([sigma]), kappa=kappa, phi=phi)[0]
    assert ours == pytest.approx(expected, rel=1e-6)


PUBLISHED_ONSETS = {
    # Olson, Poisoning & Drug Overdose, mushroom chapter, as listed in docs/sources.md
    "1A": (6, 24),
    "2B": (0.25, 2),
    "4A": (5, 10),
    "2C": (0.5, 2),
}


@pytest.mark.parametrize("code", PUBLISHED_ONSETS)
def test_onsets_stand_in_the_funga_as_published(code: str) -> None:
    stated = {(o.low_h, o.high_h) for o in KNOWN.syndromes[code].onsets}
    assert PUBLISHED_ONSETS[code] in stated


@pytest.mark.parametrize("code", ["2B", "2C", "4A"])
def test_where_two_tables_differ_both_stand_side_by_side(code: str) -> None:
    sources = {onset.source for onset in KNOWN.syndromes[code].onsets}
    assert len(sources) >= 2


@pytest.mark.parametrize("code", ["1A", "1C"])
def test_the_late_deadly_syndromes_are_marked_late(code: str) -> None:
    assert KNOWN.syndromes[code].late


def test_the_terminal_prints_the_contract(tmp_path: Path) -> None:
    file = tmp_path / "case.toml"
    file.write_text(
        'month = 9\nregion = "US-NY"\n'
        '[[finding]]\ncharacter = "gill attachment"\nvalue = "decurrent"\nby = "diagnostician"\n'
        '[[finding]]\ncharacter = "growth-habit"\nvalue = ["joined at base", "cespitose"]\nby = "finder"\n',
        encoding="utf-8",
    )
    run = subprocess.run(
        [sys.executable, "-m", "fruitbody.cli.main", "identify", str(file), "--json"],
        capture_output=True,
        text=True,
        check=True,
    )
    data = json.loads(run.stdout)
    assert set(data) >= {
        "candidates", "ranks", "proposal", "none_of_these", "fit", "not_excluded", "excluded", "look_next",
    }  # fmt: skip
    assert set(data["candidates"][0]) >= {"id", "name", "rank", "probability", "compared_on", "evidence"}
    assert set(data["proposal"]) >= {"name", "rank", "qualifier", "probability"}
    assert set(data["not_excluded"][0]) >= {"group", "syndrome", "members", "settle_by", "listed"}
    assert set(data["look_next"][0]) >= {
        "character", "bits", "danger_bits", "minutes", "wait_hours", "destroys", "vanishes",
    }  # fmt: skip
    assert data["candidates"] == sorted(data["candidates"], key=lambda c: -c["probability"])


@pytest.mark.parametrize("n", [1, 4, 30])
def test_a_mean_of_n_fruit_bodies_of_one_collection_keeps_the_spread_between_collections(n: int) -> None:
    """SciPy's normal density with variance κ²σ²(φ + (1 − φ)/n) + u², which no n brings below φκ²σ² + u²."""
    mu, sigma = m.score_to_normal(MeasureScore(40.0, 110.0))
    variance = (1.3 * sigma) ** 2 * (0.6 + 0.4 / n) + 0.05**2
    ours = m.one_value(np.log(80.0), 0.05, n, mu=np.array([mu]), sigma=np.array([sigma]), kappa=1.3, phi=0.6)[0]
    assert ours == pytest.approx(norm.pdf(np.log(80.0), mu, np.sqrt(variance)), rel=1e-12)
