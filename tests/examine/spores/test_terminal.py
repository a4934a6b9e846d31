"""`fruitbody spores` and `fruitbody calibrate` as a person or a program meets them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from fruitbody.cli.main import main
from fruitbody.examine.spores.scale_picture import ScaleSetting, draw_scale
from tests.examine.spores.pictures import drawn_ellipses

SPREAD = {"mean", "sd", "min", "p5", "p95", "max"}


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(list(words))
    out, err = capsys.readouterr()
    return code, out, err


@pytest.fixture(scope="module")
def photo(tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("photos") / "mount.png"
    Image.fromarray(drawn_ellipses(90, 55)[0]).save(path)
    return str(path)


def test_a_calibrated_picture_gives_the_keys_of_the_contract(capsys: pytest.CaptureFixture[str], photo: str) -> None:
    code, out, _ = run(capsys, "spores", photo, "--um-per-px", "0.1", "--json")
    data: dict[str, Any] = json.loads(out)
    assert code == 0
    assert set(data) >= {
        "n", "length_um", "width_um", "q", "notation", "shape_class", "per_fruit_body", "spores", "rejected",
    }  # fmt: skip
    assert all(set(data[key]) == SPREAD for key in ("length_um", "width_um", "q"))
    assert all(set(spore) >= {"x", "y", "length_um", "width_um", "angle_deg"} for spore in data["spores"])
    assert all(set(body) == {"x", "y", "reason"} for body in data["rejected"])
    assert data["n"] == len(data["spores"]) == 30
    assert data["length_um"]["mean"] == pytest.approx(9.0, abs=0.15)
    assert data["notation"].startswith("[30/1/1] ")


def test_without_a_calibration_nothing_is_in_micrometres(capsys: pytest.CaptureFixture[str], photo: str) -> None:
    for words in (("spores", photo, "--json"), ("spores", photo)):
        code, out, _ = run(capsys, *words)
        assert code == 0
        assert "µm" not in out.replace("give µm per pixel", "")
        assert "_um" not in out


def test_a_file_of_measurements_gives_the_same_keys(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "m.csv"
    file.write_text("length_um,width_um,fruit_body,collection\n9,5,a,K\n10,5,a,K\n9.5,5,b,K\n", encoding="utf-8")
    code, out, _ = run(capsys, "spores", "--csv", str(file), "--json")
    data = json.loads(out)
    assert code == 0
    assert data["length_um"]["mean"] == pytest.approx(9.5)
    assert [b["n"] for b in data["per_fruit_body"]] == [2, 1]
    assert data["notation"].startswith("[3/2/1] ")
    assert data["rejected"] == []


def test_words_for_a_reader_hold_the_notation_and_the_convention(
    capsys: pytest.CaptureFixture[str], photo: str
) -> None:
    _, out, _ = run(capsys, "spores", photo, "--um-per-px", "0.1")
    assert out.startswith("[30/1/1] ")
    assert "the hilar appendage and the ornament are left out" in out


def test_a_micrometer_gives_micrometres_per_pixel_with_uncertainty(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "scale.tif"
    Image.fromarray(draw_scale(ScaleSetting(40.0, angle_deg=20))).save(path)
    code, out, _ = run(capsys, "calibrate", str(path), "--division-um", "10", "--json")
    data = json.loads(out)
    assert code == 0
    assert data["um_per_px"] == pytest.approx(0.25, rel=1e-3)
    assert abs(data["um_per_px"] - 0.25) < data["uncertainty_um_per_px"]
    _, words, _ = run(capsys, "calibrate", str(path), "--division-um", "10")
    assert words.startswith("0.25 µm per pixel") or words.startswith("0.2500") or words.startswith("0.249")


def test_sixteen_bit_pictures_are_read(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "deep.tif"
    Image.fromarray(drawn_ellipses(90, 55)[0].astype(np.uint16) * 100).save(path)
    code, out, _ = run(capsys, "spores", str(path), "--um-per-px", "0.1", "--json")
    assert (code, json.loads(out)["n"]) == (0, 30)


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("spores",), "Name either a picture or"),
        (("spores", "nowhere.png"), "There is no file nowhere.png"),
        (("spores", "--csv", "nowhere.csv"), "There is no file nowhere.csv"),
        (("calibrate", "nowhere.png", "--division-um", "10"), "There is no file nowhere.png"),
    ],
)
def test_what_is_missing_is_said(capsys: pytest.CaptureFixture[str], words: tuple[str, ...], sentence: str) -> None:
    code, out, err = run(capsys, *words)
    assert (code, out) == (2, "")
    assert sentence in err


@pytest.mark.parametrize("content", [b"", b"no picture", b"\x89PNG\r\n\x1a\n cut short"])
def test_a_file_that_is_no_picture_is_answered_with_a_sentence(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, content: bytes
) -> None:
    path = tmp_path / "broken.png"
    path.write_bytes(content)
    code, _, err = run(capsys, "spores", str(path), "--um-per-px", "0.1")
    assert code == 2
    assert err.startswith("fruitbody: Th")
    assert "Traceback" not in err


def test_a_file_of_measurements_and_a_scale_do_not_go_together(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "m.csv"
    file.write_text("9 5\n", encoding="utf-8")
    code, _, err = run(capsys, "spores", "--csv", str(file), "--um-per-px", "0.1")
    assert code == 2
    assert "leave --um-per-px out" in err


def test_one_spore_is_enough_for_an_answer(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "m.csv"
    file.write_text("9 5\n", encoding="utf-8")
    _, out, _ = run(capsys, "spores", "--csv", str(file), "--json")
    assert json.loads(out)["length_um"]["sd"] is None
