"""From verdicts to the figures of a trial, each with its 95 % interval, and to the goals."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fruitbody.identify.trial import figures as f
from fruitbody.identify.trial.judging import RANKS
from fruitbody.identify.trial.run import Found

Array = NDArray[np.float64]
ENOUGH_FOR_ECE = 2_000
FALSE_ALARMS = 0.05
Figure = dict[str, float]


@dataclass(frozen=True, slots=True)
class Goal:
    """A goal on one figure of one cell: at least `least`, at most `most`."""

    words: str
    rung: str
    depth: str
    figure: str
    least: float = -math.inf
    most: float = math.inf


GOALS = (
    Goal("mean log score at the bench", "R2", "macroscopic", "log_score", least=-0.6),
    Goal("mean log score with microscopy", "R2", "microscopy", "log_score", least=-0.3),
    Goal("first name right at the bench", "R2", "macroscopic", "top_1", least=0.85),
    Goal("among the first three at the bench", "R2", "macroscopic", "top_3", least=0.95),
    Goal("genus right at the bench", "R2", "macroscopic", "genus", least=0.95),
    Goal("first name right with microscopy", "R2", "microscopy", "top_1", least=0.92),
    Goal("among the first ten, poor submission", "R2", "poor", "top_10", least=0.85),
    *(Goal(f"proposal right at its rank, {d}", "R2", d, "proposal_right", least=0.95)
      for d in ("poor", "macroscopic", "microscopy")),
    *(Goal(f"species named without justification, {d}", "R2", d, "unjustified", most=0.02)
      for d in ("poor", "macroscopic", "microscopy")),
    *(Goal(f"calibration slope, {d}", "R2", d, "slope", least=0.85, most=1.15)
      for d in ("poor", "macroscopic", "microscopy")),
    Goal("smallest set that holds 0.9, median at the bench", "R2", "macroscopic", "set_of_90", most=3),
    Goal("own model, drawn by its own prior: expected calibration error", "own", "macroscopic", "ece", most=0.01),
    Goal("genus taken out: none of these, at the bench", "R2", "macroscopic", "none_genus", least=0.6),
    Goal("genus taken out: none of these, with microscopy", "R2", "microscopy", "none_genus", least=0.8),
    Goal("species taken out: genus named, no species, at the bench", "R2", "macroscopic", "out_genus", least=0.8),
    Goal("species taken out: genus named, no species, with microscopy", "R2", "microscopy", "out_genus", least=0.8),
)  # fmt: skip


def cell(found: Found) -> dict[str, Figure]:
    """Every figure of one rung and depth: value, low, high; n."""
    taxa = found["row"].astype(np.int_)
    p, right = found["p_best"], found["best_right"] > 0
    simple = {
        "log_score": np.log(np.maximum(found["p_true"], 1e-300)),
        "brier": found["brier"],
        "top_1": found["place"] <= 1,
        "top_3": found["place"] <= 3,
        "top_10": found["place"] <= 10,
        "genus": found["genus_right"],
        "proposal_right": found["right"],
        "unjustified": found["unjustified"],
        "findings": found["used"],
        **{f"rank_{name}": found["rank"] == code for code, name in enumerate(RANKS)},
    }
    out = {name: _mean(np.asarray(values, dtype=np.float64), taxa) for name, values in simple.items()}
    out["set_of_90"] = _of(found["held"], taxa, lambda v: float(np.median(v)))
    both = np.stack([p, right.astype(np.float64), found["usual"]], axis=1)
    out["slope"] = _of(both, taxa, lambda v: f.calibration(v[:, 0], v[:, 1] > 0)[1], rounds=100)
    out["slope_usual"] = _of(both, taxa, lambda v: f.calibration(v[:, 0], v[:, 1] > 0, v[:, 2])[1], rounds=100)
    w = found["usual"]
    usual = np.log(np.maximum(found["p_true"], 1e-300))
    out["log_score_usual"] = {"value": float(w @ usual / w.sum()), "n": len(p)}
    gap, room = f.sums(p, right)
    out["sum_gap"] = {"value": gap, "low": -room, "high": room, "n": len(p)}
    if len(p) >= ENOUGH_FOR_ECE:
        out["ece"] = {"value": f.ece(p, right), "n": len(p)}
    return out


def taken_out(found: Found) -> dict[str, Figure]:
    """What happens with the species, the genus or the family taken out. The alarm is P(none of these) above the
    threshold that lets 5 % of the same specimens cry with nothing taken out."""
    taxa = found["row"].astype(np.int_)
    out: dict[str, Figure] = {}
    for level in ("species", "genus", "family"):
        have = ~np.isnan(found[f"stranger_{level}"])
        _, threshold = f.detection(found["stranger"], found["stranger"], FALSE_ALARMS)
        cries = (found[f"stranger_{level}"][have] > threshold).astype(np.float64)
        out[f"none_{level}"] = {**_mean(cries, taxa[have]), "threshold": threshold}
    has_kin = ~np.isnan(found["out_genus"])
    for name in ("out_genus", "out_bare", "out_named"):
        out[name] = _mean(found[name][has_kin], taxa[has_kin])
    out["false_alarms"] = _mean((found["stranger"] > out["none_genus"]["threshold"]).astype(np.float64), taxa)
    return out


def danger(found: Mapping[tuple[str, str], Found]) -> dict[str, Any]:
    """Dangerous kinds wrongly excluded, with the upper bound of the rate."""
    n, wrong, fooled = (sum(one.danger[i] for one in found.values()) for i in range(3))
    if not n:
        return {}
    return {
        "n": n, "wrong": wrong, "wrong_at_most": f.upper_bound(wrong, n),
        "adversary": fooled, "adversary_at_most": f.upper_bound(fooled, n),
    }  # fmt: skip


def curves(found: Found) -> dict[str, Any]:
    """For drawing: stated against true probability in tenths; share within the first k names for k = 1..20."""
    places = found["place"]
    return {
        "calibration": f.curve(found["p_best"], found["best_right"] > 0),
        "rank": [float(np.mean(places <= k)) for k in range(1, 21)],
    }


def met(goal: Goal, figures: Mapping[str, Mapping[str, Mapping[str, Figure]]]) -> dict[str, Any] | None:
    """The goal with the figure reached; None where it was not measured."""
    figure = figures.get(goal.rung, {}).get(goal.depth, {}).get(goal.figure)
    if figure is None or math.isnan(figure["value"]):
        return None
    limits = {k: v for k, v in (("least", goal.least), ("most", goal.most)) if math.isfinite(v)}
    ok = goal.least <= figure["value"] <= goal.most
    return {"words": goal.words, "rung": goal.rung, "depth": goal.depth, **limits, **figure, "met": ok}


def _mean(values: Array, taxa: NDArray[np.int_]) -> Figure:
    if not values.size:
        return {"value": math.nan, "n": 0}
    low, high = f.interval(values, taxa)
    return {"value": float(values.mean()), "low": low, "high": high, "n": int(values.size)}


def _of(values: Array, taxa: NDArray[np.int_], statistic: Any, rounds: int = 200) -> Figure:
    low, high = f.interval(values, taxa, statistic, rounds=rounds)
    return {"value": statistic(values), "low": low, "high": high, "n": len(values)}
