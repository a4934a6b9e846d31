"""The figures of a trial as one table of plain values: what the application's page and the terminal read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from fruitbody.funga.model import Funga
from fruitbody.funga.science import science_digest
from fruitbody.identify.identify import Case
from fruitbody.identify.parameters import Parameters, read_fit
from fruitbody.identify.trial import summary
from fruitbody.identify.trial.compare import compare
from fruitbody.identify.trial.judging import Judge
from fruitbody.identify.trial.literature import danger_of, judge_printed, read_folder
from fruitbody.identify.trial.run import OUT_RUNG, Found, Plan

FIGURES = Path(__file__).parents[1] / "data" / "figures.json"
INSTALL_PEERS = "The peers are left out: install them (pip install scikit-learn gower pandas) to have them compared."


def record(
    known: Funga, parameters: Parameters, plan: Plan, found: Mapping[tuple[str, str], Found], *, date: str
) -> dict[str, Any]:
    """Everything measured, without peers and literature. date: ISO, as the caller's calendar has it."""
    figures: dict[str, dict[str, Any]] = {}
    drawn: dict[str, dict[str, Any]] = {}
    for (rung, depth), cell in found.items():
        if not len(cell.verdicts):
            continue
        figures.setdefault(rung, {})[depth] = summary.cell(cell)
        drawn.setdefault(rung, {})[depth] = summary.curves(cell)
        if rung == OUT_RUNG:
            figures[rung][depth].update(summary.taken_out(cell))
    return {
        "date": date,
        "funga": science_digest(known),
        "taxa": len(known.taxa),
        "fit": str(read_fit().get("funga", "")),
        "per_taxon": plan.per_taxon,
        "seed": plan.seed,
        "figures": figures,
        "curves": drawn,
        "danger": summary.danger(found),
        "goals": [line for goal in summary.GOALS if (line := summary.met(goal, figures)) is not None],
    }


def peers(known: Funga, parameters: Parameters, found: Mapping[tuple[str, str], Found]) -> dict[str, Any]:
    """{'peers': entries}, or {'peers_missing': what to install}."""
    try:
        return {"peers": compare(known, parameters, found)}
    except ImportError:
        return {"peers_missing": INSTALL_PEERS}


def literature(
    known: Funga, parameters: Parameters, folder: Path, read_case: Callable[[dict[str, Any]], Case]
) -> dict[str, Any]:
    """Figures of the published specimens, {} where the folder holds none."""
    printed = read_folder(folder, read_case)
    if not printed:
        return {}
    cell, lines = judge_printed(Judge(known, parameters), printed)
    strangers = [line for line in lines if not line["in_funga"]]
    right = sum(line["proposal_right"] for line in strangers)
    return {
        "literature": {
            "figures": {**summary.cell(cell), **summary.taken_out(cell)} if len(cell.verdicts) else {},
            "curves": summary.curves(cell) if len(cell.verdicts) else {},
            "strangers": {"n": len(strangers), "proposal_right": right},
            "danger": danger_of(known, printed),
            "specimens": lines,
        }
    }
