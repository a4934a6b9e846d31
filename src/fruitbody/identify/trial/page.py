"""The figures as they stand in docs/identify.md. `python -m fruitbody.identify.trial.page` prints the last trial's."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

from fruitbody.identify.trial.record import FIGURES

COLUMNS = (
    ("log score", "log_score"), ("Brier", "brier"), ("first", "top_1"), ("of 3", "top_3"), ("of 10", "top_10"),
    ("genus", "genus"), ("proposal", "proposal_right"), ("unjustified", "unjustified"), ("set of 0.9", "set_of_90"),
    ("slope", "slope"), ("ECE", "ece"),
)  # fmt: skip


def markdown(told: Mapping[str, Any]) -> str:
    """Tables of a record, with 95 % intervals for the goals."""
    return "\n".join(_lines(told)) + "\n"


def _lines(told: Mapping[str, Any]) -> Iterator[str]:
    yield (
        f"Measured on {told['date']} over {told['taxa']} taxa, {told['per_taxon']} specimens of each taxon, rung and "
        f"depth (seed {told['seed']})."
    )
    yield ""
    yield f"| | {' | '.join(words for words, _ in COLUMNS)} |"
    yield f"| --- |{' --- |' * len(COLUMNS)}"
    for rung, depths in told["figures"].items():
        for depth, cell in depths.items():
            yield f"| {rung} {depth} | {' | '.join(_value(cell.get(key)) for _, key in COLUMNS)} |"
    printed = told.get("literature", {}).get("figures")
    if printed:
        values = " | ".join(_value(printed.get(key)) for _, key in COLUMNS)
        yield f"| published, n = {printed['log_score']['n']} | {values} |"
    danger = told["danger"]
    yield from (
        "",
        f"Of {danger['n']:,} specimens of dangerous kinds at R3 {danger['wrong']} were wrongly ruled out (rate at most "
        f"{danger['wrong_at_most']:.1e}, 95 %); with any one clinic finding falsified {danger['adversary']}.",
    )
    yield from ("", "| goal | reached | 95 % | asked | |", "| --- | --- | --- | --- | --- |")
    for goal in told["goals"]:
        bounds = (("≥", "least"), ("≤", "most"))
        asked = ", ".join(f"{sign} {goal[key]:g}".replace("-", "−") for sign, key in bounds if key in goal)
        met = "met" if goal["met"] else "**missed**"
        between = f"{_number(goal['low'])} to {_number(goal['high'])}" if "low" in goal else "–"
        yield f"| {goal['words']} | {_number(goal['value'])} | {between} | {asked} | {met} |"


def _value(entry: Mapping[str, Any] | None) -> str:
    return _number(entry["value"]) if entry else "–"


def _number(value: float) -> str:
    return f"{value:.3f}".replace("-", "−")


if __name__ == "__main__":
    print(markdown(json.loads(FIGURES.read_text(encoding="utf-8"))), end="")
