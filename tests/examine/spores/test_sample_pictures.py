"""Round bodies that nobody of the project drew or photographed: the detector must not know only its own drawings.

Pictures come with scikit-image (data of its package) and mahotas (fluorescent nuclei; Coelho, Shariff and Murphy 2009,
"Nuclear segmentation in microscope cell images: a hand-segmented dataset"; from memory).
"""

from __future__ import annotations

from pathlib import Path

import cv2
import mahotas
import numpy as np
import pytest
from numpy.typing import NDArray
from skimage import data, filters, measure

from fruitbody.examine.spores.detection import detect
from fruitbody.examine.spores.errors import FieldError


def test_most_of_the_24_coins_are_found_as_round_bodies() -> None:
    """Old coins on a dark ground, its light uneven by more than 2 : 1; two pairs nearly touch, two meet the edge."""
    found = detect(data.coins())
    assert len(found.accepted) >= 14
    assert all(b.length_px / b.width_px < 1.25 for b in found.accepted)


def test_the_coins_sizes_are_those_of_circles_seen_by_opencv() -> None:
    coins = data.coins()
    found = detect(coins).accepted
    circles = cv2.HoughCircles(
        cv2.GaussianBlur(coins, (0, 0), 1.5),
        cv2.HOUGH_GRADIENT_ALT,
        1.5,
        20,
        param1=200,
        param2=0.7,
        minRadius=15,
        maxRadius=45,
    )
    assert circles is not None
    off = []
    for x, y, r in circles[0]:
        near = [b for b in found if np.hypot(b.x - x, b.y - y) < 6]
        off += [(near[0].length_px * near[0].width_px) ** 0.5 / (2 * r) - 1] if near else []
    assert len(off) >= 8
    assert abs(float(np.median(off))) < 0.06  # a coin's rim is two pixels broad


def nuclei() -> NDArray[np.uint8]:
    path = Path(mahotas.__file__).parent / "demos" / "data" / "nuclear.png"
    picture = cv2.imread(str(path), cv2.IMREAD_GRAYSCALE)
    assert picture is not None
    return np.asarray(picture, dtype=np.uint8)


def test_free_nuclei_have_the_axes_that_a_threshold_and_moments_give() -> None:
    """Outside: a local threshold and regionprops of scikit-image on the same nuclei."""
    picture = nuclei()
    smooth = filters.gaussian(picture, 2, preserve_range=True)
    dim = smooth < np.percentile(smooth, 99)  # two nuclei shine ten times as bright as the rest
    regions = measure.regionprops(measure.label((smooth > filters.threshold_otsu(smooth[dim])) & dim))
    found = detect(picture).accepted
    off = []
    for body in found:
        near = [
            r for r in regions if np.hypot(r.centroid[1] - body.x, r.centroid[0] - body.y) < 6 and r.solidity > 0.94
        ]
        off += (
            [np.sqrt(body.length_px * body.width_px / near[0].axis_major_length / near[0].axis_minor_length)]
            if near
            else []
        )
    assert len(found) >= 15
    assert len(off) >= 10
    assert float(np.median(off)) == pytest.approx(1.0, abs=0.06)


@pytest.mark.parametrize(
    "name", ["astronaut", "coffee", "camera", "chelsea", "brick", "retina", "horse", "page", "moon", "grass", "rocket"]
)
def test_a_picture_of_something_else_is_answered_with_a_sentence(name: str) -> None:
    picture = getattr(data, name)()
    picture = (picture * 255).astype(np.uint8) if picture.dtype == bool else picture
    with pytest.raises(FieldError, match=r"^[A-Z].*\.$"):
        detect(np.ascontiguousarray(picture[..., :3]) if picture.ndim == 3 else picture)
