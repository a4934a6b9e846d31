"""Coins, cards and rulers in rendered and in real pictures: found where they are, refused where they are doubtful."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import cv2
import numpy as np
import pytest
from skimage import data, measure

from fruitbody.examine.photo.card import FoundCard, find_id1, shape_misfit, stretch_at
from fruitbody.examine.photo.coins import coins, find_coin, pairs
from fruitbody.examine.photo.picture import Picture
from fruitbody.examine.photo.plane import plane_of_disc
from fruitbody.examine.photo.references import Reference, find_references, judged, rough_reference
from fruitbody.examine.photo.rim import Round, ellipse_through
from fruitbody.examine.photo.rounds import find_rounds
from fruitbody.examine.photo.ruler import find_ruler, hierarchy, ruler_scale
from fruitbody.examine.scene import Camera, disc_ellipse
from tests.examine.photo.scenes import camera, card_photo, coin_photo, drawn_ruler, ruler_photo, sheet_photo

QUARTER = coins()["us-quarter"]

# --- the data file --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("coin", "mm"),
    [("us-cent", 19.05), ("us-nickel", 21.21), ("us-dime", 17.91), ("us-quarter", 24.26), ("us-half-dollar", 30.61)],
)
def test_united_states_coins_have_the_diameters_of_their_mint(coin: str, mm: float) -> None:
    """United States Mint, Coin Specifications."""
    assert coins()[coin].mm == mm


@pytest.mark.parametrize(("coin", "mm"), [("euro-2", 25.75), ("euro-1", 23.25), ("euro-50-cents", 24.25)])
def test_euro_coins_have_the_diameters_of_the_council_regulation(coin: str, mm: float) -> None:
    """Council Regulation (EC) No 975/98."""
    assert coins()[coin].mm == mm


def test_every_coin_names_its_source_and_those_that_are_not_round_are_less_sure() -> None:
    for coin in coins().values():
        assert coin.source
        assert coin.metal in ("silver", "copper", "gold", "two")
        assert coin.round or coin.u_mm > 0.06


def test_the_ratio_of_two_coins_offers_pairs_of_one_country() -> None:
    offered = pairs(24.26, 17.91)
    assert (offered[0][0].id, offered[0][1].id) == ("us-quarter", "us-dime")
    assert all(a.id[:2] == b.id[:2] for a, b in offered)


# --- coins ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("tilt", [0.0, 15.0, 35.0, 55.0])
def test_a_coin_is_found_at_any_tilt_within_a_third_of_a_percent(tilt: float) -> None:
    picture, truth = coin_photo(tilt)
    found = find_coin(picture, QUARTER).chosen
    assert found is not None
    e = truth["references"][0]["ellipse"]
    assert found.major_px == pytest.approx(e["major_px"], rel=0.0035)
    assert found.minor_px == pytest.approx(e["minor_px"], rel=0.008)
    assert found.centre_px == pytest.approx(e["centre_px"], abs=0.4)


def test_a_coin_is_found_beside_a_mushroom_and_the_cap_is_not_taken_for_it() -> None:
    picture, truth = coin_photo(30.0, body=True)
    found = find_coin(picture, QUARTER).chosen
    assert found is not None
    assert found.major_px == pytest.approx(truth["references"][0]["ellipse"]["major_px"], rel=0.0035)


def test_a_mushroom_alone_is_no_coin() -> None:
    picture, truth = coin_photo(30.0, body=True)
    x, y = (round(v) for v in truth["references"][0]["ellipse"]["centre_px"])
    pixels = picture.rgb.copy()
    patch = pixels[10:110, 10:110] if min(x, y) > 120 else pixels[-110:-10, 10:110]
    pixels[y - 50 : y + 50, x - 50 : x + 50] = patch
    assert find_coin(replace(picture, rgb=pixels), QUARTER).chosen is None


def test_a_coin_half_out_of_the_picture_gives_a_sentence_and_no_scale() -> None:
    picture, truth = coin_photo(15.0)
    x = round(truth["references"][0]["ellipse"]["centre_px"][0])
    search = find_coin(replace(picture, rgb=np.ascontiguousarray(picture.rgb[:, :x])), QUARTER)
    assert search.chosen is None
    assert search.why.endswith(".")


def test_without_being_told_the_coin_the_kinds_that_fit_are_offered_and_nothing_is_measured() -> None:
    picture, _ = coin_photo(15.0)
    found = find_references(picture, "auto")
    (coin,) = [r for r in found.every if r.kind == "coin"]
    assert not coin.found
    assert "us-quarter" in coin.offers
    assert "us-cent" not in coin.offers  # a copper coin
    assert found.used is None
    assert any("Say which it is" in words for words in found.warnings)


def test_two_coins_of_different_size_are_not_chosen_between_unless_pointed_at() -> None:
    picture, truth = coin_photo(0.0)
    e = truth["references"][0]["ellipse"]
    x, y = (round(v) for v in e["centre_px"])
    pixels = picture.rgb.copy()
    small = cv2.resize(pixels[y - 45 : y + 45, x - 45 : x + 45], None, fx=1.5, fy=1.5, interpolation=cv2.INTER_CUBIC)
    pixels[60 : 60 + len(small), 60 : 60 + len(small)] = small
    doubled = replace(picture, rgb=pixels)
    search = find_coin(doubled, QUARTER)
    assert search.chosen is None
    assert "Point at the coin" in search.why
    pointed = find_coin(doubled, QUARTER, near=(float(x), float(y))).chosen
    assert pointed is not None
    assert pointed.major_px == pytest.approx(e["major_px"], rel=0.0035)


def test_the_coins_of_a_real_museum_picture_are_found() -> None:
    """scikit-image's coins.png: 24 coins of antiquity, by count; worn and not round, so few are fit to measure by."""
    picture = Picture(np.repeat(data.coins()[..., None], 3, axis=2))
    found = find_rounds(picture, most=40)
    apart = [r for k, r in enumerate(found) if not any(math.dist(r.centre_px, o.centre_px) < 15 for o in found[:k])]
    assert len([r for r in apart if r.seen > 0.6]) >= 14
    assert all(30 < r.major_px < 75 for r in apart if r.seen > 0.92)


def test_round_things_of_a_real_photo_are_not_taken_for_a_coin() -> None:
    """scikit-image's coffee.png: a cup, a saucer and a spoon, no coin."""
    assert find_coin(Picture(data.coffee(), 35.0), QUARTER).chosen is None


@pytest.mark.parametrize("name", ["astronaut", "rocket", "chelsea"])
def test_real_photos_without_a_reference_give_no_scale(name: str) -> None:
    found = find_references(Picture(np.ascontiguousarray(getattr(data, name)()), 35.0), "us-quarter")
    assert found.used is None
    assert found.warnings


def test_the_ellipse_fit_agrees_with_scikit_image() -> None:
    """skimage.measure.EllipseModel on the same noisy points, an independent fit."""
    true = Round((210.0, 160.0), 130.0, 90.0, 25.0)
    angles = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    points = true.at(angles) + np.random.default_rng(2).normal(0, 0.2, (90, 2))
    ours = ellipse_through(points)
    other = measure.EllipseModel.from_estimate(points)
    assert ours is not None
    assert ours.centre_px == pytest.approx(tuple(other.center), abs=0.1)
    assert (ours.major_px, ours.minor_px) == pytest.approx(
        tuple(2 * a for a in sorted(other.axis_lengths, reverse=True)), abs=0.2
    )


@pytest.mark.parametrize(("tilt", "heading"), [(20.0, 0.0), (45.0, 30.0), (60.0, -20.0)])
def test_the_plane_of_a_coin_follows_from_its_ellipse(tilt: float, heading: float) -> None:
    """Analytic truth: the renderer's camera looks down on level ground."""
    view = Camera.looking_at((0, 0, 0), distance_mm=300, tilt_deg=tilt, heading_deg=heading)
    at = (40.0, -25.0, 3.0)
    e = disc_ellipse(view, at, 24.26)
    lens = Picture(np.zeros((view.height, view.width, 3), np.uint8), 30.0).lens
    plane = plane_of_disc(
        e.centre_px, (e.major_px, e.minor_px), e.angle_deg, 24.26,
        lens=replace(lens, f_px=view.f_px), principal_px=view.principal_px,
    )  # fmt: skip
    np.testing.assert_allclose(plane.normal, view.axes @ [0, 0, 1], atol=1e-6)
    part = np.array([-30.0, 40.0, 28.0])
    px = view.project(part)
    assert plane.depth((float(px[0]), float(px[1])), 25.0) == pytest.approx(float(view.depth(part)), rel=1e-6)


# --- cards ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("tilt", [5.0, 30.0, 50.0])
def test_an_id1_card_is_found_and_its_plane_is_metric(tilt: float) -> None:
    picture, truth = card_photo(tilt)
    card = find_id1(picture)
    assert card is not None
    corners = card.to_mm(truth["references"][0]["corners"]["px"])
    sides = sorted(float(np.linalg.norm(corners[k] - corners[k - 1])) for k in range(4))
    assert sides == pytest.approx([53.98, 53.98, 85.60, 85.60], rel=0.006)


def test_a_rectangle_of_another_shape_is_no_card() -> None:
    h = cv2.getPerspectiveTransform(
        np.array([[0, 0], [85.6, 0], [85.6, 53.98], [0, 53.98]], np.float32),
        np.array([[100, 100], [398, 100], [398, 310], [100, 310]], np.float32),
    )
    picture, _ = card_photo(5.0)
    assert shape_misfit(h, picture.lens, picture.width, picture.height) > 0.09  # an A4 sheet: 1.414 against 1.586


def test_the_stretch_of_a_homography_is_that_of_its_jacobian() -> None:
    """By finite differences of OpenCV's own transformation."""
    h = np.array([[4.0, 0.3, 50], [-0.2, 3.1, 80], [0.0008, 0.001, 1.0]])
    at = np.array([40.0, 25.0])

    def to(p: Any) -> Any:
        return cv2.perspectiveTransform(np.array([[p]]), h)[0, 0]

    step = 1e-4
    jacobian = np.column_stack([(to(at + d) - to(at - d)) / (2 * step) for d in np.eye(2) * step])
    expected = np.linalg.svd(jacobian, compute_uv=False)
    assert stretch_at(h, 40.0, 25.0)[:2] == pytest.approx(tuple(expected), rel=1e-5)


# --- rulers ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("tilt", "turn"), [(0.0, 0.0), (30.0, 0.0), (30.0, 25.0), (50.0, 0.0)])
def test_a_millimetre_ruler_gives_the_scale_across_the_view(tilt: float, turn: float) -> None:
    picture, truth = ruler_photo(tilt, turn)
    ruler = find_ruler(picture)
    assert ruler is not None
    assert ruler.unit == "mm"
    view = camera(tilt, 170)
    corners = np.array(truth["references"][0]["corners"]["mm"])
    at = view.on_plane(ruler.ends_px.mean(axis=0), corners[0], [0, 0, 1])
    expected = float(view.depth(at)) / view.f_px
    scale = ruler_scale(ruler, picture.lens, view.principal_px)
    assert scale.mm_per_px == pytest.approx(expected, rel=0.006)
    assert abs(scale.mm_per_px - expected) < 3 * scale.u_mm_per_px


@pytest.mark.parametrize("unit", ["mm", "inch"])
@pytest.mark.parametrize("tilt", [0.0, 35.0])
def test_the_unit_is_read_from_the_marks_themselves(unit: str, tilt: float) -> None:
    view = camera(tilt, 160)
    picture = sheet_photo(drawn_ruler(unit), 10.0, view)
    ruler = find_ruler(picture)
    assert ruler is not None
    assert ruler.unit == unit
    assert ruler.px_per_mm == pytest.approx(view.f_px / 160, rel=0.08)


def test_marks_of_equal_length_are_refused_because_the_unit_is_unknown() -> None:
    sheet = np.full((260, 1100, 3), 228, np.uint8)
    for n in range(100):
        sheet[:40, 50 + 10 * n - 1 : 50 + 10 * n + 1] = 25
    ruler = find_ruler(sheet_photo(sheet, 10.0, camera(0.0, 160)))
    assert ruler is not None
    assert ruler.unit == ""
    assert "millimetres or sixteenths" in ruler.why


def test_a_bent_ruler_is_refused() -> None:
    sheet = drawn_ruler("mm")
    h, w = sheet.shape[:2]
    y, x = np.mgrid[0 : h + 120, 0:w].astype(np.float32)
    bent = cv2.remap(
        sheet, x, y - 110 + 100 * ((x - w / 2) / (w / 2)) ** 2, cv2.INTER_LINEAR, borderValue=(110, 110, 110)
    )
    ruler = find_ruler(sheet_photo(bent, 10.0, camera(0.0, 160)))
    assert ruler is None or ruler.why


def test_a_hierarchy_explains_only_its_own_unit() -> None:
    n = np.arange(100)
    mm = 4.0 + 2 * (n % 5 == 0) + 2 * (n % 10 == 0)
    inch = 4.0 + sum(1.5 * (n % k == 0) for k in (2, 4, 8, 16))
    assert hierarchy(n, mm, "mm") > 0.99 > 0.5 > hierarchy(n, mm, "inch")
    assert hierarchy(n, inch, "inch") > 0.99 > 0.5 > hierarchy(n, inch, "mm")


# --- several --------------------------------------------------------------------------------------------------------


def reference(kind: str, mm_per_px: float, share: float = 0.004) -> Reference:
    picture, _ = coin_photo(15.0)
    found = find_references(picture, "us-quarter").used
    assert found is not None
    assert found.scale is not None
    scale = replace(found.scale, size_mm=mm_per_px * found.scale.major_px, u_size_mm=share * found.scale.size_mm)
    return replace(found, kind=kind, scale=scale)


def test_references_that_agree_give_the_surest_one() -> None:
    picture, _ = coin_photo(15.0)
    found = judged((reference("us-quarter", 0.3), reference("id-1 card", 0.301, 0.001)), picture)
    assert found.used is not None
    assert found.used.kind == "id-1 card"


def test_references_that_disagree_are_named_and_nothing_is_measured() -> None:
    picture, _ = coin_photo(15.0)
    found = judged((reference("us-quarter", 0.3), reference("id-1 card", 0.33)), picture)
    assert found.used is None
    assert "US quarter dollar and the id-1 card differ by 10 %" in found.warnings[0]


def test_a_hand_is_rough_only_and_marked_so() -> None:
    picture, _ = coin_photo(15.0)
    assert find_references(picture, "hand").used is None
    rough = rough_reference("hand", (100.0, 100.0), (400.0, 100.0))
    assert rough.rough
    assert rough.scale is not None
    assert rough.scale.u_mm_per_px / rough.scale.mm_per_px > 0.1


def test_an_unknown_reference_is_answered_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match="us-quarter"):
        find_references(coin_photo(15.0)[0], "button")


def test_a_panorama_gives_no_reference_at_all() -> None:
    picture, _ = coin_photo(15.0)
    assert find_references(replace(picture, odd=("panorama",)), "us-quarter").used is None


def test_a_found_card_carries_its_corners() -> None:
    picture, _ = card_photo(30.0)
    card = find_id1(picture)
    assert isinstance(card, FoundCard)
    found = find_references(picture, "card")
    assert found.used is not None
    np.testing.assert_allclose(found.used.outline_px, card.corners_px)
