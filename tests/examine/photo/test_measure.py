"""Lengths, outlines, quality, the printed card and the terminal."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pypdfium2 as pdfium
import pytest
from PIL import ExifTags, Image
from skimage import data

from fruitbody.cli.main import main
from fruitbody.examine.photo import card_layout
from fruitbody.examine.photo.card import find_scale_card, printed_scale
from fruitbody.examine.photo.lengths import Height, between, in_plane, nearer_mm
from fruitbody.examine.photo.measure import measure
from fruitbody.examine.photo.outline import find_subjects, suggest
from fruitbody.examine.photo.picture import Picture
from fruitbody.examine.photo.quality import judge, sharpness
from fruitbody.examine.photo.references import find_references
from fruitbody.examine.scene import Camera, Cap, FruitBody, Ground, Lens, Light, Scene, Stem, render
from fruitbody.report.banned import banned_words
from fruitbody.report.scale_card import patch_lab, scale_card
from tests.examine.photo.scenes import camera, coin_photo, f35, jpeg, sheet_photo

# --- lengths --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("tilt", [0.0, 30.0, 50.0])
def test_the_width_of_a_cap_is_covered_when_its_height_is_told(tilt: float) -> None:
    picture, truth = coin_photo(tilt, body=True)
    used = find_references(picture, "us-quarter").used
    assert used is not None
    cap = truth["fruit_bodies"][0]["cap"]
    a, b = (tuple(p) for p in cap["margin"]["px"])
    height = float(np.mean(cap["margin"]["mm"], axis=0)[2]) - truth["references"][0]["height_mm"]
    found = between(picture, used, a, b, height=Height(height, 2.0, told=True))
    assert found.value_mm == pytest.approx(cap["width_mm"], rel=0.025)
    assert abs(found.value_mm - cap["width_mm"]) < found.expanded_mm
    nearer, u = nearer_mm(used, picture, ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), Height(height, 2.0, told=True))
    true = truth["references"][0]["depth_mm"] - cap["depth_mm"]
    assert abs(nearer - true) < 3 * u


def test_a_cap_nearer_than_the_coin_would_be_too_large_without_the_correction() -> None:
    picture, truth = coin_photo(0.0, body=True)
    used = find_references(picture, "us-quarter").used
    assert used is not None
    cap = truth["fruit_bodies"][0]["cap"]
    a, b = (tuple(p) for p in cap["margin"]["px"])
    assert between(picture, used, a, b).value_mm > 1.1 * cap["width_mm"]


def test_a_line_on_the_ground_is_measured_in_the_plane_of_the_coin() -> None:
    picture, _ = coin_photo(35.0)
    used = find_references(picture, "us-quarter").used
    assert used is not None
    view = camera(35.0)
    ends = view.project(np.array([[-30.0, -20.0, 1.75], [-10.0, 40.0, 1.75]]))
    a, b = ((float(x), float(y)) for x, y in ends)
    found = in_plane(picture, used, a, b, u_end_px=0.5)
    assert found.value_mm == pytest.approx(math.hypot(20, 60), rel=0.015)


# --- outlines -------------------------------------------------------------------------------------------------------


def standing(tilt: float = 84.0) -> tuple[Picture, dict[str, Any]]:
    body = FruitBody(Cap(46.0, profile="convex", colour=(150, 70, 45)), Stem(60.0, 8, 9, 11, colour=(205, 160, 120)))
    view = Camera.looking_at((0, 0, 40), distance_mm=330, tilt_deg=tilt).scaled(640)
    picture, truth = render(Scene(view, (body,), ground=Ground("paper"), light=Light(warmth=0.0), lens=Lens(noise=1.0)))
    return Picture(picture, f35(view)), truth


def test_a_mushroom_seen_from_the_side_gets_its_cap_and_stem_suggested() -> None:
    picture, truth = standing()
    subject = find_subjects(picture)[0]
    parts = {s.part: math.dist(s.a_px, s.b_px) for s in subject.suggestions}
    cap = truth["fruit_bodies"][0]["cap"]["margin"]["px"]
    stem = truth["fruit_bodies"][0]["stem"]["ends"]["px"]
    assert parts["cap width"] == pytest.approx(math.dist(*cap), rel=0.06)
    assert parts["stem length"] == pytest.approx(math.dist(*stem), rel=0.15)
    px_per_mm = math.dist(*cap) / 46.0
    assert parts["stem width at middle"] == pytest.approx(9 * px_per_mm, rel=0.2)
    assert all(0 < s.confidence < 1 for s in subject.suggestions)


def test_a_plain_disc_is_a_cap_without_a_stem() -> None:
    angles = np.linspace(0, 2 * np.pi, 200, endpoint=False)
    found = suggest(np.stack([200 + 60 * np.cos(angles), 150 + 58 * np.sin(angles)], axis=1))
    assert [s.part for s in found] == ["cap width"]
    assert math.dist(found[0].a_px, found[0].b_px) == pytest.approx(120, rel=0.01)


def test_several_fruit_bodies_are_found_one_by_one_and_the_coin_is_none() -> None:
    pixels = np.full((600, 800, 3), 225, np.uint8)
    for x in (180, 420, 640):
        cv2.circle(pixels, (x, 260), 60, (140, 80, 50), -1, cv2.LINE_AA)
    cv2.circle(pixels, (400, 480), 40, (150, 150, 150), -1, cv2.LINE_AA)
    coin = [(400 + 40 * math.cos(a), 480 + 40 * math.sin(a)) for a in np.linspace(0, 6.3, 30)]
    subjects = find_subjects(Picture(pixels), [coin])
    assert len(subjects) == 3
    assert all(abs(s.box[2] - s.box[0] - 120) < 8 for s in subjects)


# --- quality --------------------------------------------------------------------------------------------------------


def test_sharpness_falls_with_every_step_of_blur() -> None:
    """scikit-image's coffee.png, a real photo, blurred by known amounts."""
    scores = [sharpness(cv2.GaussianBlur(data.coffee(), (0, 0), s) if s else data.coffee()) for s in (0, 1, 2, 4)]
    assert scores == sorted(scores, reverse=True)
    assert scores[0] > 0.36 > 0.24 > scores[3]


def test_sharpness_is_judged_on_the_subject_and_not_on_the_frame() -> None:
    picture, _ = coin_photo(30.0, body=True)
    x0, y0, x1, y1 = find_subjects(picture)[0].box
    pixels = picture.rgb.copy()
    pixels[y0 - 9 : y1 + 9, x0 - 9 : x1 + 9] = cv2.GaussianBlur(pixels, (0, 0), 6)[y0 - 9 : y1 + 9, x0 - 9 : x1 + 9]
    box = (x0, y0, x1, y1)
    assert judge(picture, [box], reference=True).sharp != "blurred"
    found = judge(replace(picture, rgb=pixels), [box], reference=True)
    assert found.sharp == "blurred"
    assert any("blurred" in words for words in found.sentences)


@pytest.mark.parametrize(("factor", "verdict"), [(0.08, "too dark"), (1.0, "good"), (6.0, "too bright")])
def test_exposure_is_told_in_words(factor: float, verdict: str) -> None:
    pixels = np.clip(data.coffee().astype(float) * factor, 0, 255).astype(np.uint8)
    assert judge(Picture(pixels), [(100, 100, 400, 300)], reference=True).exposure == verdict


def test_a_poor_photo_gets_sentences_and_never_a_refusal() -> None:
    found = measure(Picture(np.full((300, 400, 3), 12, np.uint8)))
    assert found.between is None
    assert all(words.endswith(".") for words in found.warnings)


# --- the printed card -----------------------------------------------------------------------------------------------


def sheet(paper: str = "letter", dpi: float = 200) -> Any:
    return np.asarray(pdfium.PdfDocument(scale_card(paper=paper))[0].render(scale=dpi / 72).to_pil().convert("RGB"))


def test_the_card_is_one_tagged_page_of_either_paper() -> None:
    for paper, size in (("letter", (612, 792)), ("a4", (595.28, 841.89))):
        document = pdfium.PdfDocument(scale_card(paper=paper))
        assert len(document) == 1
        assert document[0].get_size() == pytest.approx(size, abs=0.5)
        assert document.is_tagged()


def test_the_words_of_the_card_praise_nothing() -> None:
    text = pdfium.PdfDocument(scale_card())[0].get_textpage().get_text_range()
    assert "Check bar" in text
    assert banned_words(text, language="en") == ()


@pytest.mark.parametrize("tilt", [0.0, 25.0, 45.0])
def test_a_photo_of_the_printed_card_is_metric(tilt: float) -> None:
    """The page rendered by PDFium and seen by a camera: millimetres between markers come back within a third of one."""
    view = Camera.looking_at((0, 40, 0), distance_mm=330, tilt_deg=tilt).scaled(1400)
    picture = sheet_photo(sheet(), 200 / 25.4, view)
    card = find_scale_card(picture)
    assert card is not None
    assert card.points == 4 * len(card_layout.MARKERS)
    dark = card.to_mm([card.centre_px])[0]
    assert dark == pytest.approx([80.0, 50.0], abs=1e-6)
    used = find_references(picture, "card", bar_mm=100.0).used
    assert used is not None
    assert used.scale is not None
    assert used.plane is not None
    assert used.scale.mm_per_px == pytest.approx(used.plane.depth(card.centre_px) / view.f_px, rel=0.004)
    centre = view.on_plane(np.array([card.centre_px]), [0, 0, 0], [0, 0, 1])[0]
    assert used.scale.mm_per_px == pytest.approx(float(view.depth(centre)) / view.f_px, rel=0.004)


def test_a_card_printed_too_small_is_corrected_by_its_bar() -> None:
    true, u, note = printed_scale(96.0)
    assert (true, note) == (0.96, "")
    assert u < 0.005
    assert "Measure it" in printed_scale(None)[2]
    with pytest.raises(ValueError, match="not 300 mm"):
        printed_scale(300.0)


def test_the_patches_have_known_lab_and_the_greys_are_neutral() -> None:
    values = patch_lab()
    assert len(values) == 18
    assert all(math.hypot(a, b) < 0.01 for _, a, b in values[:6])


# --- the terminal ---------------------------------------------------------------------------------------------------


def test_the_terminal_gives_the_keys_of_its_contract(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    picture, truth = coin_photo(30.0, body=True)
    file = tmp_path / "cap.jpg"
    exif = Image.Exif()
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.FocalLengthIn35mmFilm] = 30
    file.write_bytes(jpeg(picture, exif=exif))
    a, b = truth["fruit_bodies"][0]["cap"]["margin"]["px"]
    ends = [f"{a[0]:.1f},{a[1]:.1f}", f"{b[0]:.1f},{b[1]:.1f}"]
    assert main(["measure", str(file), "--reference", "us-quarter", "--between", *ends, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert list(found) == ["references", "mm_per_px", "between", "subjects", "sharpness", "exposure", "warnings"]
    assert list(found["references"][0]) == ["kind", "found", "mm_per_px", "residual_px"]
    assert list(found["mm_per_px"]) == ["value", "expanded_uncertainty"]
    assert list(found["between"]) == ["length_mm", "expanded_uncertainty", "budget"]
    assert list(found["subjects"][0]) == ["width_mm", "height_mm", "outline"]
    assert list(found["sharpness"]) == ["score", "verdict"]
    assert any("At what height" in words for words in found["warnings"])


def test_the_terminal_says_in_words_what_it_cannot_measure(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "none.jpg"
    file.write_bytes(jpeg(data.coffee()))
    assert main(["measure", str(file)]) == 0
    text = capsys.readouterr().out
    assert "no size" in text.lower()
    assert banned_words(text.replace("It does not say whether any mushroom is safe to eat.", ""), language="en") == ()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--reference", "button"], "There is no reference"),
        (["--between", "1,2", "3"], "A point is written X,Y"),
        (["--between", "1,2", "9000,3"], "outside the picture"),
    ],
)
def test_the_terminal_refuses_bad_words_with_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    file = tmp_path / "none.jpg"
    file.write_bytes(jpeg(data.coffee()))
    assert main(["measure", str(file), *words]) == 2
    assert said in capsys.readouterr().err


def test_a_missing_photo_is_a_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["measure", "nowhere.jpg"]) == 2
    assert "There is no file nowhere.jpg" in capsys.readouterr().err


def test_the_terminal_writes_the_card(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "card.pdf"
    assert main(["scale-card", "--paper", "a4", "--out", str(target)]) == 0
    assert target.read_bytes().startswith(b"%PDF")
    assert "Print it at 100 %" in capsys.readouterr().out
