"""Specimens of the literature: what published accounts saw, named by them, scored like the simulated ones."""

from __future__ import annotations

import dataclasses
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from fruitbody.funga.model import Funga
from fruitbody.identify.identify import Case
from fruitbody.identify.trial import figures as f
from fruitbody.identify.trial.danger import falls_to_an_adversary, wrongly_excluded
from fruitbody.identify.trial.judging import COLUMNS, Judge, rank_code
from fruitbody.identify.trial.naming import named_right
from fruitbody.identify.trial.run import Found
from fruitbody.identify.trial.specimens import Specimen

OWN_FIELDS = ("truth", "truth_name", "genus", "family", "depth", "source", "read", "note")
"""Fields of a specimen's file beside those of a case."""


@dataclass(frozen=True, slots=True)
class Printed:
    """One published specimen. truth: id of a taxon, '' where the funga lacks it."""

    file: str
    truth: str
    truth_name: str
    genus: str
    family: str
    depth: str
    source: str
    case: Case


def read_folder(folder: Path, read_case: Callable[[dict[str, Any]], Case]) -> list[Printed]:
    """All specimens of a folder in the order of their names. Raises ValueError naming the file."""
    found = []
    for path in sorted(folder.glob("*.toml")):
        try:
            data = tomllib.loads(path.read_text(encoding="utf-8"))
            own = {key: str(data.pop(key, "")) for key in OWN_FIELDS}
            case = read_case(data)
        except ValueError as error:
            raise ValueError(f"{path.name}: {error}") from None
        own.pop("read"), own.pop("note")
        found.append(Printed(path.name, case=case, **own))
    return found


def judge_printed(judge: Judge, printed: list[Printed]) -> tuple[Found, list[dict[str, Any]]]:
    """(verdicts of those whose kind is in the funga, one line per specimen)."""
    known = judge.known
    row_of = {taxon: row for row, taxon in enumerate(known.taxa)}
    verdicts, lines = [], []
    for one in printed:
        if one.truth in row_of:
            verdict = judge.judge(Specimen(row_of[one.truth], one.case), taken_out=True)
            verdicts.append([float(getattr(verdict, name)) for name in COLUMNS])
            lines.append(_line(one, p=verdict.p_true, place=verdict.place, right=verdict.right))
        else:
            lines.append(_stranger(judge, one))
    table = np.array(verdicts).reshape(len(verdicts), len(COLUMNS))
    return Found(verdicts=table), lines


def _stranger(judge: Judge, one: Printed) -> dict[str, Any]:
    """A kind that the funga lacks: right is a proposal of its genus or family, or a form; never a taxon."""
    logs, used, compared = judge.logs(one.case)
    p = judge.posterior(one.case, logs)
    proposal, _ = judge.proposed(p, compared, used)
    model = dataclasses.replace(
        next(iter(judge.known.taxa.values())), id="", genus=one.genus, family=one.family, scores={}
    )
    right = rank_code(proposal) > 1 and (rank_code(proposal) == 4 or named_right(judge.known, proposal, model))
    return _line(one, p=float(p[-1]), place=0, right=right)


def _line(one: Printed, *, p: float, place: int, right: bool) -> dict[str, Any]:
    return {
        "file": one.file, "name": one.truth_name, "depth": one.depth, "in_funga": bool(place),
        "p": p, "place": place, "proposal_right": right,
    }  # fmt: skip


def danger_of(known: Funga, printed: list[Printed]) -> Mapping[str, float]:
    """Dangerous specimens wrongly excluded, also by an adversary."""
    risky = [
        (known.taxa[one.truth], one.case) for one in printed if one.truth in known.taxa and known.taxa[one.truth].hazard
    ]
    wrong = [wrongly_excluded(known, *pair) for pair in risky]
    fooled = sum(w or falls_to_an_adversary(known, *pair) for w, pair in zip(wrong, risky, strict=True))
    n = len(risky)
    return {
        "n": n,
        "wrong": sum(wrong),
        "wrong_at_most": f.upper_bound(sum(wrong), n) if n else 1.0,
        "adversary": fooled,
    }
