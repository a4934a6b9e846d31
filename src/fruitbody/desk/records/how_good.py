"""How good the engine is: the latest figures of the trial, in plain words and curves. For the staff."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.safestring import SafeString, mark_safe

from fruitbody import funga
from fruitbody.desk.people.policy import Act, requires
from fruitbody.funga.science import science_digest
from fruitbody.report import how_good as told
from fruitbody.report.curves import calibration_alt, calibration_svg, ranks_alt, ranks_svg


@requires(Act.VIEW_STAFF_PAGES)
def how_good(request: HttpRequest) -> HttpResponse:
    context: dict[str, Any] = {
        "command": told.COMMAND,
        "main": told.MAIN_RUNG,
        "rungs": told.RUNGS,
        "figure_names": told.FIGURE_NAMES.values(),
    }
    try:
        found = told.read_figures()
    except told.FiguresError as problem:
        return render(request, "records/how_good.html", {**context, "problem": str(problem)})
    if found is not None:
        good = told.how_good(found)
        context |= {
            "good": good,
            "missed": sum(not goal.met for goal in good.goals),
            "other_funga": good.funga != science_digest(funga.load()),
            "calibration": _calibration(found),
            "ranks": _ranks(found),
        }
    return render(request, "records/how_good.html", context)


def _calibration(found: Mapping[str, Any]) -> list[tuple[str, SafeString]]:
    """(depth, drawing) at the rung that the goals are set for."""
    depths = found.get("curves", {}).get(told.MAIN_RUNG, {})
    drawn = []
    for depth, curves in depths.items():
        name = told.DEPTH_NAMES.get(depth, depth)
        bins = curves.get("calibration") or []
        if bins:
            # Drawn of numbers alone; its words are escaped where they are set.
            drawn.append((name, mark_safe(calibration_svg(bins, calibration_alt(name, bins)))))
    return drawn


def _ranks(found: Mapping[str, Any]) -> list[tuple[str, SafeString]]:
    """(depth, drawing) with a curve for each rung."""
    by_depth: dict[str, dict[str, list[float]]] = {}
    for rung, depths in found.get("curves", {}).items():
        for depth, curves in depths.items():
            if curves.get("rank"):
                by_depth.setdefault(depth, {})[rung] = curves["rank"]
    return [
        (name, mark_safe(ranks_svg(rungs, ranks_alt(name, rungs))))
        for depth, rungs in by_depth.items()
        for name in [told.DEPTH_NAMES.get(depth, depth)]
    ]
