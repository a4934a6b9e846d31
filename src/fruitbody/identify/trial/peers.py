"""The same specimens through two plain methods of the libraries: naive Bayes and nearest neighbour by Gower distance.

Both see the funga as a plain table; neither knows of observers, groups that fail together, the tree of characters or
kinds outside the funga. Needs scikit-learn and gower; ImportError without them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fruitbody.identify.identify import Case
from fruitbody.identify.tables import MarkTable, MeasureTable, Model, StateTable, mature
from fruitbody.identify.trial.seeds import generator

Array = NDArray[np.float64]
DRAWS = 20
"""Specimens per taxon that naive Bayes learns from, drawn from the funga's own shares without any error."""
BINS = 8


@dataclass(frozen=True, slots=True)
class Columns:
    """The table that plain methods see: one column per character with states, per mark, per measure; levels: how many
    states, 0 for a measure."""

    names: tuple[tuple[str, int], ...]
    levels: tuple[int, ...]


def columns_of(model: Model) -> Columns:
    names: list[tuple[str, int]] = []
    levels: list[int] = []
    for table in model.tables.values():
        if isinstance(table, MarkTable):
            names += [(table.id, mark) for mark in range(len(table.states))]
            levels += [2] * len(table.states)
        else:
            names.append((table.id, -1))
            levels.append(len(table.states) if isinstance(table, StateTable) else 0)
    return Columns(tuple(names), tuple(levels))


def encode(model: Model, columns: Columns, case: Case) -> Array:
    """One case as a row, [C]: state numbers, 0 or 1 for marks, ln of measures; NaN where nothing was said."""
    place = {name: i for i, name in enumerate(columns.names)}
    row = np.full(len(columns.names), np.nan)
    for finding in case.findings:
        table = model.tables.get(finding.character)
        if isinstance(table, MarkTable):
            for mark, state in enumerate(table.states):
                if not finding.negated:
                    row[place[table.id, mark]] = float(state in finding.states)
                elif state in finding.states:
                    row[place[table.id, mark]] = 0.0
        elif isinstance(table, MeasureTable) and finding.measured is not None:
            high = finding.measured.high or finding.measured.low
            row[place[table.id, -1]] = math.log(math.sqrt(finding.measured.low * high))
        elif isinstance(table, StateTable) and finding.states and not finding.negated:
            row[place[table.id, -1]] = float(table.states.index(finding.states[0]))
    return row


def _shares(model: Model, name: tuple[str, int]) -> Array:
    table = model.tables[name[0]]
    assert isinstance(table, StateTable | MarkTable)
    p = mature(table.p)[: model.n_taxa]
    return np.stack([1 - p[:, name[1]], p[:, name[1]]], axis=1) if name[1] >= 0 else p


class NaiveBayes:
    """scikit-learn's CategoricalNB, one per column so that what was not observed is no column; measures in eight bins
    of equal frequency. Class prior: the engine's own for region and month."""

    def __init__(self, model: Model, columns: Columns) -> None:
        from sklearn.naive_bayes import CategoricalNB

        rng = generator(0, "naive bayes")
        self.logs: list[Array] = []
        self.edges: list[Array] = []
        classes = np.arange(model.n_taxa)
        for name, levels in zip(columns.names, columns.levels, strict=True):
            table = model.tables[name[0]]
            known = np.flatnonzero(table.known[: model.n_taxa])
            y = np.repeat(known, DRAWS)
            if isinstance(table, MeasureTable):
                values = rng.normal(np.repeat(table.mu[known], DRAWS), np.repeat(table.sigma[known], DRAWS))
                edges = np.quantile(values, np.arange(1, BINS) / BINS) if known.size else np.zeros(BINS - 1)
                x, levels = np.searchsorted(edges, values), BINS
            else:
                shares = _shares(model, name)[known]
                x = np.concatenate(
                    [rng.choice(levels, DRAWS, p=p / p.sum()) for p in shares] or [np.zeros(0, dtype=int)]
                )
                edges = np.zeros(0)
            fitted = CategoricalNB(min_categories=levels)
            if known.size:
                fitted.partial_fit(x[:, None], y, classes=classes)
                self.logs.append(np.asarray(fitted.feature_log_prob_[0]))
            else:
                self.logs.append(np.zeros((classes.size, levels)))
            self.edges.append(edges)

    def probabilities(self, rows: Array, priors: Array) -> Array:
        """P(taxon | row), [N, T]: rows [N, C], priors [N, T]."""
        total = np.log(np.maximum(priors, 1e-300))
        for column, logs in enumerate(self.logs):
            said = np.flatnonzero(~np.isnan(rows[:, column]))
            values = rows[said, column]
            edges = self.edges[column]
            codes = np.searchsorted(edges, values) if edges.size else values.astype(int)
            total[said] += logs[:, codes].T
        p = np.exp(total - total.max(axis=1, keepdims=True))
        return np.asarray(p / p.sum(axis=1, keepdims=True))


class Nearest:
    """Gower distance to the most typical specimen of each taxon. Gaps of the funga are filled with what is commonest;
    what was not observed is no column."""

    def __init__(self, model: Model, columns: Columns) -> None:
        self.categories = np.array([levels > 0 for levels in columns.levels])
        self.library = np.zeros((model.n_taxa, len(columns.names)))
        for i, (name, levels) in enumerate(zip(columns.names, columns.levels, strict=True)):
            table = model.tables[name[0]]
            known = table.known[: model.n_taxa]
            if isinstance(table, MeasureTable):
                values, usual = table.mu[: model.n_taxa], table.mu_b
            else:
                values = _shares(model, name).argmax(axis=1).astype(np.float64)
                usual = float(np.bincount(values[known].astype(int), minlength=levels).argmax())
            self.library[:, i] = np.where(known, values, usual)

    def distances(self, rows: Array) -> Array:
        """[N, T], smaller is nearer."""
        from gower import gower_matrix  # type: ignore[import-untyped]

        found = np.zeros((len(rows), len(self.library)))
        for n, row in enumerate(rows):
            said = ~np.isnan(row)
            if said.any():
                cat = self.categories[said]
                found[n] = gower_matrix(row[None, said], self.library[:, said], cat_features=cat)[0]
        return found
