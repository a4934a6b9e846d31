"""CIEDE2000 against the published pairs and scikit-image."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from skimage.color import deltaE_ciede2000

from fruitbody.examine.colour.ciede2000 import difference

PAIRS = np.loadtxt(Path(__file__).parent / "sharma.csv", delimiter=",", skiprows=1)
"""Table 1 of Sharma, Wu and Dalal 2005, Color Research and Application 30: 21–30. Taken from printings of the table in
test suites, not from the journal; scikit-image's own implementation gives the same to the printed fourth decimal."""


@pytest.mark.parametrize("pair", PAIRS, ids=[f"pair-{n}" for n in range(1, 35)])
def test_a_pair_of_sharma_wu_and_dalal(pair: np.ndarray) -> None:
    assert float(difference(pair[:3], pair[3:6])) == pytest.approx(pair[6], abs=5e-5)


def test_the_table_holds_all_34_pairs_and_scikit_image_vouches_for_them() -> None:
    assert len(PAIRS) == 34
    np.testing.assert_allclose(deltaE_ciede2000(PAIRS[:, :3], PAIRS[:, 3:6]), PAIRS[:, 6], atol=5e-5)


def random_pairs() -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(1)
    first = rng.uniform([0, -100, -100], [100, 100, 100], (5000, 3))
    return first, first + rng.normal(0, 15, first.shape)


def test_it_agrees_with_scikit_image_on_random_pairs() -> None:
    first, second = random_pairs()
    np.testing.assert_allclose(difference(first, second), deltaE_ciede2000(first, second), atol=1e-9)


def test_it_is_the_same_in_both_directions_and_zero_only_for_the_same_colour() -> None:
    first, second = random_pairs()
    np.testing.assert_allclose(difference(first, second), difference(second, first), atol=1e-12)
    assert difference(first, first).max() == 0
    assert difference(first, second).min() > 0


def test_black_and_white_are_100_apart() -> None:
    assert float(difference([100, 0, 0], [0, 0, 0])) == pytest.approx(100)


def test_one_colour_is_compared_with_many_at_once() -> None:
    many = np.full((4, 5, 3), 50.0)
    assert difference([50, 1, 2], many).shape == (4, 5)
