"""Spores found in drawn fields of known truth, and sentences for pictures in which there are none."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from skimage import measure as sk

from fruitbody.examine.spores.accuracy import score, together
from fruitbody.examine.spores.bodies import ALMOND, BROWN, HYALINE, STAINED, Look
from fruitbody.examine.spores.bodies_found import CUT_OFF, TOUCHING
from fruitbody.examine.spores.detection import Detection, detect, drawn, sample_of
from fruitbody.examine.spores.errors import FieldError
from fruitbody.examine.spores.micrograph import Micrograph, Setting, draw
from fruitbody.examine.spores.optics import Optics
from fruitbody.examine.spores.printed import PRINTED
from fruitbody.examine.spores.sifting import BUBBLE, OUT_OF_FOCUS
from tests.examine.spores.pictures import drawn_ellipses, with_scale_bar

DRY_40 = Optics(0.1, 0.75)
FIELD = Setting(DRY_40, seed=31)
ALONE = Setting(
    DRY_40, 1000, 800, spores=10, clumps=0, debris=0, bubbles=0, hyphae=0, stray=0, defocus_um=0, tilt_deg=0
)


@pytest.fixture(scope="module")
def field() -> Micrograph:
    return draw(FIELD)


@pytest.fixture(scope="module")
def found(field: Micrograph) -> Detection:
    return detect(field.picture, 0.1)


# Precision and bias


@pytest.mark.parametrize(
    ("optics", "look"),
    [(Optics(0.2, 0.5), HYALINE), (DRY_40, STAINED), (DRY_40, BROWN), (DRY_40, ALMOND)],
    ids=["20x hyaline", "40x stained", "40x brown", "40x almond"],
)
def test_accepted_spores_are_right_and_their_mean_length_within_a_tenth_of_a_micrometre(
    optics: Optics, look: Look
) -> None:
    fields = [draw(Setting(optics, 1200, 900, spores=30, look=look, seed=seed)) for seed in (32, 33)]
    result = together([score(detect(one.picture, optics.um_per_px).accepted, one) for one in fields])
    assert result.precision >= 0.95
    assert result.recall > 0.6
    assert abs(result.length_um) < 0.1
    assert abs(result.width_um) < 0.1


def test_oil_immersion_is_measured_within_a_tenth_of_a_micrometre() -> None:
    optics = Optics(0.06, 1.25, index=1.4)
    one = draw(replace(ALONE, optics=optics, width_px=1400, height_px=1000, seed=34))
    result = score(detect(one.picture, 0.06).accepted, one)
    assert result.right >= 4
    assert abs(result.length_um) < 0.1


@pytest.mark.parametrize("depths", [-0.5, 0.5])
def test_half_a_depth_of_field_out_of_focus_changes_little(depths: float) -> None:
    one = draw(replace(ALONE, focus_um=depths * DRY_40.depth_um, seed=35))
    assert abs(score(detect(one.picture, 0.1).accepted, one).length_um) < 0.1


def test_a_crowded_field_keeps_its_precision() -> None:
    one = draw(replace(FIELD, spores=120, clumps=0, hyphae=1, anywhere=True, seed=36))
    assert (
        score(detect(one.picture, 0.1).accepted, one).precision > 0.9
    )  # 12 of 13; the thirteenth is tilted 35 degrees


def test_the_hilar_appendage_does_not_lengthen_a_spore() -> None:
    with_it, without = (draw(replace(ALONE, look=replace(BROWN, apiculus_um=size), seed=37)) for size in (1.0, 0.0))
    lengths = [score(detect(one.picture, 0.1).accepted, one).length_um for one in (with_it, without)]
    assert lengths[0] == pytest.approx(lengths[1], abs=0.06)


def test_ornament_is_left_out() -> None:
    one = draw(replace(ALONE, look=replace(BROWN, warts_um=0.3), seed=38))
    assert abs(score(detect(one.picture, 0.1).accepted, one).length_um) < 0.15


def test_light_of_one_slope_or_another_gives_the_same_sizes() -> None:
    plain, sloping = (draw(replace(ALONE, gradient=g, noise=0.005, seed=39)) for g in (0.0, 0.6))
    means = [np.mean([b.length_px for b in detect(one.picture).accepted]) for one in (plain, sloping)]
    assert means[0] == pytest.approx(means[1], rel=0.005)


# Drawn otherwise


@pytest.mark.parametrize(("length", "width"), [(90, 55), (40, 25), (22, 16)])
@pytest.mark.parametrize(("ground", "ink"), [(200, 120), (40, 150)])
def test_plain_discs_dark_or_bright_are_measured_within_a_quarter_of_a_pixel(
    length: float, width: float, ground: float, ink: float
) -> None:
    picture, truth = drawn_ellipses(length, width, field=ground, ink=ink)
    bodies = detect(picture).accepted
    assert len(bodies) == 30
    off = [_true(truth, b.x, b.y) - (b.length_px, b.width_px) for b in bodies]
    assert np.abs(np.mean(off, axis=0)) == pytest.approx(0, abs=0.25)


@pytest.mark.parametrize(("ground", "ink"), [(200, 120), (40, 150)])
def test_plain_rims_are_measured_at_their_outer_side_within_a_pixel_on_either_side(ground: float, ink: float) -> None:
    picture, truth = drawn_ellipses(90, 55, field=ground, ink=ink, line=3)
    bodies = detect(picture).accepted
    assert len(bodies) == 30
    off = [_true(truth, b.x, b.y) - (b.length_px, b.width_px) for b in bodies]
    assert np.abs(np.mean(off, axis=0)) == pytest.approx(0, abs=1.5)


def test_ellipses_agree_with_scikit_images_moments() -> None:
    picture, _ = drawn_ellipses(90, 55, blur=0)
    regions = sk.regionprops(sk.label(picture < 160))
    for body in detect(picture).accepted:
        near = min(regions, key=lambda r: np.hypot(r.centroid[1] - body.x, r.centroid[0] - body.y))
        assert (near.axis_major_length, near.axis_minor_length) == pytest.approx(
            (body.length_px, body.width_px), abs=0.3
        )


def test_the_fitted_ellipse_agrees_with_scikit_images_fit() -> None:
    picture, _ = drawn_ellipses(90, 55)
    body = detect(picture).accepted[0]
    model = sk.EllipseModel.from_estimate(np.array(body.outline))
    assert model
    assert sorted(model.axis_lengths) == pytest.approx(sorted((body.length_px / 2, body.width_px / 2)), abs=0.25)


def _true(truth: NDArray[np.float64], x: float, y: float) -> NDArray[np.float64]:
    return truth[np.hypot(truth[:, 0] - x, truth[:, 1] - y).argmin(), 2:]


# Reasons


def test_a_spore_over_the_edge_is_cut_off(field: Micrograph, found: Detection) -> None:
    cut = [t for t in field.truth if t.kind == "spore" and t.cut and 0 < t.x < 1600 and 0 < t.y < 1200]
    near = [b for t in cut for b in found.rejected if np.hypot(b.x - t.x, b.y - t.y) < 60]
    assert cut
    assert CUT_OFF in {b.reason for b in near}


def test_clumps_are_told_as_touching(field: Micrograph, found: Detection) -> None:
    clumped = [t for t in field.truth if t.kind == "clump"]
    assert clumped
    for t in clumped:
        assert all(np.hypot(b.x - t.x, b.y - t.y) > 10 for b in found.accepted)
    assert TOUCHING in {b.reason for b in found.rejected}


def test_a_bubble_is_told_as_one() -> None:
    one = draw(replace(ALONE, spores=0, bubbles=5, width_px=1600, height_px=1200, seed=40))
    with pytest.raises(FieldError, match="an air bubble"):
        detect(one.picture, 0.1)
    assert BUBBLE == "an air bubble"


def test_a_spore_far_above_the_others_is_out_of_focus_or_no_clean_outline() -> None:
    one = draw(replace(ALONE, spores=12, stray=0.0, seed=41))
    blurred = one.picture.copy()
    sharp = detect(one.picture, 0.1).accepted
    x, y = round(sharp[0].x), round(sharp[0].y)
    part = blurred[y - 70 : y + 70, x - 70 : x + 70]
    part[:] = cv2.GaussianBlur(part, (0, 0), 4)
    again = detect(blurred, 0.1)
    assert all(np.hypot(b.x - x, b.y - y) > 20 for b in again.accepted)
    assert OUT_OF_FOCUS in {b.reason for b in again.rejected if np.hypot(b.x - x, b.y - y) < 30}


def test_no_body_is_both_accepted_and_rejected(found: Detection) -> None:
    for a in found.accepted:
        assert all(np.hypot(a.x - r.x, a.y - r.y) > 5 for r in found.rejected)


def test_every_outline_is_drawn_on_a_copy_and_the_picture_stays(field: Micrograph, found: Detection) -> None:
    before = field.picture.copy()
    assert not np.array_equal(drawn(field.picture, found), field.picture)
    assert np.array_equal(before, field.picture)


def test_the_dark_round_an_eyepieces_field_is_no_body(field: Micrograph) -> None:
    y, x = np.mgrid[0:1200, 0:1600]
    seen = np.clip((590 - np.hypot(x - 800, y - 600)) / 10, 0, 1)[:, :, None]
    result = score(detect((field.picture * seen).astype(np.uint8), 0.1).accepted, field)
    assert result.right >= 10
    assert result.accepted - result.right <= 1


# Scale


def test_twice_the_scale_gives_twice_the_length(field: Micrograph) -> None:
    one, two = (sample_of(detect(field.picture, um)) for um in (0.1, 0.2))
    assert two.spores[0].length == pytest.approx(2 * one.spores[0].length)


def test_without_a_calibration_there_are_only_pixels(field: Micrograph) -> None:
    bare = detect(field.picture)
    assert sample_of(bare).unit == "px"
    assert "no calibration" in bare.remarks[0]


@pytest.mark.parametrize("um", [0.0, -0.1, 10.0, float("nan")])
def test_a_scale_that_no_microscope_has_is_refused(field: Micrograph, um: float) -> None:
    with pytest.raises(FieldError, match="cannot be"):
        detect(field.picture, um)


# Bad input


def test_an_empty_field_says_so() -> None:
    with pytest.raises(FieldError, match="There is no body in this field"):
        detect(draw(replace(ALONE, spores=0, seed=42)).picture, 0.1)


def test_a_field_of_clumps_says_so() -> None:
    one = draw(replace(ALONE, spores=0, clumps=9, width_px=1600, height_px=1200, seed=43))
    clumps = replace(one.setting)
    picture = one.picture
    for body in (b for b in detect_or_nothing(picture) if not b.reason):
        x, y = round(body.x), round(body.y)  # whoever lies free of its clump is wiped away
        picture[y - 75 : y + 75, x - 75 : x + 75] = np.median(picture, axis=(0, 1))
    with pytest.raises(FieldError, match=r"clumps|can be measured"):
        detect(picture, clumps.optics.um_per_px)


def detect_or_nothing(picture: NDArray[np.uint8]) -> tuple[object, ...]:
    try:
        return detect(picture, 0.1).accepted
    except FieldError:
        return ()


def test_a_burnt_in_scale_bar_is_set_aside_and_said(field: Micrograph, found: Detection) -> None:
    barred = detect(with_scale_bar(field.picture), 0.1)
    assert PRINTED in {b.reason for b in barred.rejected}
    assert any("It was not read" in words for words in barred.remarks)
    assert {(round(b.x), round(b.y)) for b in barred.accepted} <= {(round(b.x), round(b.y)) for b in found.accepted}


def test_a_tiny_picture_is_refused() -> None:
    with pytest.raises(FieldError, match="too small"):
        detect(np.zeros((20, 20), dtype=np.uint8))
