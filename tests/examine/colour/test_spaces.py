"""sRGB, XYZ, CIELAB and CIELCh against the standards' numbers and scikit-image."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.color import rgb2lab

from fruitbody.examine.colour.spaces import (
    ColourError,
    check_lab,
    decode,
    encode,
    lab_of_lch,
    lab_of_linear,
    lab_of_srgb,
    lch_of_lab,
    linear_of_lab,
    parse_hex,
    shown,
    slopes,
    srgb_of_lab,
)

CODES = st.tuples(*[st.integers(0, 255)] * 3)


def test_codes_become_light_as_iec_61966_2_1_says() -> None:
    """By hand: 10/255/12.92, and ((0.5 + 0.055)/1.055)^2.4 = 0.21404114."""
    assert decode([10, 127.5, 255]) == pytest.approx([0.00303527, 0.21404114, 1.0], abs=1e-8)


def test_lab_agrees_with_scikit_image() -> None:
    """Another white to four digits, (0.95047, 1, 1.08883), so up to 0.02 apart."""
    codes = np.random.default_rng(1).integers(0, 256, (2000, 3))
    np.testing.assert_allclose(lab_of_srgb(codes), rgb2lab(codes / 255.0), atol=0.03)


@given(CODES)
def test_codes_come_back_from_lab(code: tuple[int, int, int]) -> None:
    assert tuple(srgb_of_lab(lab_of_srgb(code))) == code


@given(CODES)
def test_light_and_lightness_angle_come_back(code: tuple[int, int, int]) -> None:
    light, lab = decode(code), lab_of_srgb(code)
    np.testing.assert_allclose(decode(encode(light)), light, atol=1e-12)
    np.testing.assert_allclose(linear_of_lab(lab), light, atol=1e-9)
    np.testing.assert_allclose(lab_of_lch(lch_of_lab(lab)), lab, atol=1e-9)


@given(st.integers(0, 255))
def test_a_grey_has_neither_a_nor_b(code: int) -> None:
    np.testing.assert_allclose(lab_of_srgb([code] * 3)[1:], 0, atol=1e-9)


def test_hue_runs_from_red_over_yellow() -> None:
    hues = lch_of_lab([[50, 10, 0], [50, 0, 10], [50, -10, 0], [50, 0, -10]])[:, 2]
    np.testing.assert_allclose(hues, [0, 90, 180, 270])


def test_less_light_moves_a_colour_towards_black_along_its_own_line() -> None:
    """The cube root: d(L, a, b) / d ln Y = (L + 16, a, b) / 3."""
    lab = lab_of_srgb((150, 105, 65))
    np.testing.assert_allclose(slopes(decode((150, 105, 65))).sum(axis=1), (lab + np.array([16, 0, 0])) / 3, rtol=1e-6)


def test_the_slopes_are_those_of_each_channel() -> None:
    light = decode((150, 105, 65))
    change = lab_of_linear(light * [1.001, 1, 1]) - lab_of_linear(light)
    np.testing.assert_allclose(slopes(light)[:, 0] * np.log(1.001), change, rtol=1e-2, atol=1e-4)


def test_a_colour_beyond_the_screen_is_told_from_one_within() -> None:
    assert shown([[50, 20, 20], [50, -120, 0], [100, 0, 0], [99, 0, 60]]).tolist() == [True, False, True, False]


@pytest.mark.parametrize("text", ["#B5763A", "b5763a", " #b5763A "])
def test_a_code_is_read_in_any_case_and_without_its_sign(text: str) -> None:
    assert parse_hex(text) == (181, 118, 58)


@pytest.mark.parametrize("text", ["#GGGGGG", "#FFF", "", "#12345", "red", "#1234567"])
def test_a_wrong_code_is_answered_with_the_right_form(text: str) -> None:
    with pytest.raises(ColourError, match="Write # and six digits"):
        parse_hex(text)


@pytest.mark.parametrize(
    ("lab", "words"),
    [
        ((120, 0, 0), "lightness runs from 0"),
        ((50, 200, 0), "a is 200"),
        ((50, 0, -300), "b is -300"),
        ((1, 2), "three"),
    ],
)
def test_a_value_outside_cielab_is_refused_with_a_sentence(lab: tuple[float, ...], words: str) -> None:
    with pytest.raises(ColourError, match=words):
        check_lab(lab)


def test_not_a_number_is_no_colour() -> None:
    with pytest.raises(ColourError, match="three numbers"):
        check_lab((float("nan"), 0, 0))
