"""The spore cloud against the worked check of the engine and against analytic truth."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from fruitbody.funga import load
from fruitbody.funga.model import MeasureScore, Taxon
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.spore_cloud import ellipse, spore_cloud

WORKED = Parameters(kappa=1.3, phi=0.6, spore_reading_um=0.10, calibration=0.010, unstated_width=1.0)


def taxon(**scores: MeasureScore) -> Taxon:
    """A taxon of nothing but spores."""
    any_taxon = next(iter(load().taxa.values()))
    return dataclasses.replace(any_taxon, id="x", scores={(name, ""): score for name, score in scores.items()})


def kind_x() -> Taxon:
    """Kind X of the engine's worked check: L 8–10, W 5–6, Q 1.45–1.80."""
    return taxon(spore_length=MeasureScore(8, 10), spore_width=MeasureScore(5, 6), spore_q=MeasureScore(1.45, 1.80))


def test_the_centre_is_the_median_of_length_and_width() -> None:
    cloud = spore_cloud(kind_x(), parameters=WORKED)
    assert cloud is not None
    assert cloud.centre == pytest.approx((math.sqrt(80), math.sqrt(30)))


def test_the_outline_has_the_variance_of_the_worked_check() -> None:
    # Worked check 1 of the engine's page gives V at geometric means 9.30 and 5.60, n = 30; the reading's share differs
    # by the centre alone and is below 1e-5 here.
    cloud = spore_cloud(kind_x(), n=30, parameters=WORKED, points=720)
    assert cloud is not None
    logs = np.log(cloud.outlines[0.9]) - np.log(cloud.centre)
    radius = math.sqrt(-2 * math.log(0.1))
    assert logs[:, 0].max() / radius == pytest.approx(math.sqrt(0.0048729652), rel=1e-3)
    assert logs[:, 1].max() / radius == pytest.approx(math.sqrt(0.0032944221), rel=1e-3)


@pytest.mark.parametrize("share", [0.5, 0.9])
def test_an_ellipse_holds_the_share_it_names(share: float) -> None:
    # The squared radius of a bivariate normal is χ² with two degrees of freedom: P(r² ≤ R²) = 1 − exp(−R²/2).
    covariance = np.array([[0.04, 0.01], [0.01, 0.02]])
    points = ellipse(covariance, share)
    squares = np.einsum("ij,jk,ik->i", points, np.linalg.inv(covariance), points)
    assert 1 - np.exp(-squares / 2) == pytest.approx(np.full(len(points), share))


def test_the_half_lies_within_the_nine_tenths() -> None:
    cloud = spore_cloud(kind_x(), parameters=WORKED)
    assert cloud is not None
    inner, outer = (np.ptp(cloud.outlines[share], axis=0) for share in (0.5, 0.9))
    assert (inner < outer).all()


def test_a_larger_sample_never_widens_the_cloud() -> None:
    widths = [np.ptp(cloud.outlines[0.9][:, 0]) for n in (1, 5, 30, 300) if (cloud := spore_cloud(kind_x(), n=n))]
    assert widths == sorted(widths, reverse=True)


def test_a_kind_without_a_known_width_has_no_cloud() -> None:
    assert spore_cloud(taxon(spore_length=MeasureScore(8, 10))) is None
