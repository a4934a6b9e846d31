"""How good the engine is, told from the figures that `fruitbody evaluate` wrote: plain sentences, goals, tables.

Nothing is measured here. A figure is a value between its `low` and `high` (95 %); where the file lacks one, nothing is
told of it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, Final

from fruitbody.identify.parameters import FIT
from fruitbody.report.words import day

FIGURES: Final = FIT.with_name("figures.json")
COMMAND: Final = "fruitbody evaluate"
MAIN_RUNG: Final = "R2"
DEPTHS: Final = {
    "poor": "sent in poorly, a finder's words and pictures alone",
    "macroscopic": "examined at the bench",
    "microscopy": "examined at the bench and under the microscope",
}
DEPTH_NAMES: Final = {"poor": "Poor submission", "macroscopic": "Bench", "microscopy": "With microscopy"}
RUNGS: Final = {
    "R0": "specimens as the engine itself imagines them; this tests the code alone",
    "R1": "scores wrong here and there, ranges shifted, observers who differ",
    "R2": "and age, weather and size that change several things at once",
    "R3": "and words mistaken, bags mixed, feet missing, material washed or aged",
    "own": "specimens as the engine itself imagines them, as often as it expects each kind to come in",
}
FIGURE_NAMES: Final = {
    "top_1": "first name right", "top_3": "among the first three", "top_10": "among the first ten",
    "genus": "genus right", "proposal_right": "proposal right at its rank",
    "unjustified": "species named without justification", "log_score": "mean log score", "slope": "calibration slope",
}  # fmt: skip
COUNTED: Final = frozenset({
    "top_1", "top_3", "top_10", "genus", "proposal_right", "unjustified", "none_genus", "none_species", "none_family",
    "out_genus",
})  # fmt: skip
"""Figures that are shares of specimens; the others are numbers of their own."""


class FiguresError(ValueError):
    """The figures cannot be read; the message is a sentence that says what to do."""


@dataclass(frozen=True, slots=True)
class GoalLine:
    """A goal in words; reached, spread, goal: as shown; by: how far on the right or the wrong side."""

    words: str
    reached: str
    spread: str
    goal: str
    met: bool
    by: str


@dataclass(frozen=True, slots=True)
class TableRow:
    """One rung and depth with its figures, as shown, in the order of FIGURE_NAMES."""

    rung: str
    depth: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PeerLine:
    """The engine beside a plain method on the same specimens; better: ours is higher and the interval leaves 0 out."""

    rung: str
    depth: str
    peer: str
    figure: str
    ours: str
    theirs: str
    difference: str
    better: str


@dataclass(frozen=True, slots=True)
class HowGood:
    """Everything the page says, in order."""

    measured_on: str
    funga: str
    taxa: int
    per_taxon: int
    plain: tuple[str, ...]
    goals: tuple[GoalLine, ...]
    table: tuple[TableRow, ...]
    peers: tuple[PeerLine, ...]
    peers_missing: str
    literature: tuple[str, ...]


def read_figures(path: Path | None = None) -> Mapping[str, Any] | None:
    """The file as it was written, FIGURES unless told otherwise; None where there is none.

    Raises FiguresError where it holds something else.
    """
    path = path or FIGURES
    if not path.exists():
        return None
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except (ValueError, OSError) as error:
        raise FiguresError(f"{path.name} cannot be read ({error}). Run “{COMMAND}” again.") from None
    missing = (
        [k for k in ("date", "funga", "figures", "goals") if k not in found] if isinstance(found, dict) else ["all"]
    )
    if missing:
        raise FiguresError(f"{path.name} lacks {', '.join(missing)}. Run “{COMMAND}” again.")
    return dict(found)


def how_good(found: Mapping[str, Any]) -> HowGood:
    """The figures in words. found: as `read_figures` gives it."""
    figures = found["figures"]
    return HowGood(
        # The command writes the day as the calendar of UTC has it.
        measured_on=f"{day(date.fromisoformat(found['date']), 'en')} (UTC)",
        funga=found["funga"],
        taxa=int(found.get("taxa", 0)),
        per_taxon=int(found.get("per_taxon", 0)),
        plain=(*_plain(figures.get(MAIN_RUNG, {})), *_danger(found.get("danger") or {})),
        goals=tuple(_goal(goal) for goal in found["goals"]) + _danger_goal(found.get("danger") or {}),
        table=tuple(
            TableRow(rung, DEPTH_NAMES.get(depth, depth), tuple(shown(cell, name) for name in FIGURE_NAMES))
            for rung, depths in figures.items()
            for depth, cell in depths.items()
        ),
        peers=tuple(_peer(entry) for entry in found.get("peers", ()) if entry["figure"] in FIGURE_NAMES),
        peers_missing=str(found.get("peers_missing", "")),
        literature=_literature(found.get("literature") or {}),
    )


def of_hundred(cell: Mapping[str, Any], name: str) -> str:
    """'97 (95 to 98)' of 100; '' where it was not measured."""
    figure = _figure(cell, name)
    if figure is None:
        return ""
    value, low, high = (None if v is None else round(100 * v) for v in figure)
    return f"{value}" if low is None or high is None else f"{value} ({low} to {high})"


def shown(cell: Mapping[str, Any], name: str) -> str:
    """A figure for a table: '0.97 (0.95 to 0.98)', '–' where it was not measured."""
    figure = _figure(cell, name)
    if figure is None:
        return "–"
    value, low, high = figure
    return f"{number(value)}" if low is None or high is None else f"{number(value)} ({number(low)} to {number(high)})"


def number(value: float) -> str:
    """Two decimals with a true minus sign; three for small ones."""
    return f"{value:.3f}".replace("-", "−") if 0 < abs(value) < 0.1 else f"{value:.2f}".replace("-", "−")


def _figure(cell: Mapping[str, Any], name: str) -> tuple[float, float | None, float | None] | None:
    figure = cell.get(name) or {}
    return None if figure.get("value") is None else (figure["value"], figure.get("low"), figure.get("high"))


def _plain(depths: Mapping[str, Mapping[str, Any]]) -> list[str]:
    """A sentence or two per depth, the most that was looked at first; then what happens with strangers."""
    told = []
    for depth in reversed(DEPTHS):
        cell = depths.get(depth, {})
        if _figure(cell, "top_1") is not None:
            told.append(f"Of 100 specimens {DEPTHS[depth]}, {_outcome(cell)}")
    for depth in ("macroscopic", "microscopy"):
        cell = depths.get(depth, {})
        if _figure(cell, "none_genus") is not None:
            told.append(
                f"Of 100 specimens {DEPTHS[depth]} whose whole genus the funga did not know, it said “none of these” "
                f"in {of_hundred(cell, 'none_genus')}, at {of_hundred(cell, 'false_alarms')} false alarms of 100."
            )
    return told


def _outcome(cell: Mapping[str, Any]) -> str:
    """The figures that tell how a naming came out, of 100 specimens."""
    first, three, ten, genus, proposal, unjustified = (
        of_hundred(cell, name) for name in ("top_1", "top_3", "top_10", "genus", "proposal_right", "unjustified")
    )
    return (
        f"the first name was right in {first}; the right one was among the first three in {three}, among the first ten "
        f"in {ten}, and the genus was right in {genus}. What it proposed, at the rank that it dared, was true in "
        f"{proposal}; a species was named without justification in {unjustified}."
    )


def _danger(danger: Mapping[str, Any]) -> list[str]:
    if not danger.get("n"):
        return []
    wrong, fooled = int(danger["wrong"]), int(danger.get("adversary", 0))
    return [
        f"Of {danger['n']:,} specimens of dangerous kinds {_were(wrong)} wrongly excluded (at most "
        f"{_rate(danger['wrong_at_most'])}, 95 %). With any one finding of the clinic made false, {_were(fooled)}."
    ]


def _were(count: int) -> str:
    return f"{count or 'none'} {'was' if count < 2 else 'were'}"


def _rate(rate: float) -> str:
    return f"1 in {round(1 / rate):,}" if 0 < rate < 0.5 else number(rate)


def _goal(goal: Mapping[str, Any]) -> GoalLine:
    value, least, most = goal["value"], goal.get("least"), goal.get("most")
    limits = [
        f"at least {number(least)}" if least is not None else "",
        f"at most {number(most)}" if most is not None else "",
    ]
    # On the wrong side, how far outside; on the right side, how far from the nearer limit.
    gaps = [value - least if least is not None else None, most - value if most is not None else None]
    gap = min(g for g in gaps if g is not None)
    figure = {"goal": goal}
    spread = _figure(figure, "goal")
    between = (
        f"{number(spread[1])} to {number(spread[2])}"
        if spread and spread[1] is not None and spread[2] is not None
        else ""
    )
    words = str(goal["words"])
    return GoalLine(
        words[:1].upper() + words[1:], number(value), between, " and ".join(filter(None, limits)), bool(goal["met"]),
        number(abs(gap)),
    )  # fmt: skip


def _danger_goal(danger: Mapping[str, Any]) -> tuple[GoalLine, ...]:
    """The goal that no dangerous kind is wrongly excluded, an adversary included; a count, not a share."""
    if not danger.get("n"):
        return ()
    wrong = max(int(danger["wrong"]), int(danger.get("adversary", 0)))
    most = danger.get("adversary_at_most", danger["wrong_at_most"])
    return (
        GoalLine(
            "Dangerous kinds wrongly excluded, any one clinic finding made false included",
            f"{wrong} of {danger['n']:,}",
            f"at most {_rate(most)}",
            "none of 30,000",
            wrong == 0 and danger["n"] >= 30_000,
            "" if wrong == 0 else str(wrong),
        ),
    )


def _peer(entry: Mapping[str, Any]) -> PeerLine:
    low, high = entry["low"], entry["high"]
    better = "better" if low > 0 else "worse" if high < 0 else "no difference shown"
    return PeerLine(
        rung=entry["rung"],
        depth=DEPTH_NAMES.get(entry["depth"], entry["depth"]),
        peer=entry["peer"],
        figure=FIGURE_NAMES[entry["figure"]],
        ours=number(entry["ours"]),
        theirs=number(entry["theirs"]),
        difference=f"{number(entry['difference'])} ({number(low)} to {number(high)})",
        better=better,
    )


def _literature(found: Mapping[str, Any]) -> tuple[str, ...]:
    """Published specimens, in sentences."""
    specimens: Sequence[Mapping[str, Any]] = found.get("specimens", ())
    if not specimens:
        return ()
    cell, strangers = found.get("figures", {}), found.get("strangers", {})
    told = [f"{len(specimens)} specimens were taken from published accounts by somebody who had not seen the funga."]
    if _figure(cell, "top_1") is not None:
        told.append(f"Of 100 such specimens of kinds that the funga has, {_outcome(cell)}")
    if strangers.get("n"):
        right, n = strangers["proposal_right"], strangers["n"]
        told.append(f"Of {n} specimens of kinds that the funga lacks, what it proposed was still true of {right}.")
    return (*told, *_danger(found.get("danger") or {}))
