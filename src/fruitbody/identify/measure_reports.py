"""Findings that are measures: several of one quantity combined first, length and width of spores taken together."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.finding import Finding, Measured, SeenOn
from fruitbody.identify import measures as m
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.readings import observer_class
from fruitbody.identify.spores import SporeSample, SporeScores, sample_density
from fruitbody.identify.tables import Factor, MeasureTable, Model

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Reading:
    """A measured finding as the engine uses it: ln x and u (relative, standard) of one value or of a mean of n."""

    ln_x: float
    u: float
    n: int
    measured: Measured
    young: bool
    fruit_body: str
    told: bool


def reading_of(table: MeasureTable, finding: Finding, parameters: Parameters) -> Reading:
    """Halve the expanded uncertainty, widen by rounding, and give a finder's unmeasured size its 25 %."""
    measured = finding.measured
    assert measured is not None
    finder = observer_class(finding) == "finder"
    value = measured.low if measured.high is None else math.sqrt(measured.low * measured.high)
    if measured.uncertainty is not None:
        u = measured.uncertainty / 2 / value
    elif finder and finding.seen_on is SeenOn.TOLD:
        u = parameters.finder_size
    else:
        u = 0.0
    u = max(u, m.heaping_u(value, by_finder=finder, unit=table.unit) / value)
    if measured.high is not None and (measured.n or 1) < 2:
        u = math.hypot(u, math.log(measured.high / measured.low) / math.sqrt(12))
    return Reading(math.log(value), u, measured.n or 1, measured, finding.stage == "young", finding.fruit_body, finder)


class MeasureFactors:
    """The readings taken in so far, and the factor of each measured character."""

    def __init__(self, model: Model, parameters: Parameters) -> None:
        self.model, self.parameters = model, parameters
        self.readings: dict[str, list[Reading]] = {}

    def add(self, table: MeasureTable, finding: Finding) -> None:
        self.readings.setdefault(table.id, []).append(reading_of(table, finding, self.parameters))

    def factor(self, table: MeasureTable) -> Factor:
        """Likelihood ratio of this measure; of a spore's width the ratio given its length."""
        partner = self.model.tables.get(table.measured_with)
        ratio = self._ratio(table, self.readings[table.id])
        if isinstance(partner, MeasureTable) and table.order > partner.order and partner.id in self.readings:
            joint = self._spore_ratio(partner, table)
            ratio = joint / self._ratio(partner, self.readings[partner.id])
        return Factor(ratio[None, :], np.ones((1, 1)), 1.0)

    def _ratio(self, table: MeasureTable, readings: list[Reading]) -> Array:
        own, base = self._density(table, readings)
        leak = self.parameters.leak_measure
        ratio = (1 - leak) * own / base + leak
        return np.where(table.known, ratio, 1.0)

    def _density(self, table: MeasureTable, readings: list[Reading]) -> tuple[Array, float]:
        """(density per row, density of the background) of all readings of one character."""
        kappa, phi = self.parameters.kappa, self.parameters.phi
        mu_b, sd_b = np.array([table.mu_b]), np.array([table.sd_b])
        rows = {"mu": table.mu, "sigma": table.sigma}
        back = {"mu": mu_b, "sigma": sd_b}
        first = readings[0]
        if len(readings) == 1 and first.young and table.unit == "mm":
            own = m.still_growing(first.ln_x, **rows, kappa=kappa)
            return own, float(m.still_growing(first.ln_x, **back, kappa=1.0)[0])
        if len(readings) == 1 and first.measured.high is not None and first.n >= 2:
            low, high = first.measured.low, first.measured.high
            own = m.range_of_n(low, high, first.n, **rows, kappa=kappa, phi=phi)
            return own, float(m.range_of_n(low, high, first.n, **back, kappa=1.0, phi=phi)[0])
        if len(readings) == 1 and first.measured.high is not None and not first.told:
            low, high = first.measured.low, first.measured.high
            own = m.one_between(low, high, **rows, kappa=kappa)
            return own, float(m.one_between(low, high, **back, kappa=1.0)[0])
        ln_x, u, n = self._combined(table, readings)
        own = m.one_value(ln_x, u, n, **rows, kappa=kappa, phi=phi)
        return own, float(m.normal(ln_x, mu_b, sd_b**2 + u**2)[0])

    def _combined(self, table: MeasureTable, readings: list[Reading]) -> tuple[float, float, int]:
        """Readings of one fruit body by inverse variance; n counts fruit bodies, or what a mean states."""
        ln_x, u = m.combine([(r.ln_x, max(r.u, 1e-6)) for r in readings])
        n = max(len({r.fruit_body for r in readings}), max(r.n for r in readings))
        if table.measured_with:
            u = math.hypot(
                self.parameters.calibration, self.parameters.spore_reading_um / math.exp(ln_x) / math.sqrt(n)
            )
        return ln_x, u, n

    def _spore_ratio(self, length: MeasureTable, width: MeasureTable) -> Array:
        """Joint ratio of mean ln L and mean ln W; a side that a row does not know follows the background."""
        ln_l, _, n = self._combined(length, self.readings[length.id])
        ln_w, _, n_w = self._combined(width, self.readings[width.id])
        stated = [r.u for r in (*self.readings[length.id],) if r.measured.uncertainty is not None]
        sample = SporeSample(
            ln_l=ln_l,
            ln_w=ln_w,
            n=max(n, n_w),
            calibration=max([self.parameters.calibration, *stated]),
            reading_um=self.parameters.spore_reading_um,
        )
        scores = SporeScores(length.mu, width.mu, length.sigma, width.sigma, self.model.spore_rho)
        back = SporeScores(
            *(np.array([v]) for v in (length.mu_b, width.mu_b, length.sd_b, width.sd_b, self.model.spore_rho[-1]))
        )
        p = self.parameters
        own, base = sample_density(sample, scores, back, kappa=p.kappa, phi=p.phi, leak=p.leak_measure)
        return np.where(length.known | width.known, own / base, 1.0)
