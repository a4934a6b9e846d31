"""The optical model itself: laws that it must keep, so that what it says of the detector means something."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fruitbody.examine.spores.bodies import BROWN, HYALINE, Pose, spore
from fruitbody.examine.spores.micrograph import Setting, draw
from fruitbody.examine.spores.optics import Optics, good_side, image

OPTICS = Optics(0.1, 0.75)
SETTING = Setting(OPTICS, 400, 300, spores=3, clumps=1, debris=1, bubbles=1, hyphae=0)
EMPTY = np.zeros((128 * OPTICS.fine,) * 2)


def test_the_same_setting_gives_the_same_bytes() -> None:
    assert draw(SETTING).picture.tobytes() == draw(SETTING).picture.tobytes()


def test_another_seed_gives_another_field() -> None:
    assert draw(SETTING).picture.tobytes() != draw(replace(SETTING, seed=2)).picture.tobytes()


@pytest.mark.parametrize("defocus", [-5.0, 0.0, 5.0])
def test_an_empty_field_is_evenly_bright_in_and_out_of_focus(defocus: float) -> None:
    assert image(EMPTY, EMPTY, defocus, OPTICS) == pytest.approx(1.0, abs=1e-5)


def test_an_even_layer_darkens_by_its_density_and_nothing_else() -> None:
    """Beer and Lambert: intensity exp(−density), whatever the phase."""
    assert image(EMPTY + 0.7, EMPTY + 0.5, 3.0, OPTICS) == pytest.approx(np.exp(-0.5), abs=1e-4)


def test_a_thin_phase_object_nearly_vanishes_in_focus_and_turns_over_from_side_to_side() -> None:
    """Textbook of bright field: phase alone shows only out of focus, with opposite sign above and below."""
    n = 128
    y, x = np.mgrid[0:n, 0:n] - (n - 1) / 2
    bump = 0.2 * np.exp(-(x**2 + y**2) / 2 / 6.0**2)
    phase = np.kron(bump, np.ones((OPTICS.fine,) * 2))
    below, sharp, above = (image(phase, EMPTY, z, OPTICS)[n // 2, n // 2] - 1 for z in (-2.0, 0.0, 2.0))
    assert abs(sharp) < 0.2 * abs(above)
    assert below == pytest.approx(-above, rel=0.35)


def test_light_is_neither_made_nor_lost_by_phase_alone_out_of_focus() -> None:
    """With the condenser's cone inside the objective's and a smooth phase, the mean intensity stays 1."""
    n = 128
    y, x = np.mgrid[0:n, 0:n] - (n - 1) / 2
    phase = np.kron(0.5 * np.exp(-(x**2 + y**2) / 2 / 10.0**2), np.ones((OPTICS.fine,) * 2))
    assert float(image(phase, EMPTY, 4.0, OPTICS).mean()) == pytest.approx(1.0, abs=0.002)


def test_a_higher_aperture_shows_a_narrower_edge() -> None:
    def width(aperture: float) -> float:
        optics = Optics(0.1, aperture)
        half = np.zeros((128 * optics.fine,) * 2)
        half[:, : half.shape[1] // 2] = 3.0
        line = image(np.zeros_like(half), half, 0.0, optics)[64, 40:90]
        return float(np.ptp(line) / np.abs(np.diff(line)).max())

    assert width(0.9) < 0.7 * width(0.4)


def test_a_tilted_spore_looks_shorter_and_as_wide() -> None:
    pose = Pose(10.0, 6.0, tilt_deg=60)
    assert pose.seen_length_um() == pytest.approx(np.sqrt(10.0**2 * 0.25 + 6.0**2 * 0.75))


def test_brown_spores_are_darkest_in_blue_and_hyaline_ones_alike_in_all() -> None:
    brown, hyaline = (spore(Pose(9, 6), look, OPTICS).min(axis=(0, 1)) for look in (BROWN, HYALINE))
    assert brown[2] < brown[1] < brown[0]
    assert np.ptp(hyaline) < 0.05


def test_free_spores_do_not_touch() -> None:
    truth = draw(Setting(OPTICS, 900, 700, spores=30, clumps=0, debris=0, bubbles=0, hyphae=0)).truth
    middles = np.array([(t.x, t.y) for t in truth])
    apart = np.hypot(*(middles[:, None] - middles[None]).T)
    assert apart[np.triu_indices(len(middles), 1)].min() * 0.1 > 9.3


def test_patches_have_sides_that_transform_quickly() -> None:
    for pixels in (50, 130, 777):
        side = good_side(pixels)
        assert side >= pixels
        for factor in (2, 3, 5):
            while side % factor == 0:
                side //= factor
        assert side == 1
