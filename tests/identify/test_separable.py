"""Which kinds can be told apart by what is scored: worked by hand and by SciPy, and on a funga spoilt on purpose."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import entropy, multivariate_normal, norm

from fruitbody.funga.model import DeclaredGroup, Funga, StateScore, TakenFor
from fruitbody.identify.separable import DB, apart, expectation, unseparated
from fruitbody.identify.separable import _normals as normals

PAIR = ("amanita-phalloides", "volvopluteus-gloiocephalus")


def alike(known: Funga, *, scores: int = 99) -> Funga:
    """Two congeners with one and the same first scores."""
    first = known.taxa["hypholoma-fasciculare"]
    kept = dict(list(first.scores.items())[:scores])
    twin = replace(known.taxa["hypholoma-lateritium"], scores=kept, taken_for=())
    return replace(
        known, taxa={first.id: replace(first, scores=kept, taken_for=()), twin.id: twin}, digest=f"alike {scores}"
    )


def test_expected_decibans_of_states_are_the_relative_entropy_of_the_reports(known: Funga) -> None:
    two = replace(known, taxa={key: known.taxa[key] for key in PAIR}, digest="two")
    expected = expectation(two)
    rows = expected.reports["deposit_colour"]
    forth, back = (10 / math.log(10) * entropy(rows[i], rows[1 - i]) for i in (0, 1))
    found = apart(expected, 0, 1)
    assert min(forth, back) <= found.best_db + 1e-9
    assert expected.reports["deposit_colour"].sum(axis=1) == pytest.approx(np.ones(len(rows)))


def test_expected_decibans_of_a_size_are_those_of_two_normals_by_quadrature() -> None:
    x = np.linspace(-8, 8, 400_001)
    p, q = norm.pdf(x, 0.3, 0.4), norm.pdf(x, 0.0, 0.9)
    by_quadrature = DB * np.trapezoid(p * np.log(p / q), x)
    assert normals(np.array([0.3]), np.array([[0.16]]), np.array([[0.81]])) == pytest.approx(by_quadrature, rel=1e-8)


def test_length_and_width_are_one_sample_of_two_numbers() -> None:
    p, q = np.array([[0.02, 0.008], [0.008, 0.01]]), np.array([[0.03, -0.004], [-0.004, 0.02]])
    draws = multivariate_normal(np.array([0.2, -0.1]), p).rvs(400_000, random_state=7)
    ratio = multivariate_normal(np.array([0.2, -0.1]), p).logpdf(draws) - multivariate_normal(np.zeros(2), q).logpdf(
        draws
    )
    assert normals(np.array([0.2, -0.1]), p, q) == pytest.approx(DB * ratio.mean(), rel=0.01)


def test_how_far_apart_two_kinds_are_does_not_depend_on_who_comes_first(known: Funga) -> None:
    expected = expectation(known)
    a, b = list(known.taxa).index(PAIR[0]), list(known.taxa).index(PAIR[1])
    assert apart(expected, a, b) == apart(expected, b, a)


def test_a_character_counts_by_the_direction_in_which_it_says_less(known: Funga) -> None:
    """Who may show two states gives the other away half the time; who shows only the first never does."""
    two = alike(known)
    plain, both = two.taxa.values()
    scores = [{("substrate", ""): StateScore(mostly=states)} for states in (("grass",), ("grass", "timber"))]
    taxa = {plain.id: replace(plain, scores=scores[0]), both.id: replace(both, scores=scores[1])}
    expected = expectation(replace(two, taxa=taxa, digest="one way"))
    rows = expected.reports["substrate"]
    forth, back = (DB * entropy(rows[i], rows[1 - i]) for i in (0, 1))
    assert max(forth, back) > 1.2 * min(forth, back)
    assert apart(expected, 0, 1).best_db == pytest.approx(min(forth, back))


def test_a_kind_is_not_apart_from_itself(known: Funga) -> None:
    found = apart(expectation(known), 3, 3)
    assert (found.best_db, found.together_db) == (0.0, 0.0)


def test_two_congeners_scored_alike_are_named(known: Funga) -> None:
    (remark,) = unseparated(alike(known))
    assert "nothing scored tells them apart" in str(remark)


def test_what_only_one_of_them_is_scored_for_tells_nothing_apart(known: Funga) -> None:
    two = alike(known, scores=6)
    richer = {**two.taxa, "hypholoma-fasciculare": known.taxa["hypholoma-fasciculare"]}
    assert len(unseparated(replace(two, taxa=richer, digest="richer"))) == 1


def test_a_declared_group_may_stay_together(known: Funga) -> None:
    two = alike(known)
    group = DeclaredGroup("hypholoma-group", "Hypholoma group", "Hypholoma", tuple(two.taxa), "alike", "x")
    assert unseparated(replace(two, groups={group.id: group}, digest="grouped")) == []


def test_a_pair_that_says_it_takes_a_sequence_has_said_so(known: Funga) -> None:
    two = alike(known)
    said = (TakenFor("hypholoma-lateritium", (), "", "without a sequence"),)
    first = replace(two.taxa["hypholoma-fasciculare"], taken_for=said)
    assert unseparated(replace(two, taxa={**two.taxa, first.id: first}, digest="said")) == []


def test_one_character_that_is_never_shared_is_enough(known: Funga) -> None:
    two = alike(known)
    twin = two.taxa["hypholoma-lateritium"]
    scores = {**twin.scores, ("hymenium", ""): StateScore(mostly=("pores",))}
    apart_now = replace(two, taxa={**two.taxa, twin.id: replace(twin, scores=scores)}, digest="pores")
    assert unseparated(apart_now) == []


def test_every_pair_of_the_funga_is_separable_or_says_why_not(known: Funga) -> None:
    assert [str(remark) for remark in unseparated(known)] == []
