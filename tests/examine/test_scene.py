"""The renderer's geometry, light and repeatability. Lengths in mm, pixels as in docs/scene.md."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest

from fruitbody.examine.scene import (
    Camera,
    Cap,
    Card,
    Coin,
    FruitBody,
    Ground,
    Lens,
    Light,
    Ruler,
    Scene,
    Stem,
    disc_ellipse,
    render,
)
from fruitbody.examine.scene.__main__ import main
from fruitbody.examine.scene.colour import encode, lab
from fruitbody.examine.scene.demo import demo_scenes
from fruitbody.examine.scene.place import lying
from fruitbody.examine.scene.profile import solid, stem_radius
from fruitbody.examine.scene.solids import lowest
from fruitbody.examine.scene.truth import outline_points, truth_of

CLEAN = Lens(blur_px=0.6, vignetting=0.0, noise=0.0)
NEUTRAL = Light(warmth=0.0, strength=1.0)
BROWN = FruitBody(Cap(40.0, colour=(150, 90, 50)), Stem(50.0, 6, 7, 9), base_mm=(0, 0, 0))


def small(tilt: float, distance: float = 200.0, heading: float = 0.0) -> Camera:
    """A 640 x 480 camera that looks at the origin."""
    return Camera.looking_at((0, 0, 0), distance_mm=distance, tilt_deg=tilt, heading_deg=heading, f_px=1120).scaled(640)


def coin_scene(camera: Camera, coin: Coin, lens: Lens = CLEAN) -> Scene:
    return Scene(camera, references=(coin,), ground=Ground("board", colour=(60, 42, 30)), light=NEUTRAL, lens=lens)


# --- camera ---------------------------------------------------------------------------------------------------------


def test_a_point_goes_to_its_pixel_and_its_ray_comes_back_to_the_point() -> None:
    camera = replace(small(50, heading=30), roll_deg=8)
    points = np.array([[10.0, -20.0, 0.0], [-35.0, 12.0, 0.0], [0.0, 0.0, 0.0]])
    np.testing.assert_allclose(camera.on_plane(camera.project(points), [0, 0, 0], [0, 0, 1]), points, atol=1e-9)


def test_the_target_falls_on_the_principal_point() -> None:
    camera = small(37, heading=-70)
    np.testing.assert_allclose(camera.project([0.0, 0.0, 0.0]), camera.principal_px, atol=1e-9)


def test_a_point_behind_the_camera_has_no_pixel() -> None:
    assert np.isnan(small(0).project([0.0, 0.0, 500.0])).all()


def test_the_camera_agrees_with_opencv() -> None:
    """cv2.projectPoints without distortion, an independent pinhole."""
    camera = replace(small(48, heading=25), roll_deg=-5)
    points = np.random.default_rng(1).uniform(-50, 50, (30, 3))
    k = np.array([[camera.f_px, 0, camera.principal_px[0]], [0, camera.f_px, camera.principal_px[1]], [0, 0, 1]])
    turn, _ = cv2.Rodrigues(camera.axes)
    expected, _ = cv2.projectPoints(points, turn, -camera.axes @ np.array(camera.position_mm), k, np.zeros(4))
    np.testing.assert_allclose(camera.project(points), expected[:, 0], atol=1e-6)


# --- the coin's ellipse ---------------------------------------------------------------------------------------------


def test_a_coin_seen_straight_from_above_is_a_circle_of_f_d_over_z() -> None:
    camera = small(0, distance=300)
    e = disc_ellipse(camera, (0.0, 0.0, 0.0), 24.26)
    assert (e.major_px, e.minor_px) == pytest.approx((camera.f_px * 24.26 / 300,) * 2, rel=1e-12)


def test_height_brings_the_coin_nearer_by_just_that_much() -> None:
    camera = small(0, distance=300)
    assert disc_ellipse(camera, (0, 0, 30.0), 24.26).major_px == pytest.approx(camera.f_px * 24.26 / 270, rel=1e-12)


@pytest.mark.parametrize("tilt", [20.0, 40.0, 60.0])
def test_tilt_lengthens_the_major_axis_only_by_perspective(tilt: float) -> None:
    """On the axis the excess is (r sin t / Z)^2 / 2 to second order and the axis ratio cos t: series of the pinhole."""
    camera, r, z = small(tilt, distance=250), 12.13, 250.0
    e = disc_ellipse(camera, (0.0, 0.0, 0.0), 2 * r)
    excess = e.major_px / (camera.f_px * 2 * r / z) - 1
    assert excess == pytest.approx((r * np.sin(np.radians(tilt)) / z) ** 2 / 2, rel=0.02)
    assert e.minor_px / e.major_px == pytest.approx(np.cos(np.radians(tilt)), rel=5e-3)


def test_the_ellipse_passes_through_the_projected_rim() -> None:
    camera = replace(small(55, heading=20), roll_deg=4)
    a = np.linspace(0, 2 * np.pi, 50)
    rim = camera.project(np.stack([20 + 12.13 * np.cos(a), -15 + 12.13 * np.sin(a), np.full(50, 5.0)], axis=1))
    e = disc_ellipse(camera, (20.0, -15.0, 5.0), 24.26)
    turn = np.radians(e.angle_deg)
    d = rim - e.centre_px
    u, v = d @ [np.cos(turn), np.sin(turn)], d @ [-np.sin(turn), np.cos(turn)]
    np.testing.assert_allclose((2 * u / e.major_px) ** 2 + (2 * v / e.minor_px) ** 2, 1.0, atol=1e-9)


@pytest.mark.parametrize("tilt", [5.0, 35.0, 58.0])
def test_opencv_finds_the_coin_where_the_truth_says(tilt: float) -> None:
    """Outside check: cv2.fitEllipse on the half-way contour of the bright face, within half a pixel."""
    coin = Coin((8.0, -6.0), height_mm=4.0, thickness_mm=0.0, plain=True, colour=(230, 230, 230))
    picture, truth = render(coin_scene(small(tilt, distance=110), coin))
    mask = (cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY) > 172).astype(np.uint8)  # half the light between board and coin
    contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    (x, y), axes, _ = cv2.fitEllipse(max(contours, key=len))
    e = truth["references"][0]["ellipse"]
    assert (x, y) == pytest.approx(e["centre_px"], abs=0.5)
    # the contour runs through the centres of the outermost pixels: half a pixel short on each side
    assert (max(axes) + 1, min(axes) + 1) == pytest.approx((e["major_px"], e["minor_px"]), abs=0.6)


# --- fruit bodies ---------------------------------------------------------------------------------------------------


def distance_of_pixels(camera: Camera, pair: dict[str, Any], normal: list[float]) -> float:
    px, mm = np.array(pair["px"]), np.array(pair["mm"])
    ends = camera.on_plane(px, mm.mean(axis=0), normal)
    return float(np.linalg.norm(ends[1] - ends[0]))


@pytest.mark.parametrize("profile", ["convex", "conical", "bell", "flat", "depressed", "umbonate", "egg"])
def test_the_margin_pixels_lead_back_to_the_caps_width(profile: Any) -> None:
    camera = small(50, heading=15)
    truth = truth_of(Scene(camera, (replace(BROWN, cap=replace(BROWN.cap, profile=profile), lean_deg=14),)))
    body = truth["fruit_bodies"][0]
    assert distance_of_pixels(camera, body["cap"]["margin"], body["axis"]) == pytest.approx(40.0, abs=1e-3)


def test_the_stem_ends_are_the_stems_length_apart() -> None:
    ends = np.array(truth_of(Scene(small(50), (replace(BROWN, lean_deg=30),)))["fruit_bodies"][0]["stem"]["ends"]["mm"])
    assert np.linalg.norm(ends[1] - ends[0]) == pytest.approx(50.0, abs=1e-3)


def test_the_stem_has_its_widths_at_apex_middle_and_base() -> None:
    stem = Stem(50.0, 6, 7, 9)
    np.testing.assert_allclose(2 * stem_radius(stem, np.array([1.0, 0.5, 0.0])), [6, 7, 9])


def test_the_rendered_cap_is_as_wide_as_the_truth_says() -> None:
    """A camera straight above sees the widest ring of the cap as a disc of f W / depth."""
    camera = Camera((0.0, 0.0, 400.0), tilt_deg=0.0, f_px=1120, width=640, height=480)
    light = Light(warmth=0, ambient=1.0)
    picture, truth = render(Scene(camera, (BROWN,), ground=Ground("paper"), light=light, lens=CLEAN))
    brown = picture[..., 2].astype(int) < 130
    columns = np.nonzero(brown.any(axis=0))[0]
    px = np.array(truth["fruit_bodies"][0]["cap"]["margin"]["px"])
    assert columns[-1] - columns[0] + 1 == pytest.approx(px[1, 0] - px[0, 0], abs=1.5)


def test_the_box_holds_the_rendered_body() -> None:
    camera = Camera.looking_at((0, 0, 25), distance_mm=250, tilt_deg=65, f_px=1120).scaled(640)
    light = Light(warmth=0, ambient=1.0)
    scene = Scene(camera, (replace(BROWN, stem=Stem(50, 6, 7, 9, colour=(120, 70, 30))),), light=light, lens=CLEAN)
    picture, truth = render(replace(scene, ground=Ground("paper")))
    y, x = np.nonzero(picture[..., 0].astype(int) - picture[..., 2] > 30)
    assert [x.min(), y.min(), x.max(), y.max()] == pytest.approx(truth["fruit_bodies"][0]["box_px"], abs=2.0)


def test_a_body_laid_down_touches_the_ground_and_does_not_sink() -> None:
    body = lying(BROWN, 5.0, 5.0)
    assert outline_points(body)[:, 2].min() == pytest.approx(0.0, abs=0.05)
    assert lowest(body) + body.base_mm[2] == pytest.approx(0.0, abs=1e-9)


def test_the_signed_distance_vanishes_at_the_margin() -> None:
    shape = solid(BROWN)
    d = shape.look("union", np.array([20.0], dtype=np.float32), np.array([shape.margin_z], dtype=np.float32))
    assert abs(float(d[0])) < 0.05


# --- light ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("code", [40, 118, 200])
def test_an_evenly_lit_neutral_patch_shows_its_own_srgb(code: int) -> None:
    card = Card((0.0, 0.0), plain=True, colour=(code, code, code))
    picture, _ = render(Scene(small(20), references=(card,), ground=Ground("paper"), light=NEUTRAL, lens=CLEAN))
    np.testing.assert_allclose(picture[220:260, 300:340].reshape(-1, 3).mean(axis=0), code, atol=0.6)


def test_half_the_light_gives_the_code_of_iec_61966_2_1() -> None:
    """Linear 0.5 encodes to 1.055 * 0.5^(1/2.4) - 0.055 = 0.735357, code 187.516 (the standard's formula by hand)."""
    card = Card((0.0, 0.0), plain=True, colour=(255, 255, 255))
    light = replace(NEUTRAL, strength=0.5)
    picture, _ = render(Scene(small(20), references=(card,), ground=Ground("paper"), light=light, lens=CLEAN))
    assert picture[230:250, 310:330].mean() == pytest.approx(187.516, abs=0.6)


def test_encoding_is_linear_near_black() -> None:
    assert float(encode(np.array(0.002))) == pytest.approx(12.92 * 0.002 * 255)


def test_lab_of_white_is_100_and_red_agrees_with_opencv() -> None:
    """OpenCV's float conversion, an independent implementation with the same white."""
    assert lab((255, 255, 255)) == pytest.approx((100, 0, 0), abs=1e-9)
    outside = cv2.cvtColor(np.array([[[196, 38, 22]]], dtype=np.float32) / 255, cv2.COLOR_RGB2LAB)[0, 0]
    assert lab((196, 38, 22)) == pytest.approx(outside.tolist(), abs=0.3)


def test_the_body_throws_a_shadow_away_from_the_light() -> None:
    light = Light(azimuth_deg=-90.0, elevation_deg=45.0, warmth=0.0)
    picture, _ = render(Scene(small(0, distance=350), (BROWN,), ground=Ground("paper"), light=light, lens=CLEAN))
    px = np.rint(small(0, distance=350).project([[58.0, 0.0, 0.0], [-58.0, 0.0, 0.0]])).astype(int)
    dark, bright = (int(picture[y, x].mean()) for x, y in px)
    assert dark < bright - 40


# --- repeatability and records --------------------------------------------------------------------------------------


def test_equal_scenes_give_equal_pixels_and_truth() -> None:
    scene = Scene(small(45), (BROWN,), (Coin((30.0, -10.0)),), ground=Ground("lawn"), seed=7)
    (first, truth), (second, again) = render(scene), render(scene)
    assert first.tobytes() == second.tobytes()
    assert truth == again


def test_another_seed_gives_another_picture_but_the_same_geometry() -> None:
    scene = Scene(small(45), (BROWN,), (Coin((30.0, -10.0)),), ground=Ground("litter"), seed=7)
    (first, truth), (second, other) = render(scene), render(replace(scene, seed=8))
    assert first.tobytes() != second.tobytes()
    assert truth["fruit_bodies"] == other["fruit_bodies"]
    assert truth["references"] == other["references"]


def test_the_ruler_carries_one_line_a_millimetre() -> None:
    camera = Camera((-40.0, 0.0, 80.0), tilt_deg=0.0, f_px=1120, width=640, height=480)  # 14 px a millimetre
    scene = Scene(camera, references=(Ruler((0.0, -8.0)),), ground=Ground("paper"), light=NEUTRAL, lens=CLEAN)
    picture, _ = render(scene)
    row = round(float(camera.project([0.0, 3.0, 1.0])[1]))  # through the shortest lines
    dark = (picture[row, :, 1] < 150).astype(int)
    starts = np.nonzero(np.diff(dark) == 1)[0]
    assert np.diff(starts).mean() == pytest.approx(camera.f_px / 79.0, rel=0.01)
    assert np.diff(starts).max() <= np.ceil(camera.f_px / 79.0) + 1


def test_a_camera_in_the_ground_is_refused() -> None:
    with pytest.raises(ValueError, match="lift its position"):
        render(Scene(replace(small(30), position_mm=(0.0, 0.0, -5.0))))


def test_each_demo_submission_has_two_to_five_views_one_of_them_with_a_reference() -> None:
    groups: dict[str, list[Scene]] = {}
    for name, scene in demo_scenes().items():
        groups.setdefault(name.rsplit("-", 1)[0], []).append(scene)
    assert len(groups) == 13
    assert all(2 <= len(scenes) <= 5 for scenes in groups.values())
    assert all(any(s.references for s in scenes) for scenes in groups.values())


def test_every_reference_of_the_demo_lies_wholly_in_its_picture() -> None:
    for name, scene in demo_scenes().items():
        for reference in truth_of(scene)["references"]:
            px = np.array(reference["corners"]["px"])
            inside = (px > 0).all() and (px < [scene.camera.width, scene.camera.height]).all()
            assert inside, f"{name}: {reference['kind']} reaches out of the picture"


def test_the_command_writes_pictures_and_truth_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([str(tmp_path), "--only", "white-button-top", "--width", "320"]) == 0
    truth = json.loads((tmp_path / "white-button-top.json").read_text(encoding="utf-8"))
    picture = cv2.imread(str(tmp_path / "white-button-top.jpg"))
    assert picture is not None
    assert picture.shape == (240, 320, 3)
    assert (truth["camera"]["width_px"], truth["name"]) == (320, "white-button-top")
    assert "1 of 1" in capsys.readouterr().out


def test_an_unknown_scene_name_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([str(tmp_path), "--only", "no-such"]) == 2
    assert "No scene begins with" in capsys.readouterr().err
