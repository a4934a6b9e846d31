"""Findings that are measures: several of one quantity combined first, length and width of spores taken together."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.finding import Finding, Measured
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
    finder: bool
    fruit_body: str
    source: str


def reading_of(table: MeasureTable, finding: Finding, parameters: Parameters) -> Reading:
    """Halve the expanded uncertainty, widen by rounding, and give a finder's unmeasured size its 25 %."""
    measured = finding.measured
    assert measured is not None
    finder = observer_class(finding) == "finder"
    value = measured.low if measured.high is None else math.sqrt(measured.low * measured.high)
    if measured.uncertainty is not None:
        u = measured.uncertainty / 2 / value
    elif finder:
        u = parameters.finder_size
    else:
        u = 0.0
    u = max(u, m.heaping_u(value, by_finder=finder, unit=table.unit) / value)
    if measured.high is not None and (measured.n or 1) < 2:
        u = math.hypot(u, math.log(measured.high / measured.low) / math.sqrt(12))
    return Reading(
        math.log(value),
        u,
        measured.n or 1,
        measured,
        finding.stage == "young",
        finder,
        finding.fruit_body,
        finding.preparation,
    )


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
        """(density per row, density of the background) of all readings of one character.

        Sizes of unripe fruit bodies say only that the final size is no smaller; beside a ripe one they say nothing.
        """
        kappa, phi = self.parameters.kappa, self.parameters.phi
        mu_b, sd_b = np.array([table.mu_b]), np.array([table.sd_b])
        rows = {"mu": table.mu, "sigma": table.sigma}
        back = {"mu": mu_b, "sigma": sd_b}
        ripe = [r for r in readings if not (r.young and table.unit == "mm")]
        if not ripe:
            largest = max(r.ln_x for r in readings)
            own = m.still_growing(largest, **rows, kappa=kappa)
            return own, float(m.still_growing(largest, **back, kappa=1.0)[0])
        first = ripe[0].measured
        if len(ripe) == 1 and first.high is not None and ripe[0].n >= 2:
            own = m.range_of_n(first.low, first.high, ripe[0].n, **rows, kappa=kappa, phi=phi)
            return own, float(m.range_of_n(first.low, first.high, ripe[0].n, **back, kappa=1.0, phi=phi)[0])
        if len(ripe) == 1 and first.high is not None and not ripe[0].finder:
            own = m.one_between(first.low, first.high, **rows, kappa=kappa)
            return own, float(m.one_between(first.low, first.high, **back, kappa=1.0)[0])
        ln_x, u, n = self._combined(table, ripe)
        own = m.one_value(ln_x, u, n, **rows, kappa=kappa, phi=phi)
        return own, float(m.normal(ln_x, mu_b, sd_b**2 + u**2)[0])

    def _combined(self, table: MeasureTable, readings: list[Reading]) -> tuple[float, float, int]:
        """Readings by inverse variance, those of one photo or preparation counted once since they share its error; n
        counts fruit bodies, or what a mean states. The calibration of spores does not fall with their number."""
        ln_x, u = m.combine([(x, max(s, 1e-6)) for x, s in _by_source(readings)])
        n = max(len({r.fruit_body for r in readings}), max(r.n for r in readings))
        if table.measured_with:
            reading = self.parameters.spore_reading_um / math.exp(ln_x) / math.sqrt(n)
            u = math.hypot(self._calibration(readings), reading)
        return ln_x, u, n

    def _calibration(self, readings: list[Reading]) -> float:
        """Relative standard uncertainty common to all spores: the stated one, at least the usual."""
        stated = [r.measured.uncertainty / 2 / r.measured.low for r in readings if r.measured.uncertainty is not None]
        return max([self.parameters.calibration, *stated])

    def _spore_ratio(self, length: MeasureTable, width: MeasureTable) -> Array:
        """Joint ratio of mean ln L and mean ln W; where a row knows only one side, the ratio of that side."""
        lengths, widths = self.readings[length.id], self.readings[width.id]
        ln_l, _, n_l = self._combined(length, lengths)
        ln_w, _, n_w = self._combined(width, widths)
        sample = SporeSample(
            ln_l=ln_l,
            ln_w=ln_w,
            n=max(n_l, n_w),
            calibration=self._calibration([*lengths, *widths]),
            reading_um=self.parameters.spore_reading_um,
        )
        scores = SporeScores(length.mu, width.mu, length.sigma, width.sigma, self.model.spore_rho)
        back = SporeScores(
            *(np.array([v]) for v in (length.mu_b, width.mu_b, length.sd_b, width.sd_b, self.model.spore_rho[-1]))
        )
        p = self.parameters
        own, base = sample_density(sample, scores, back, kappa=p.kappa, phi=p.phi, leak=p.leak_measure)
        one_side = self._ratio(length, lengths) * self._ratio(width, widths)
        return np.where(length.known & width.known, own / base, one_side)


def _by_source(readings: list[Reading]) -> list[tuple[float, float]]:
    """(ln x, u) per source: the mean of readings of one photo or preparation, with the largest u among them."""
    sources: dict[str, list[Reading]] = {}
    for position, reading in enumerate(readings):
        sources.setdefault(reading.source or f"reading {position}", []).append(reading)
    return [(sum(r.ln_x for r in rs) / len(rs), max(r.u for r in rs)) for rs in sources.values()]
