"""From a sample to the engine's findings."""

from __future__ import annotations

import math

import pytest

from fruitbody import funga
from fruitbody.examine.spores.errors import SporeError
from fruitbody.examine.spores.evidence import EDGE_U_UM, PLAIN_U, sample_mean, to_findings
from fruitbody.examine.spores.sample import Sample, Spore
from fruitbody.identify import Case, identify
from fruitbody.identify.parameters import Parameters

SAMPLE = Sample((Spore(8.0, 5.0), Spore(12.5, 5.0), Spore(10.0, 5.0)))


def test_length_and_width_become_findings_and_q_does_not() -> None:
    assert [f.character for f in to_findings(SAMPLE)] == ["spore_length", "spore_width"]


def test_the_mean_is_geometric_and_counts_its_spores() -> None:
    length, _ = to_findings(SAMPLE)
    assert length.measured is not None
    assert (length.measured.low, length.measured.n) == (pytest.approx(10.0), 3)  # (8 × 12.5 × 10)^(1/3)


def test_the_uncertainty_is_expanded_and_does_not_fall_with_the_number() -> None:
    few, many = (to_findings(Sample(SAMPLE.spores * k), calibration_u=0.02)[0].measured for k in (1, 40))
    assert few is not None
    assert many is not None
    assert few.uncertainty == pytest.approx(2 * math.hypot(0.02 * 10.0, EDGE_U_UM))
    assert many.uncertainty == pytest.approx(few.uncertainty)


def test_pixels_are_no_evidence_of_size() -> None:
    with pytest.raises(SporeError, match="Calibrate the set-up"):
        sample_mean(Sample(SAMPLE.spores, "px"))


def test_the_plain_calibration_is_the_engines() -> None:
    assert Parameters().calibration == PLAIN_U


def test_a_sample_moves_the_ranking_of_the_engine() -> None:
    known = funga.load()
    small = Sample(tuple(Spore(5.0 + 0.05 * i, 4.0) for i in range(20)))
    large = Sample(tuple(Spore(14.0 + 0.05 * i, 8.0) for i in range(20)))
    first = [identify(known, Case(to_findings(s))).candidates[0].id for s in (small, large)]
    assert first[0] != first[1]
