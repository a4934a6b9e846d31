"""The stage micrometer: divisions of known spacing, anything else refused, warnings about a kept calibration."""

from __future__ import annotations

import datetime
from dataclasses import replace

import numpy as np
import pytest
from skimage import data

from fruitbody.examine.spores.calibration import (
    Calibration,
    Setup,
    calibration,
    calibration_warnings,
    read_scale,
)  # fmt: skip
from fruitbody.examine.spores.errors import CalibrationError
from fruitbody.examine.spores.scale_picture import ScaleSetting, draw_scale

SETUP = Setup("Stand 2", "100×/1.25 oil", "bench camera")
DAY = datetime.date(2026, 5, 4)
PLAIN = ScaleSetting(23.37)


@pytest.mark.parametrize(
    "setting",
    [
        PLAIN, replace(PLAIN, angle_deg=33.3), replace(PLAIN, angle_deg=91.2, bright=True),
        replace(PLAIN, angle_deg=140, noise=15), ScaleSetting(100.8, angle_deg=-12, line_px=9, lines=13),
        ScaleSetting(7.21, angle_deg=5, line_px=1.5, blur_px=1, lines=101),
        ScaleSetting(12.5, angle_deg=64, line_px=5, lines=61), ScaleSetting(200.3, line_px=20, blur_px=4, lines=8),
    ],
    ids=lambda s: f"{s.period_px}px {s.angle_deg}°",
)  # fmt: skip
def test_micrometres_per_pixel_are_right_within_the_stated_uncertainty_whatever_the_direction(
    setting: ScaleSetting,
) -> None:
    found = read_scale(draw_scale(setting), 10.0)
    true = 10.0 / setting.period_px
    assert abs(found.um_per_px - true) < 2 * found.relative_u * true
    assert abs(found.um_per_px / true - 1) < 0.0005


def test_the_direction_across_the_lines_is_found() -> None:
    assert read_scale(draw_scale(replace(PLAIN, angle_deg=33.3)), 10.0).divisions.angle_deg == pytest.approx(
        33.3, abs=0.1
    )


def test_full_height_lines_as_broad_as_their_gaps_are_read() -> None:
    stripes = np.where((np.arange(800) // 10) % 2 == 0, 60, 200).astype(np.uint8)
    found = read_scale(np.repeat(stripes[None, :], 300, axis=0), 10.0)
    assert found.divisions.period_px == pytest.approx(20.0, abs=0.02)


def test_a_bent_field_is_told_and_widens_the_uncertainty() -> None:
    straight, bent = (read_scale(draw_scale(ScaleSetting(30, bend=b)), 10.0) for b in (0.0, 0.02))
    assert bent.divisions.bend == pytest.approx(0.02, abs=0.002)
    assert bent.relative_u > 3 * straight.relative_u
    assert "grow or shrink by 2.0%" in bent.remarks[0]


@pytest.mark.parametrize("name", ["brick", "camera", "coins", "page", "grass", "text", "clock", "moon"])
def test_a_picture_without_a_scale_is_refused(name: str) -> None:
    """scikit-image's sample pictures, some with lines and even patterns."""
    with pytest.raises(CalibrationError, match="Photograph the stage micrometer"):
        read_scale(np.ascontiguousarray(getattr(data, name)()), 10.0)


def test_an_even_grey_picture_is_refused() -> None:
    with pytest.raises(CalibrationError):
        read_scale(np.full((300, 300), 128, dtype=np.uint8), 10.0)


def test_a_division_in_millimetres_is_pointed_out() -> None:
    with pytest.raises(CalibrationError, match=r"0\.01 mm are 10 µm"):
        read_scale(draw_scale(PLAIN), 0.01)


@pytest.fixture(scope="module")
def kept() -> Calibration:
    scale = read_scale(draw_scale(PLAIN), 10.0)
    return calibration(scale, SETUP, size_px=(1600, 1200), made_on=DAY, person="R. Exemplar")


def warnings(
    kept: Calibration | None, setup: Setup = SETUP, size: tuple[int, int] = (1600, 1200), days: int = 30
) -> str:
    return " ".join(calibration_warnings(kept, setup, size_px=size, today=DAY + datetime.timedelta(days=days)))


def test_a_fresh_calibration_of_the_same_set_up_has_no_warning(kept: Calibration) -> None:
    assert warnings(kept) == ""
    assert warnings(kept, size=(1200, 1600)) == ""  # the same picture, turned


def test_an_old_calibration_is_pointed_out(kept: Calibration) -> None:
    assert warnings(kept, days=365) == ""
    assert "366 days old" in warnings(kept, days=366)


def test_another_objective_is_pointed_out(kept: Calibration) -> None:
    assert "Calibrate this set-up" in warnings(kept, replace(SETUP, objective="40×/0.75"))


def test_a_scaled_picture_is_told_from_a_cropped_one(kept: Calibration) -> None:
    assert "2 times as many" in warnings(kept, size=(800, 600))
    assert "cropped" in warnings(kept, size=(1000, 1000))


def test_an_uncalibrated_set_up_is_said(kept: Calibration) -> None:
    assert "lengths stay in pixels" in warnings(None)
