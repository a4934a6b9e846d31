"""The fit: few shared parameters, moved to the greatest mean log score on training specimens, held by weak priors.

The objective is the mean over R2 and R3 training specimens of ln P(what it is), plus ln prior / n. Of what comes in one
case in ten is taken to be an unlisted species of a listed genus, and one in twenty of no listed genus (assumed): each
specimen is scored in all three roles, the funga being less its species or its genus.
"""

from __future__ import annotations

import dataclasses
import hashlib
import math
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.finding import Finding
from fruitbody.funga.model import Funga
from fruitbody.identify.compile import compile_model
from fruitbody.identify.identify import usable_findings
from fruitbody.identify.index import index_of
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.prior import Prior, prior_of
from fruitbody.identify.ranking import Logs, logs_of, posterior_of, steps_of
from fruitbody.identify.trial.nature import Nature
from fruitbody.identify.trial.outside import without, without_taxon
from fruitbody.identify.trial.plan import DEPTHS
from fruitbody.identify.trial.seeds import TRAINING, generator
from fruitbody.identify.trial.specimens import Specimen, specimens

Array = NDArray[np.float64]
PER_CELL = 20
"""Training specimens of each rung and depth."""
RUNGS = ("R2", "R3")
SHARE_SPECIES, SHARE_GENUS = 0.10, 0.05
STEP = 1e-4
DIGITS = 4
"""Significant digits kept of a fitted value: finer than its interval, coarse enough for any machine's arithmetic."""
FOLDS = 3


@dataclass(frozen=True, slots=True)
class Knob:
    """One parameter to fit, on a log or a logit scale, with the standard deviation of its prior there. outside: it only
    shifts the weight of what the funga lacks, so the likelihoods stay."""

    name: str
    scale: str
    sd: float
    outside: bool = False

    def to_line(self, value: float) -> float:
        return math.log(value) if self.scale == "log" else math.log(value / (1 - value))

    def to_value(self, x: float) -> float:
        return math.exp(x) if self.scale == "log" else 1 / (1 + math.exp(-x))


KNOBS = (
    Knob("leak_scale", "log", 0.5),
    Knob("kappa", "log", 0.2),
    Knob("group_failure", "logit", 0.6),
    Knob("slip_clinic", "logit", 0.7),
    Knob("slip_finder", "logit", 0.7),
    Knob("misread_clinic", "log", 0.4),
    Knob("misread_finder", "log", 0.4),
    Knob("relative_blur", "logit", 0.8, outside=True),
    Knob("stranger_blur", "logit", 0.8, outside=True),
    Knob("root_outside", "logit", 0.7, outside=True),
    Knob("species_outside", "log", 0.7, outside=True),
)


def start() -> Array:
    """The design's start values, on the scales of the knobs."""
    return np.array([knob.to_line(getattr(Parameters(), knob.name)) for knob in KNOBS])


def parameters_at(x: Array) -> Parameters:
    values = {knob.name: knob.to_value(float(v)) for knob, v in zip(KNOBS, x, strict=True)}
    return dataclasses.replace(Parameters(), **values)


@dataclass(frozen=True, slots=True)
class Training:
    """Specimens with their usable findings, in order."""

    known: Funga
    cases: tuple[tuple[Specimen, tuple[Finding, ...]], ...]


def training(known: Funga, per_cell: int = PER_CELL) -> Training:
    """Specimens of the training seeds: in every rung and depth another mix of taxa, each about as often."""
    nature = Nature(known, TRAINING)
    cases = []
    for rung in RUNGS:
        for depth in DEPTHS:
            order = generator(TRAINING, "taxa", rung, depth).permutation(len(nature.index.taxa))
            for number in range(per_cell):
                row = int(order[number % order.size])
                specimen = next(specimens(nature, rung, depth, row, 1))
                cases.append((specimen, tuple(usable_findings(known, specimen.case)[0])))
    return Training(known, tuple(cases))


class Scorer:
    """Log scores of the training cases at given parameters."""

    def __init__(self, data: Training) -> None:
        self.data, self.index = data, index_of(data.known)

    def scores(self, wanted: Sequence[Parameters]) -> list[Array]:
        """Scores of every case, [N], for parameters that differ in what lies outside the funga only."""
        known, first = self.data.known, wanted[0]
        model, memo = compile_model(known, first), dict[tuple[object, ...], Any]()
        priors: list[dict[Any, Prior]] = [{} for _ in wanted]
        found = np.zeros((len(wanted), len(self.data.cases)))
        for number, (specimen, kept) in enumerate(self.data.cases):
            steps = steps_of(known, model, first, kept, memo)
            for place, parameters in enumerate(wanted):
                prior = self._prior(priors[place], parameters, specimen)
                found[place, number] = self._score(logs_of(model, parameters, steps, kept), prior, specimen.row)
        return list(found)

    def _prior(self, kept: dict[Any, Prior], parameters: Parameters, specimen: Specimen) -> Prior:
        known, case = self.data.known, specimen.case
        key = (case.region, case.month)
        if key not in kept:
            region = known.region_of(case.region) if case.region else ""
            kept[key] = prior_of(known, parameters, region=region, month=case.month)
        return kept[key]

    def _score(self, logs: Logs, prior: Prior, row: int) -> float:
        index = self.index
        genus = int(index.genus_of[row])
        p = posterior_of(index, prior, logs)
        no_genus = posterior_of(index, without(prior, index, np.arange(len(index.genera)) == genus), logs)
        score = SHARE_GENUS * math.log(max(float(no_genus[-1]), 1e-12))
        share = 1 - SHARE_GENUS
        if index.genus_counts[genus] > 1:
            lone = posterior_of(index, without_taxon(prior, row, genus), logs)
            score += SHARE_SPECIES * math.log(max(float(lone[len(index.taxa) + genus]), 1e-12))
            share -= SHARE_SPECIES
        return score + share * math.log(max(float(p[row]), 1e-12))


_scorer: Scorer | None = None


def _prepare(data: Training) -> None:
    global _scorer
    _scorer = Scorer(data)


def _work(points: Sequence[Array]) -> list[Array]:
    assert _scorer is not None
    return _scorer.scores([parameters_at(x) for x in points])


class Objective:
    """Mean log score with its prior, and its gradient by forward differences; the points are shared among processes."""

    def __init__(self, data: Training, jobs: int) -> None:
        self.n = len(data.cases)
        self.centre, self.sd = start(), np.array([knob.sd for knob in KNOBS])
        self.pool = ProcessPoolExecutor(jobs, initializer=_prepare, initargs=(data,))

    def close(self) -> None:
        self.pool.shutdown()

    def case_scores(self, x: Array) -> tuple[Array, Array]:
        """(scores [N], scores at one step along each knob [K, N])."""
        moved = [x + STEP * np.eye(len(KNOBS))[i] for i in range(len(KNOBS))]
        cheap = [i for i, knob in enumerate(KNOBS) if knob.outside]
        dear = [i for i, knob in enumerate(KNOBS) if not knob.outside]
        tasks = [[x, *(moved[i] for i in cheap)], *([moved[i]] for i in dear)]
        done = list(self.pool.map(_work, tasks))
        out = np.zeros((len(KNOBS), self.n))
        for place, i in enumerate(cheap):
            out[i] = done[0][1 + place]
        for place, i in enumerate(dear):
            out[i] = done[1 + place][0]
        return done[0][0], out

    def scores(self, x: Array) -> Array:
        """The log scores of all cases, [N]."""
        return next(iter(self.pool.map(_work, [[x]])))[0]

    def at(self, x: Array, use: NDArray[np.bool_] | None = None) -> tuple[float, Array]:
        """(−objective, its gradient), over the cases in `use`."""
        base, moved = self.case_scores(x)
        chosen = np.ones(self.n, dtype=np.bool_) if use is None else use
        z = (x - self.centre) / self.sd
        count = int(chosen.sum())
        value = base[chosen].mean() - 0.5 * float(z @ z) / count
        gradient = (moved[:, chosen].mean(axis=1) - base[chosen].mean()) / STEP - z / self.sd / count
        return -float(value), -gradient


def minimise(objective: Objective, use: NDArray[np.bool_] | None = None, tell: Callable[[str], None] = print) -> Array:
    """L-BFGS-B from the start values. Raises ImportError without SciPy."""
    from scipy.optimize import minimize

    def value(x: Array) -> tuple[float, Array]:
        found = objective.at(x, use)
        tell(f"  mean log score with prior {-found[0]:.5f}")
        return found

    bounds = [(x - 3 * knob.sd, x + 3 * knob.sd) for x, knob in zip(start(), KNOBS, strict=True)]
    result = minimize(
        value, start(), jac=True, method="L-BFGS-B", bounds=bounds, options={"maxiter": 25, "ftol": 2e-5, "gtol": 2e-4}
    )
    return np.asarray(result.x, dtype=np.float64)


def rounded(x: Array) -> dict[str, float]:
    """Values by name, to DIGITS significant digits."""
    return {knob.name: float(f"{knob.to_value(float(v)):.{DIGITS}g}") for knob, v in zip(KNOBS, x, strict=True)}


def intervals(objective: Objective, x: Array) -> dict[str, tuple[float, float]]:
    """95 % intervals by the curvature of the objective at its top."""
    width = 0.05
    here = objective.at(x)[1]
    rows = []
    for i in range(len(KNOBS)):
        step = width * np.eye(len(KNOBS))[i]
        rows.append((objective.at(x + step)[1] - here) / width)
    hessian = objective.n * (np.array(rows) + np.array(rows).T) / 2
    values, vectors = np.linalg.eigh(hessian)
    spread = np.sqrt(np.maximum(((vectors / np.maximum(values, 1.0)) * vectors).sum(axis=1), 0.0))
    return {
        knob.name: (knob.to_value(float(v - 1.96 * s)), knob.to_value(float(v + 1.96 * s)))
        for knob, v, s in zip(KNOBS, x, spread, strict=True)
    }


def folds(data: Training) -> list[NDArray[np.bool_]]:
    """Cases of each fold; a genus is never in two."""
    index = index_of(data.known)
    order = generator(TRAINING, "folds").permutation(len(index.genera))
    genus = np.array([index.genus_of[specimen.row] for specimen, _ in data.cases])
    return [np.isin(genus, np.flatnonzero(order % FOLDS == fold)) for fold in range(FOLDS)]


def data_digest(cases: Iterable[tuple[Specimen, tuple[Finding, ...]]]) -> str:
    """SHA-256 of the training cases."""
    text = "\n".join(f"{s.row} {s.case!r}" for s, _ in cases)
    return hashlib.sha256(text.encode()).hexdigest()
