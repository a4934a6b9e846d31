"""`fit.toml`: the fitted values with what they rest on."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from fruitbody.funga.model import Funga
from fruitbody.funga.science import science_digest
from fruitbody.identify.trial import fitting
from fruitbody.identify.trial.seeds import TRAINING


def fit(known: Funga, *, jobs: int = 2, tell: Callable[[str], None] = lambda _: None) -> str:
    """Fit, hold out genera fold by fold, and write everything as TOML. Raises ImportError without SciPy."""
    data = fitting.training(known)
    objective = fitting.Objective(data, jobs)
    try:
        tell(f"Fit on {objective.n} training specimens")
        best = fitting.minimise(objective, tell=tell)
        tell(", ".join(f"{name} {value:g}" for name, value in fitting.rounded(best).items()))
        spread = fitting.intervals(objective, best)
        held = []
        for number, inside in enumerate(fitting.folds(data), 1):
            x = fitting.minimise(objective, ~inside, tell=lambda _: None)
            before, after = objective.scores(fitting.start()), objective.scores(x)
            held.append((int(inside.sum()), float(before[inside].mean()), float(after[inside].mean())))
            tell("Fold {}: {} specimens held out, {:.4f} at the start, {:.4f} fitted".format(number, *held[-1]))
        score = float(objective.scores(best).mean())
    finally:
        objective.close()
    return _toml(known, data, best, spread, held, score)


def values(known: Funga, *, jobs: int = 2) -> dict[str, float]:
    """The fitted values alone, as `fit.toml` holds them."""
    objective = fitting.Objective(fitting.training(known), jobs)
    try:
        return fitting.rounded(fitting.minimise(objective, tell=lambda _: None))
    finally:
        objective.close()


def _toml(
    known: Funga, data: fitting.Training, best: np.ndarray, spread: dict[str, tuple[float, float]],
    held: list[tuple[int, float, float]], score: float,
) -> str:  # fmt: skip
    lines = [
        "# Fitted by `fruitbody fit`; never by hand. Whenever the funga changes, fit again. How: docs/evaluate.md.",
        f'funga = "{science_digest(known)}"',
        f'data = "{fitting.data_digest(data.cases)}"',
        f"seed = {TRAINING}",
        f"specimens = {len(data.cases)}",
        f"mean_log_score = {score:.5f}",
        "",
        "[values]",
        *(f"{name} = {value:g}" for name, value in fitting.rounded(best).items()),
        "",
        "# 95 % by the curvature of the objective at its top",
        "[intervals]",
        *(f"{name} = [{low:.4g}, {high:.4g}]" for name, (low, high) in spread.items()),
    ]
    for number, before, after in held:
        lines += ["", "[[fold]]", f"held_out = {number}", f"at_start = {before:.5f}", f"fitted = {after:.5f}"]
    return "\n".join(lines) + "\n"
