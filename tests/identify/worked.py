"""Builds the engine's model from the worked check's own file: given backgrounds, given error matrices."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import numpy as np

from fruitbody.examine.finding import Finding, Measured, Observer, SeenOn
from fruitbody.funga.model import MeasureScore
from fruitbody.identify.likelihood import Evidence
from fruitbody.identify.measures import score_to_normal
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.tables import MeasureTable, Model, StateTable, Table

FILE = Path(__file__).with_name("worked_check_2.toml")
ROWS = ("A", "B", "C", "D", "reference")
WHO = {"clinic": Observer.DIAGNOSTICIAN, "finder": Observer.FINDER}


def check() -> dict[str, Any]:
    return tomllib.loads(FILE.read_text(encoding="utf-8"))


def parameters() -> Parameters:
    return Parameters(kappa=1.0, leak_measure=0.05, group_failure=0.0, relative_blur=0.3, unstated_width=1.0)


def model(*, failure: dict[str, float] | None = None, temper: dict[str, float] | None = None) -> Model:
    data = check()
    group_of = {c: g for g, entry in data["groups"].items() for c in entry["of"]}
    tables: dict[str, Table] = {}
    for order, (name, entry) in enumerate(data["character"].items()):
        group = group_of.get(name, name)
        if "states" in entry:
            tables[name] = _state_table(data, tables, name, entry, order, group)
        else:
            tables[name] = _measure_table(entry, name, order, group)
    return Model(
        tables=tables,
        rows=ROWS,
        n_taxa=4,
        spore_rho=np.full(5, 0.5),
        failure=failure or {},
        temper=temper if temper is not None else {g: e["w"] for g, e in data["groups"].items()},
        children={"hymenium": ("gill_attachment",)},
    )


def _state_table(data: Any, tables: Any, name: str, entry: Any, order: int, group: str) -> StateTable:
    b = np.array(entry["background"], dtype=float)
    leak = data["leak_states"]
    p = np.tile(b, (1, 5, 1))
    for row, taxon in enumerate(ROWS[:4]):
        if isinstance(entry[taxon], list):
            p[0, row] = (1 - leak) * np.array(entry[taxon], dtype=float) + leak * b
    needs = entry.get("needs", {})
    parent = next(iter(needs), "")
    enabled = np.array([s in needs[parent] for s in tables[parent].states]) if parent else np.zeros(0, dtype=bool)
    return StateTable(
        id=name,
        group=group,
        order=order,
        states=tuple(entry["states"]),
        p=p,
        background=b,
        readings={who: np.array(matrix) for who, matrix in entry["error"].items()},
        not_applicable=np.array(entry.get("report_if_not_applicable", b)),
        known=np.array([isinstance(entry[t], list) for t in ROWS[:4]] + [False]),
        parent=parent,
        enabled=enabled,
    )


def _measure_table(entry: Any, name: str, order: int, group: str) -> MeasureTable:
    b = entry["background"]
    pairs = [score_to_normal(MeasureScore(*map(float, entry[t]))) for t in ROWS[:4]] + [(b["mean_ln"], b["sd_ln"])]
    return MeasureTable(
        id=name,
        group=group,
        order=order,
        unit="mm",
        mu=np.array([mu for mu, _ in pairs]),
        sigma=np.array([sigma for _, sigma in pairs]),
        mu_b=b["mean_ln"],
        sd_b=b["sd_ln"],
        known=np.array([True] * 4 + [False]),
    )


def findings() -> list[Finding]:
    found = []
    for entry in check()["observation"]:
        value = entry["value"]
        common = {"character": entry["character"], "by": WHO[entry["by"]], "seen_on": SeenOn.MATERIAL}
        if isinstance(value, int | float):
            measured = Measured(float(value), uncertainty=2.0 * entry["uncertainty"])
            found.append(Finding(**common, measured=measured))
        else:
            states = tuple(value) if isinstance(value, list) else (value,)
            found.append(Finding(**common, states=states, negated=entry.get("not", False)))
    return found


def chain(model_: Model, found: list[Finding], parameters_: Parameters) -> np.ndarray[Any, Any]:
    """Cumulative log ratios against the reference after each finding, [N, R]."""
    evidence = Evidence(model_, parameters_)
    logs = []
    for finding in found:
        evidence.add(finding)
        logs.append(evidence.log_ratio())
    return np.array(logs)


def posterior(log_ratio: Any, prior: Any) -> Any:
    """Posterior over A to D and the outside, whose ratio is 1."""
    weight = np.asarray(prior) * np.exp(np.append(log_ratio[:4], 0.0))
    return weight / weight.sum()
