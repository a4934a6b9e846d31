"""Frequency, region, month; and what a clinic learns of its own cases."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fruitbody.identify.index import index_of, month_weight, region_weight
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.prior import PastCase, learn, prior_of
from tests.identify.findings import KNOWN


def test_months_are_a_distribution_over_the_year() -> None:
    """0.9 of a kernel of ± 1 month and 0.1 spread over all twelve (engine §1.12): they sum to 1."""
    weights = [month_weight((9, 10), month) for month in range(1, 13)]
    assert sum(weights) == pytest.approx(1.0)
    assert weights[8] == pytest.approx(0.9 * 0.75 / 2 + 0.1 / 12)
    assert min(weights) == pytest.approx(0.1 / 12)


def test_the_year_is_round() -> None:
    assert month_weight((12,), 1) == pytest.approx(month_weight((6,), 7))


def test_a_listed_region_weighs_more_than_a_neighbour_and_that_more_than_elsewhere() -> None:
    taxon = KNOWN.taxa["serpula-lacrymans"]
    listed = next(iter(taxon.regions))
    near = next((r for r in KNOWN.regions[listed].near if r not in taxon.regions), "")
    far = [r for r in KNOWN.regions if r not in taxon.regions and not set(KNOWN.regions[r].near) & set(taxon.regions)]
    if near:
        assert region_weight(taxon, KNOWN, listed) > region_weight(taxon, KNOWN, near)
    for region in far:
        assert region_weight(taxon, KNOWN, listed) > region_weight(taxon, KNOWN, region) > 0


def test_no_prior_is_zero_and_all_sum_to_one() -> None:
    prior = prior_of(KNOWN, Parameters(), region="na-northeast", month=9)
    assert prior.taxa.min() > 0
    assert prior.taxa.sum() + prior.others.sum() + prior.stranger == pytest.approx(1.0)


def test_learning_counts_as_the_formula_says() -> None:
    """π = (α π⁰ + Σ γ^age r)/(α + Σ γ^age) with α = 200, γ = 0.8 (engine §1.13), by hand for two taxa."""
    prior = np.array([0.5, 0.5])
    cases = [PastCase(np.array([1.0, 0.0]), 0.0), PastCase(np.array([1.0, 0.0]), 2.0)]
    expected = (200 * 0.5 + 1 + 0.64) / (200 + 1.64)
    assert learn(prior, cases, np.array([False, False])) == pytest.approx([expected, 1 - expected])


shares = st.lists(st.floats(0.01, 1.0), min_size=3, max_size=3).map(lambda v: np.array(v) / sum(v))


@given(shares, st.lists(shares, max_size=400), st.lists(st.booleans(), min_size=3, max_size=3))
def test_learning_keeps_the_sum_and_never_lowers_a_dangerous_kind_or_starves_any(
    prior: np.ndarray, cases: list[np.ndarray], dangerous: list[bool]
) -> None:
    learnt = learn(prior, [PastCase(r, 1.0) for r in cases], np.array(dangerous))
    assert learnt.sum() == pytest.approx(prior.sum())
    assert (learnt >= 0.2 * prior - 1e-9).all()
    assert (learnt[dangerous] >= prior[dangerous] - 1e-9).all()


def test_a_learnt_prior_changes_the_ranking_and_not_the_evidence() -> None:
    from fruitbody.examine.finding import Finding
    from fruitbody.identify import Case, identify
    from fruitbody.identify.prior import Prior

    case = Case((Finding("form", states=("ball",)),), month=9)
    base = prior_of(KNOWN, Parameters(), month=9)
    favoured = KNOWN.taxa["scleroderma-citrinum-group"]
    r = np.array([float(t is favoured) for t in index_of(KNOWN).taxa])
    learnt = learn(base.taxa, [PastCase(r, 0.0)] * 100, index_of(KNOWN).dangerous > 0)
    before, after = identify(KNOWN, case), identify(KNOWN, case, prior=Prior(learnt, base.others, base.stranger))
    find = {c.id: c for c in before.candidates}, {c.id: c for c in after.candidates}
    assert find[1][favoured.id].probability > find[0][favoured.id].probability
    assert find[1][favoured.id].evidence == find[0][favoured.id].evidence
