"""The whole trial: specimens of every rung and depth, judged in parallel, the peers and the danger test beside them."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from fruitbody.funga.model import Funga
from fruitbody.identify.identify import Case
from fruitbody.identify.index import index_of
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.trial.danger import falls_to_an_adversary, wrongly_excluded
from fruitbody.identify.trial.judging import COLUMNS, Judge, judge_all
from fruitbody.identify.trial.nature import Nature
from fruitbody.identify.trial.own import own_case
from fruitbody.identify.trial.peers import columns_of, encode
from fruitbody.identify.trial.plan import DEPTHS
from fruitbody.identify.trial.plan import plan as plan_of
from fruitbody.identify.trial.seeds import TRIAL, generator
from fruitbody.identify.trial.specimens import RUNGS, Specimen, specimens

Array = NDArray[np.float64]
CHUNK = 6
"""Taxa per task."""
OUT_RUNG = "R2"
"""The rung on which species, genus and family are taken out."""
DANGER_RUNG, DANGER_CASES = "R3", 30_000
PEER_RUNGS, PEER_SPECIMENS = ("R2", "R3"), 8
FURTHER_SEED = 500
OWN, OWN_DEPTH, OWN_CASES, OWN_PIECE = "own", "macroscopic", 20_000, 500
"""The test of the code: R0 specimens as the prior would have them come in, against the engine that made them."""


@dataclass(frozen=True, slots=True)
class Plan:
    """What to run: per_taxon specimens of each taxon at every rung and depth; danger_cases: how many specimens of
    dangerous kinds the danger test takes in all."""

    per_taxon: int = 80
    rungs: tuple[str, ...] = RUNGS
    depths: tuple[str, ...] = DEPTHS
    seed: int = TRIAL
    jobs: int = 2
    danger_cases: int = DANGER_CASES
    own_cases: int = OWN_CASES
    peers: bool = True


@dataclass(frozen=True, slots=True)
class Task:
    rung: str
    depth: str
    rows: tuple[int, ...]
    count: int
    seed: int
    judged: bool = True


@dataclass(slots=True)
class Found:
    """Verdicts of one rung and depth, [N, columns]; for peers some cases as rows of a table, and their priors."""

    verdicts: Array = field(default_factory=lambda: np.zeros((0, len(COLUMNS))))
    encoded: Array = field(default_factory=lambda: np.zeros((0, 0)))
    priors: Array = field(default_factory=lambda: np.zeros((0, 0)))
    picked: NDArray[np.int_] = field(default_factory=lambda: np.zeros(0, dtype=np.int_))
    danger: tuple[int, int, int] = (0, 0, 0)

    def __getitem__(self, column: str) -> Array:
        return np.asarray(self.verdicts[:, COLUMNS.index(column)])


class Worker:
    """One process's share of the work."""

    def __init__(self, known: Funga, parameters: Parameters) -> None:
        self.known = known
        self.judge = Judge(known, parameters)
        self.natures: dict[int, Nature] = {}
        self.columns = columns_of(self.judge.model)
        self.own_judge: Judge | None = None

    def work(self, task: Task) -> Found:
        if task.rung == OWN:
            return Found(verdicts=self._own(task))
        nature = self.natures.setdefault(task.seed, Nature(self.known, task.seed))
        drawn = [s for row in task.rows for s in specimens(nature, task.rung, task.depth, row, task.count)]
        found = Found()
        if task.judged:
            found.verdicts = judge_all(self.judge, drawn, taken_out=task.rung == OUT_RUNG)
            if task.rung in PEER_RUNGS:
                picks = [i for i in range(len(drawn)) if i % task.count < PEER_SPECIMENS]
                found.picked = np.array(picks, dtype=np.int_)
                found.encoded = np.array([encode(self.judge.model, self.columns, drawn[i].case) for i in picks])
                found.priors = np.array([self.judge.prior(drawn[i].case).taxa for i in picks])
        if task.rung == DANGER_RUNG:
            taxa = self.judge.index.taxa
            risky = [(taxa[s.row], s.case) for s in drawn if taxa[s.row].hazard]
            wrong = [wrongly_excluded(self.known, taxon, case) for taxon, case in risky]
            fooled = sum(w or falls_to_an_adversary(self.known, *pair) for w, pair in zip(wrong, risky, strict=True))
            found.danger = len(risky), sum(wrong), fooled
        return found

    def _own(self, task: Task) -> Array:
        """Taxa drawn by the prior of some region and month; nothing lies outside the funga, in truth and in belief."""
        parameters = dataclasses.replace(Parameters(), root_outside=0.0, species_outside=0.0)
        self.own_judge = self.own_judge or Judge(self.known, parameters)
        rng = generator(task.seed, OWN, task.rows[0])
        places = [region.members[0] for region in self.known.regions.values() if region.members]
        drawn = []
        for _ in range(task.count):
            case = Case((), month=int(rng.integers(1, 13)), region=places[int(rng.integers(len(places)))])
            prior = self.own_judge.prior(case).taxa
            row = int(rng.choice(prior.size, p=prior / prior.sum()))
            asks = plan_of(self.known, task.depth, rng)
            seen = own_case(self.known, self.own_judge.model, row, asks, rng, parameters)
            drawn.append(Specimen(row, dataclasses.replace(case, findings=seen.findings)))
        return judge_all(self.own_judge, drawn, taken_out=False)


_worker: Worker | None = None


def _prepare(known: Funga, parameters: Parameters) -> None:
    global _worker
    _worker = Worker(known, parameters)


def _work(task: Task) -> tuple[Task, Found]:
    assert _worker is not None
    return task, _worker.work(task)


def tasks_of(known: Funga, plan: Plan) -> list[Task]:
    """All tasks, in the order in which they are told. Dangerous kinds are drawn further until there are enough."""
    index = index_of(known)
    rows = list(range(len(index.taxa)))
    chunks = [tuple(rows[i : i + CHUNK]) for i in range(0, len(rows), CHUNK)]
    tasks = [Task(r, d, c, plan.per_taxon, plan.seed) for r in plan.rungs for d in plan.depths for c in chunks]
    if DANGER_RUNG in plan.rungs:
        risky = [row for row in rows if index.taxa[row].hazard]
        missing = plan.danger_cases - len(risky) * plan.per_taxon * len(plan.depths)
        more = -(-missing // max(len(risky), 1)) if missing > 0 else 0
        pieces = [tuple(risky[i : i + CHUNK]) for i in range(0, len(risky), CHUNK)]
        if more:
            tasks += [
                Task(DANGER_RUNG, plan.depths[-1], p, more, plan.seed + FURTHER_SEED, judged=False) for p in pieces
            ]
    if "R0" in plan.rungs:
        tasks += [Task(OWN, OWN_DEPTH, (i,), OWN_PIECE, plan.seed) for i in range(plan.own_cases // OWN_PIECE)]
    return tasks


def run(
    known: Funga, parameters: Parameters, plan: Plan, tell: Callable[[str], None] = lambda _: None
) -> Mapping[tuple[str, str], Found]:
    """Judge everything. tell gets a line for each rung and depth that is done."""
    tasks = tasks_of(known, plan)
    parts: dict[tuple[str, str], list[Found]] = {}
    open_: dict[tuple[str, str, bool], int] = {}
    for task in tasks:
        open_[task.rung, task.depth, task.judged] = open_.get((task.rung, task.depth, task.judged), 0) + 1
    with ProcessPoolExecutor(plan.jobs, initializer=_prepare, initargs=(known, parameters)) as pool:
        for number, (task, found) in enumerate(pool.map(_work, tasks), 1):
            parts.setdefault((task.rung, task.depth), []).append(found)
            key = (task.rung, task.depth, task.judged)
            open_[key] -= 1
            if not open_[key]:
                what = "done" if task.judged else "further specimens of dangerous kinds done"
                tell(f"{task.rung} {task.depth}: {what}, {number} of {len(tasks)} parts")
    return {cell: _joined(found) for cell, found in parts.items()}


def _joined(parts: Sequence[Found]) -> Found:
    sizes = np.cumsum([0, *(len(p.verdicts) for p in parts)])
    peers = [p for p in parts if p.picked.size]
    return Found(
        verdicts=np.concatenate([p.verdicts for p in parts]),
        encoded=np.concatenate([p.encoded for p in peers]) if peers else np.zeros((0, 0)),
        priors=np.concatenate([p.priors for p in peers]) if peers else np.zeros((0, 0)),
        picked=np.concatenate([p.picked + size for p, size in zip(parts, sizes[:-1], strict=True)]).astype(np.int_),
        danger=tuple(map(sum, zip(*(p.danger for p in parts), strict=True))),  # type: ignore[arg-type]
    )
