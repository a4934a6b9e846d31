"""`fruitbody colour` at the terminal."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from skimage.color import rgb2lab

from fruitbody.cli.main import main

KEYS = {"lab", "lch", "srgb", "uncertainty", "iscc_nbs", "ridgway", "plain", "plain_shares", "warnings"}


@pytest.fixture
def photo(tmp_path: Path) -> str:
    """Brown on the left, white paper on the right, in dim yellow light."""
    pixels = np.full((100, 200, 3), (120, 76, 40), dtype=np.uint8)
    pixels[:, 100:] = (205, 190, 160)
    path = tmp_path / "cap.png"
    Image.fromarray(pixels).save(path)
    return str(path)


def told(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    assert main(["colour", *words, "--json"]) == 0
    return dict(json.loads(capsys.readouterr().out))


def test_a_code_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    found = told(capsys, "#964B00")
    assert set(found) == KEYS
    assert found["lab"] == pytest.approx(rgb2lab([[[150 / 255, 75 / 255, 0]]])[0, 0].tolist(), abs=0.05)
    assert {key: found["iscc_nbs"][key] for key in ("level1", "level2", "level3")} == {
        "level1": "brown",
        "level2": "brown",
        "level3": "strong brown",
    }
    assert found["plain"] == "rust"
    assert {"name", "places", "edition", "delta_e"} == set(found["ridgway"][0])


def test_a_lab_value_is_the_same_colour_as_its_code(capsys: pytest.CaptureFixture[str]) -> None:
    code = told(capsys, "#7F7F7F")
    typed = told(capsys, "--lab", ",".join(map(str, code["lab"])))
    assert typed["srgb"] == "#7f7f7f"
    assert (typed["iscc_nbs"]["level3"], typed["uncertainty"]) == ("medium gray", None)


def test_a_patch_of_a_photo_has_its_uncertainty_and_counts(photo: str, capsys: pytest.CaptureFixture[str]) -> None:
    found = told(capsys, photo, "--patch", "40,50,20")
    assert set(found) == KEYS | {"patch"}
    assert (found["patch"]["correction"], found["patch"]["pixels"]) == ("none", 1257)
    assert found["uncertainty"]["k"] == 2
    assert any("how strong or how warm" in words for words in found["warnings"])


def test_marked_white_makes_it_surer_and_lighter(photo: str, capsys: pytest.CaptureFixture[str]) -> None:
    bare = told(capsys, photo, "--patch", "40,50,20")
    white = told(capsys, photo, "--patch", "40,50,20", "--white", "150,50,20")
    assert white["lab"][0] > bare["lab"][0] + 5
    assert white["uncertainty"]["expanded"][0] < 0.7 * bare["uncertainty"]["expanded"][0]


def test_a_print_gets_its_print_colour(photo: str, capsys: pytest.CaptureFixture[str]) -> None:
    found = told(capsys, photo, "--patch", "40,50,20", "--white", "150,50,20", "--print")
    assert set(found) == KEYS | {"patch", "deposit", "deposit_shares"}
    assert found["deposit"] == max(found["deposit_shares"], key=lambda state: found["deposit_shares"][state])


def test_words_are_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["colour", "#964B00"]) == 0
    text = capsys.readouterr().out
    assert "strong brown (55); brown; brown" in text
    assert "Ridgway" in text


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["#GGGGGG"], "Write # and six digits"),
        ([], "Give one colour"),
        (["#964B00", "--lab", "1,2,3"], "Give one colour"),
        (["--lab", "120,0,0"], "lightness runs from 0"),
        (["--lab", "12;0;0"], "three numbers with commas"),
        (["#964B00", "--patch", "1,2,3"], "places in a photo"),
        (["no-such.jpg", "--patch", "1,2,3"], "There is no photo"),
        (["PHOTO"], "Say which place"),
        (["PHOTO", "--patch", "1,2"], "three numbers with commas"),
        (["PHOTO", "--patch", "190,50,20"], "200 × 100 pixels. Move it inside"),
        (["PHOTO", "--patch", "50,50,0"], "radius of 0 pixels"),
        (["PHOTO", "--patch", "40,50,20", "--white", "300,50,9"], "The white at 300, 50"),
    ],
)
def test_bad_input_is_answered_with_a_sentence(
    words: list[str], sentence: str, photo: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["colour", *[photo if word == "PHOTO" else word for word in words]]) == 2
    assert sentence in capsys.readouterr().err
