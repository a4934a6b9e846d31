"""From a sample to what the engine reads: two findings, the mean length and the mean width.

Q becomes no finding: it follows from the other two and would count a third time.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fruitbody.examine.finding import Finding, Measured, SeenOn
from fruitbody.examine.spores.errors import SporeError
from fruitbody.examine.spores.sample import Sample
from fruitbody.examine.spores.statistics import axes

EDGE_U_UM = 0.05
"""Standard uncertainty, in µm, of where the edge is, common to all spores of a picture: what the bias table of
docs/examine.md shows within half a depth of field. It does not fall with n."""

PLAIN_U = 0.010
"""Relative standard uncertainty of a calibration about which nothing is known: the engine's own value."""


@dataclass(frozen=True, slots=True)
class SampleMean:
    """What a sample says jointly. length_um, width_um: geometric means, for the engine works with ln L and ln W; n:
    spores; common_u: relative standard uncertainty shared by both (calibration); edge_u_um: shared by all readings."""

    length_um: float
    width_um: float | None
    n: int
    common_u: float
    edge_u_um: float


def sample_mean(sample: Sample, *, calibration_u: float | None = None, edge_u_um: float = EDGE_U_UM) -> SampleMean:
    """Geometric means and uncertainties. Raises SporeError for a sample without a scale."""
    if sample.unit != "µm":
        raise SporeError("Without a calibration a spore has no size. Calibrate the set-up, or record Q by hand.")
    lengths, widths = axes(sample.spores)
    length = math.exp(float(np.log(lengths).mean()))
    width = None if widths is None else math.exp(float(np.log(widths).mean()))
    return SampleMean(length, width, len(lengths), PLAIN_U if calibration_u is None else calibration_u, edge_u_um)


def to_findings(
    sample: Sample, *, calibration_u: float | None = None, preparation: str = "", person: str = "", fruit_body: str = ""
) -> tuple[Finding, ...]:
    """Findings of spore_length and, where measured, spore_width: mean, expanded uncertainty (k = 2), number of spores.

    calibration_u: relative standard uncertainty of µm per pixel; None where the sample was typed. preparation: the
    mount, so that two samples of one mount are known to share its error. Raises SporeError without a scale.
    """
    mean = sample_mean(sample, calibration_u=calibration_u)
    sizes = [("spore_length", mean.length_um)]
    if mean.width_um is not None:
        sizes.append(("spore_width", mean.width_um))
    return tuple(
        Finding(
            character,
            measured=Measured(value, None, 2 * math.hypot(mean.common_u * value, mean.edge_u_um), mean.n),
            seen_on=SeenOn.MATERIAL,
            fruit_body=fruit_body,
            part="spores",
            person=person,
            preparation=preparation,
        )
        for character, value in sizes
    )
