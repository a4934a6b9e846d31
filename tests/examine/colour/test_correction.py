"""Taking the light out: gains and matrices from marked places and card patches."""

from __future__ import annotations

import numpy as np
import pytest

from fruitbody.examine.colour.ciede2000 import difference
from fruitbody.examine.colour.correction import NONE, PAPER, Correction, by_card, by_grey, by_white
from fruitbody.examine.colour.patch import Disc, measure, sample
from fruitbody.examine.colour.patches import PATCHES
from fruitbody.examine.colour.pixels import Pixels
from fruitbody.examine.colour.spaces import RGB, ColourError, Floats, decode, encode, lab_of_linear, lab_of_srgb

TRUE = np.array([patch.lab for patch in PATCHES])
LIGHT = decode([patch.srgb for patch in PATCHES])
WARM = np.array([0.8, 0.7, 0.5])
"""Dim yellow light, as gains of red, green and blue."""


def under(light: Floats, code: RGB) -> Pixels:
    """A photo, 60 pixels square, of one colour under a light."""
    return np.full((60, 60, 3), np.rint(encode(decode(code) * light)), dtype=np.uint8)


def left(correction: Correction, code: RGB, light: Floats = WARM) -> float:
    """What remains of the light after correction, ΔE00."""
    found = measure(under(light, code), Disc(30, 30, 10), correction, flat=True)
    return float(difference(found.lab, lab_of_srgb(code)))


def test_a_white_of_known_colour_takes_out_strength_and_warmth() -> None:
    white = by_white(sample(under(WARM, (236, 235, 230)), Disc(30, 30, 10)), tuple(lab_of_srgb((236, 235, 230))))
    assert left(NONE, (150, 105, 65)) > 5
    assert left(white, (150, 105, 65)) < 0.5


def test_paper_is_taken_for_a_usual_white_where_nobody_says_which() -> None:
    white = by_white(sample(under(WARM, (236, 235, 230)), Disc(30, 30, 10)))
    found = measure(under(WARM, (236, 235, 230)), Disc(30, 30, 10), white, flat=True)
    np.testing.assert_allclose(found.lab, PAPER, atol=0.3)


def test_a_grey_takes_out_the_warmth_and_leaves_the_lightness_in_doubt() -> None:
    grey = by_grey(sample(under(WARM, (120, 120, 120)), Disc(30, 30, 10)))
    found = measure(under(WARM, (120, 120, 120)), Disc(30, 30, 10), grey, flat=True)
    np.testing.assert_allclose(found.lab[1:], 0, atol=0.3)
    assert found.expanded[0] > 2 * found.expanded[2]
    assert any("how strong the light was" in words for words in found.warnings)


def test_the_doubt_shrinks_from_nothing_over_grey_and_white() -> None:
    photo, disc = under(WARM, (150, 105, 65)), Disc(30, 30, 10)
    grey = by_grey(sample(under(WARM, (120, 120, 120)), disc))
    white = by_white(sample(under(WARM, (236, 235, 230)), disc))
    found = [measure(photo, disc, one).u for one in (NONE, grey, white)]
    assert found == sorted(found, reverse=True)
    assert found[2] < 0.7 * found[0]


def test_a_flat_print_is_surer_than_a_rounded_cap() -> None:
    white = by_white(sample(under(WARM, (236, 235, 230)), Disc(30, 30, 10)))
    photo, disc = under(WARM, (150, 105, 65)), Disc(30, 30, 10)
    assert measure(photo, disc, white, flat=True).expanded[0] < measure(photo, disc, white).expanded[0]


def test_a_card_recovers_gains_exactly() -> None:
    fit = by_card(lab_of_linear(LIGHT * WARM), TRUE)
    np.testing.assert_allclose(fit.matrix, np.diag(1 / WARM), atol=1e-6)
    assert fit.residuals.max() < 1e-3
    assert fit.warnings == ()


def test_a_card_recovers_a_mixing_of_channels_by_a_matrix() -> None:
    """A camera whose channels see some of each other's light."""
    mix = np.array([[0.75, 0.2, 0.0], [0.1, 0.7, 0.15], [0.02, 0.2, 0.6]])
    fit = by_card(lab_of_linear(LIGHT @ mix.T), TRUE)
    np.testing.assert_allclose(fit.matrix, np.linalg.inv(mix), atol=1e-3)


def test_noise_alone_does_not_buy_a_matrix() -> None:
    noise = np.exp(np.random.default_rng(2).normal(0, 0.03, LIGHT.shape))
    fit = by_card(lab_of_linear(LIGHT * WARM * noise), TRUE)
    np.testing.assert_allclose(fit.matrix, np.diag(np.diag(fit.matrix)))
    np.testing.assert_allclose(np.diag(fit.matrix), 1 / WARM, rtol=0.04)


def test_patches_that_disagree_are_said_and_widen_the_doubt() -> None:
    shadow = np.where(np.arange(len(LIGHT)) < 5, 0.5, 1.0)[:, None]
    fit, clean = by_card(lab_of_linear(LIGHT * WARM * shadow), TRUE), by_card(lab_of_linear(LIGHT * WARM), TRUE)
    assert any("disagree" in words for words in fit.warnings)
    assert np.trace(fit.doubt) > 4 * np.trace(clean.doubt)


def test_burnt_out_patches_of_the_card_are_left_out() -> None:
    bright = np.clip(LIGHT * 1.6, 0, 1)
    np.testing.assert_allclose(by_card(lab_of_linear(bright), TRUE).matrix, np.eye(3) / 1.6, atol=1e-6)


def test_the_cards_colours_are_far_apart_and_enough_of_them_are_grey() -> None:
    apart = difference(TRUE[:, None], TRUE[None]) + 100 * np.eye(len(TRUE))
    assert apart.min() > 5
    assert sum(patch.name.startswith("grey") and np.hypot(*patch.lab[1:]) < 1 for patch in PATCHES) >= 4


@pytest.mark.parametrize(
    ("measured", "true", "words"),
    [
        ([[50, 0, 0]], [[50, 0, 0]], "at least two patches"),
        ([[50, 0, 0], [60, 0, 0]], [[50, 0, 0]], "at least two patches"),
        ([50, 0, 0], [50, 0, 0], "three numbers each"),
        ([[float("nan"), 0, 0]] * 2, [[50, 0, 0]] * 2, "three numbers each"),
        ([[100, 0, 0]] * 3, [[50, 0, 0]] * 3, "burnt out"),
    ],
)
def test_a_card_that_tells_nothing_is_refused(measured: object, true: object, words: str) -> None:
    with pytest.raises(ColourError, match=words):
        by_card(measured, true)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("code", "words"), [((255, 255, 255), "burnt out"), ((12, 12, 12), "nearly black")], ids=["burnt", "black"]
)
def test_a_white_that_tells_nothing_is_refused(code: RGB, words: str) -> None:
    with pytest.raises(ColourError, match=words):
        by_white(sample(under(np.ones(3), code), Disc(30, 30, 10)))


def test_a_burnt_out_grey_is_refused() -> None:
    with pytest.raises(ColourError, match="grey place between"):
        by_grey(sample(under(np.ones(3), (255, 255, 255)), Disc(30, 30, 10)))


def test_a_white_that_looks_coloured_is_said() -> None:
    white = by_white(sample(under(np.ones(3), (230, 190, 90)), Disc(30, 30, 10)))
    assert any("strongly coloured" in words for words in white.warnings)
