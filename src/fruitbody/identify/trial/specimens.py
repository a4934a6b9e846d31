"""Specimens: cases whose kind is known, drawn at four rungs of trouble and three depths of examination.

R0 is the engine's own model. R1: 5 to 15 % of scored states are wrong, ranges are shifted by one σ per collection,
observers differ. R2: age, weather and size change several characters at once. R3: words are mapped wrongly, 3 % of
cases hold findings from a wrong fruit body, bags are mixed, bases are missing, material is aged or washed.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fruitbody.examine.finding import Finding, Observer
from fruitbody.funga.model import Funga
from fruitbody.identify.identify import Case
from fruitbody.identify.readings import observer_class
from fruitbody.identify.tables import MarkTable, MeasureTable, StateTable
from fruitbody.identify.trial.departures import depart, wrong_body
from fruitbody.identify.trial.nature import Nature
from fruitbody.identify.trial.own import own_case
from fruitbody.identify.trial.plan import Ask, plan
from fruitbody.identify.trial.seeds import generator
from fruitbody.identify.trial.seeing import Eyes, Truth, finding_for, says_marks, says_measure, says_state

RUNGS = ("R0", "R1", "R2", "R3")
WRONG_BODY, MIXED_BAG, FROM_NEIGHBOUR = 0.03, 0.05, 0.25
BASE_MISSING, WORN, NOTED = 0.12, 0.12, 0.8
WRONG_WORDS = {"clinic": 0.02, "between": 0.035, "finder": 0.06}


@dataclass(frozen=True, slots=True)
class Specimen:
    """A case and the row of the taxon it really is."""

    row: int
    case: Case


def specimens(nature: Nature, rung: str, depth: str, row: int, count: int) -> Iterator[Specimen]:
    """`count` specimens of one taxon; region and month are among the taxon's own."""
    known = nature.known
    taxon = nature.index.taxa[row]
    codes = [known.regions[r].members[0] for r in taxon.regions if r in known.regions and known.regions[r].members]
    for number in range(count):
        rng = generator(nature.seed, rung, depth, taxon.id, number)
        region = codes[int(rng.integers(len(codes)))] if codes else ""
        month = int(taxon.months[int(rng.integers(len(taxon.months)))]) if taxon.months else None
        if rung == "R0":
            case = own_case(known, nature.model, row, plan(known, depth, rng), rng)
        else:
            case = _natural(nature, rung, depth, row, rng)
        yield Specimen(row, dataclasses.replace(case, month=month, region=region.replace("_", "-")))


def _natural(nature: Nature, rung: str, depth: str, row: int, rng: np.random.Generator) -> Case:
    known, model = nature.known, nature.model
    truth = nature.draw(row, rng)
    asks = plan(known, depth, rng)
    skill = {who: float(np.exp(rng.normal(0, 0.4))) for who in WRONG_WORDS}
    if rung == "R1":
        return Case(tuple(see(nature, truth, asks, Eyes(skill, dict.fromkeys(WRONG_WORDS, 0.0), 0.06), rng)))
    apart = rng.spawn(1)[0]

    @lru_cache(maxsize=1)
    def other() -> Truth:
        return nature.draw(_stranger(nature, row, apart), apart)

    truth = depart(known, model, truth, other, rng)
    if rung == "R2":
        return Case(tuple(see(nature, truth, asks, Eyes(skill, dict.fromkeys(WRONG_WORDS, 0.0), 0.06), rng)))
    return _through_the_post(nature, truth, other, asks, Eyes(skill, WRONG_WORDS, 0.06), rng)


def _stranger(nature: Nature, row: int, rng: np.random.Generator) -> int:
    """Another kind that may lie in the same bag: half the time of the same form."""
    count = nature.model.n_taxa
    form = nature.model.tables["form"]
    assert isinstance(form, StateTable)
    same = np.flatnonzero(form.p[0, :count].argmax(axis=1) == int(form.p[0, row].argmax()))
    pool = same if rng.random() < 0.5 and same.size > 1 else np.arange(count)
    pool = pool[pool != row]
    return int(pool[int(rng.integers(pool.size))])


def _through_the_post(
    nature: Nature, truth: Truth, other: Callable[[], Truth], asks: list[Ask], eyes: Eyes, rng: np.random.Generator
) -> Case:
    """R3: what happens between the place and the bench, and is noted on receipt in four of five cases."""
    known = nature.known
    wrong, mixed, bare, worn = rng.random(4) < (WRONG_BODY, MIXED_BAG, BASE_MISSING, WORN)
    noted = rng.random(3) < NOTED
    conditions: list[str] = []
    if wrong:
        truth = wrong_body(nature.model, truth, other(), rng)
    if worn:
        truth = depart(known, nature.model, dataclasses.replace(truth, age="past"), other, rng)
        conditions += ["soaked"] if noted[0] else []
        asks = [a for a in asks if not ("fresh" in known.characters[a.character].needs and rng.random() < 0.6)]
    if bare:
        conditions += ["base-missing"] if noted[1] else []
        states = {
            n: _nothing(known, n, s) if "base" in known.characters[n].needs else s for n, s in truth.states.items()
        }
        truth = dataclasses.replace(truth, states=states)
        asks = [
            a
            for a in asks
            if "base" not in known.characters[a.character].needs or (not noted[1] and rng.random() < 0.5)
        ]
    found = see(nature, truth, asks, eyes, rng)
    if mixed:
        beside = {(f.character, f.by): f for f in see(nature, other(), asks, eyes, rng)}
        found = [beside.get((f.character, f.by), f) if rng.random() < FROM_NEIGHBOUR else f for f in found]
        conditions += ["several-kinds"] if noted[2] else []
    return Case(tuple(found), conditions=tuple(c for c in conditions if c in known.conditions))


def _nothing(known: Funga, name: str, state: int) -> int:
    ids = known.characters[name].state_ids
    return next((i for i, s in enumerate(ids) if s in ("none", "absent")), state)


def see(nature: Nature, truth: Truth, asks: list[Ask], eyes: Eyes, rng: np.random.Generator) -> list[Finding]:
    """What is said of a fruit body. A character is looked at only where it is there, or seems to be."""
    found: list[Finding] = []
    seen: dict[str, tuple[str, ...]] = {}
    for ask in asks:
        table = nature.model.tables[ask.character]
        if table.parent and not _seems(nature, table.parent, table.enabled, truth, seen):
            continue
        for by in (ask.by, *((Observer.SECOND_READER,) if ask.again else ())):
            finding = _look(nature, truth, dataclasses.replace(ask, by=by), eyes, rng)
            if finding is not None:
                seen[ask.character] = finding.states
                found.append(finding)
    if rng.random() < 0.6 and asks and any(a.by is Observer.DIAGNOSTICIAN for a in asks) and truth.age != "mature":
        stage = {"young": "button", "past": "past"}[truth.age]
        found.append(Finding("stage", states=(stage,)))
    return found


def _seems(nature: Nature, parent: str, enabled: object, truth: Truth, seen: dict[str, tuple[str, ...]]) -> bool:
    mask = np.asarray(enabled)
    if parent in seen:
        states = nature.model.tables[parent].states  # type: ignore[union-attr]
        return any(mask[states.index(said)] for said in seen[parent])
    return parent in truth.states and bool(mask[truth.states[parent]])


def _look(nature: Nature, truth: Truth, ask: Ask, eyes: Eyes, rng: np.random.Generator) -> Finding | None:
    table = nature.model.tables[ask.character]
    finding = finding_for(ask)
    who = observer_class(finding)
    if isinstance(table, MeasureTable):
        if table.id not in truth.means:
            return None
        n = (
            int(rng.integers(15, 31))
            if table.measured_with
            else (int(rng.integers(3, 7)) if rng.random() < 0.05 else 1)
        )
        stage = "young" if truth.age == "young" and who == "clinic" and not table.measured_with else ""
        return dataclasses.replace(finding, measured=says_measure(table, truth, ask, n, rng), stage=stage)
    if isinstance(table, MarkTable):
        there = truth.marks.get(table.id)
        said = says_marks(table, there, eyes, who, rng) if there is not None else ()
        return dataclasses.replace(finding, states=said, each=True) if said else None
    assert isinstance(table, StateTable)
    return dataclasses.replace(finding, states=says_state(table, truth.states.get(table.id), eyes, who, rng))
