"""The whole trial at its smallest, from the terminal."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fruitbody.cli.main import main
from fruitbody.funga.model import Funga
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.trial.run import DANGER_CASES, Plan, run, tasks_of
from fruitbody.identify.trial.summary import GOALS, met


def test_two_processes_find_what_one_finds(known: Funga) -> None:
    plan = Plan(per_taxon=1, rungs=("R2",), depths=("poor",), peers=False)
    alone = run(known, Parameters(), Plan(**{**plan_fields(plan), "jobs": 1}))
    both = run(known, Parameters(), plan)
    assert both["R2", "poor"].verdicts == pytest.approx(alone["R2", "poor"].verdicts, nan_ok=True)
    assert len(both["R2", "poor"].verdicts) == len(known.taxa)


def plan_fields(plan: Plan) -> dict[str, object]:
    return {name: getattr(plan, name) for name in ("per_taxon", "rungs", "depths", "seed", "peers")}


@pytest.mark.parametrize("per_taxon", [1, 80])
def test_there_are_enough_specimens_of_dangerous_kinds(known: Funga, per_taxon: int) -> None:
    risky = {row for row, taxon in enumerate(known.taxa.values()) if taxon.hazard}
    tasks = [t for t in tasks_of(known, Plan(per_taxon=per_taxon)) if t.rung == "R3"]
    assert sum(t.count * len(risky & set(t.rows)) for t in tasks) >= DANGER_CASES


def test_the_terminal_writes_figures_and_says_which_goals_are_met(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "figures.json"
    words = ["evaluate", "--per-taxon", "1", "--rungs", "R2", "--depths", "poor", "--literature", str(tmp_path)]
    assert main([*words, "--json", str(file)]) == 0
    out, err = capsys.readouterr()
    figures = json.loads(file.read_text(encoding="utf-8"))
    assert "Goals" in out
    assert "R2 poor: done" in err
    assert {"date", "funga", "fit", "taxa", "figures", "curves", "goals", "peers"} <= set(figures)
    assert set(figures["figures"]["R2"]["poor"]["log_score"]) == {"value", "low", "high", "n"}
    assert [goal["met"] for goal in figures["goals"]].count(None) == 0
    assert {entry["peer"] for entry in figures["peers"]} == {"naive Bayes", "nearest by Gower"}


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--rungs", "R9"], "knows R0, R1, R2, R3"),
        (["--depths", ""], "at least one of"),
        (["--seed", "1000"], "is the fit's own"),
        (["--per-taxon", "0"], "whole numbers from 1"),
    ],
)
def test_a_wrong_word_is_answered_with_what_to_do(
    capsys: pytest.CaptureFixture[str], words: list[str], sentence: str
) -> None:
    assert main(["evaluate", *words]) == 2
    assert sentence in capsys.readouterr().err


@pytest.mark.parametrize("goal", GOALS, ids=lambda goal: goal.words)
def test_a_goal_is_met_at_its_limit_and_missed_beyond(goal: object) -> None:
    at = goal.least if goal.least > -1e9 else goal.most  # type: ignore[attr-defined]
    beyond = at - 0.001 if goal.least > -1e9 else at + 0.001  # type: ignore[attr-defined]
    for value, ok in ((at, True), (beyond, False)):
        line = met(goal, {goal.rung: {goal.depth: {goal.figure: {"value": value}}}})  # type: ignore[attr-defined, arg-type]
        assert line is not None
        assert line["met"] is ok
