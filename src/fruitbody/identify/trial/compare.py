"""The engine beside plain methods on the same specimens: differences with bootstrap intervals over taxa."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fruitbody.funga.model import Funga
from fruitbody.identify.compile import model_of
from fruitbody.identify.index import index_of
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.trial.figures import interval
from fruitbody.identify.trial.peers import NaiveBayes, Nearest, columns_of
from fruitbody.identify.trial.run import Found

Array = NDArray[np.float64]


def compare(known: Funga, parameters: Parameters, found: Mapping[tuple[str, str], Found]) -> list[dict[str, Any]]:
    """One entry per rung, depth and peer: both figures, and ours minus theirs. Raises ImportError without the peers'
    libraries."""
    model, index = model_of(known, parameters), index_of(known)
    columns = columns_of(model)
    bayes, nearest = NaiveBayes(model, columns), Nearest(model, columns)
    entries = []
    for (rung, depth), cell in found.items():
        if not cell.picked.size:
            continue
        rows = cell["row"][cell.picked].astype(np.int_)
        p = bayes.probabilities(cell.encoded, cell.priors)
        near = -nearest.distances(cell.encoded)
        for name, score in (("naive Bayes", p), ("nearest by Gower", near)):
            theirs = _figures(score, rows, index.genus_of, probabilities=name == "naive Bayes")
            ours = _ours(cell)
            for figure, values in theirs.items():
                low, high = interval(ours[figure] - values, rows)
                entries.append({
                    "rung": rung, "depth": depth, "peer": name, "figure": figure, "n": int(rows.size),
                    "ours": float(ours[figure].mean()), "theirs": float(values.mean()),
                    "difference": float((ours[figure] - values).mean()), "low": low, "high": high,
                })  # fmt: skip
    return entries


def _ours(cell: Found) -> dict[str, Array]:
    at = cell.picked
    return {
        "log_score": np.log(np.maximum(cell["p_true"][at], 1e-300)),
        "top_1": (cell["place"][at] <= 1).astype(np.float64),
        "top_3": (cell["place"][at] <= 3).astype(np.float64),
        "genus": cell["genus_right"][at],
    }


def _figures(score: Array, rows: NDArray[np.int_], genus: NDArray[np.int_], *, probabilities: bool) -> dict[str, Array]:
    """Of a table of scores [N, T], the greater the better; the genus is the best taxon's. Ties count against it."""
    true = score[np.arange(rows.size), rows]
    place = (score >= true[:, None]).sum(axis=1)
    out = {
        "top_1": (place <= 1).astype(np.float64),
        "top_3": (place <= 3).astype(np.float64),
        "genus": (genus[score.argmax(axis=1)] == genus[rows]).astype(np.float64),
    }
    if probabilities:
        out["log_score"] = np.log(np.maximum(true, 1e-300))
    return out
