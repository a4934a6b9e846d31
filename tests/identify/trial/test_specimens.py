"""Specimens of known kind: repeatable, lawful, and as deep as they say."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from fruitbody.examine.finding import Finding, SeenOn
from fruitbody.funga.model import CharacterKind
from fruitbody.identify.identify import Case
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.readings import observer_class
from fruitbody.identify.trial import figures
from fruitbody.identify.trial.judging import Judge, judge_all
from fruitbody.identify.trial.nature import Nature
from fruitbody.identify.trial.own import own_case
from fruitbody.identify.trial.plan import DEPTHS, plan
from fruitbody.identify.trial.seeds import generator
from fruitbody.identify.trial.specimens import RUNGS, Specimen, specimens

ROWS = range(0, 100, 9)


def drawn(nature: Nature, rung: str, depth: str, count: int = 3) -> list[Specimen]:
    return [s for row in ROWS for s in specimens(nature, rung, depth, row, count)]


def findings(found: list[Specimen]) -> list[Finding]:
    return [finding for specimen in found for finding in specimen.case.findings]


@pytest.mark.parametrize("rung", RUNGS)
@pytest.mark.parametrize("depth", DEPTHS)
def test_the_same_seed_gives_the_same_specimens(nature: Nature, rung: str, depth: str) -> None:
    again = Nature(nature.known, nature.seed)
    first = [s.case for s in specimens(nature, rung, depth, 7, 3)]
    assert first == [s.case for s in specimens(again, rung, depth, 7, 3)]


def test_a_specimen_does_not_depend_on_how_many_others_are_drawn(nature: Nature) -> None:
    few, many = (list(specimens(nature, "R3", "macroscopic", 5, n)) for n in (2, 6))
    assert few == many[:2]


def test_another_seed_gives_other_specimens(nature: Nature) -> None:
    other = Nature(nature.known, nature.seed + 1)
    assert list(specimens(nature, "R2", "poor", 5, 4)) != list(specimens(other, "R2", "poor", 5, 4))


@pytest.mark.parametrize("rung", RUNGS)
def test_findings_are_such_as_a_person_could_write(nature: Nature, rung: str) -> None:
    for finding in findings([s for depth in DEPTHS for s in drawn(nature, rung, depth)]):
        character = nature.known.characters[finding.character]
        assert set(finding.states) <= set(character.state_ids)
        if character.kind is CharacterKind.MEASURE:
            assert finding.measured is not None
            assert finding.measured.low > 0
            assert finding.measured.high is None or finding.measured.high > finding.measured.low


def test_a_poor_submission_holds_nothing_seen_on_the_material(nature: Nature) -> None:
    assert all(
        f.seen_on is not SeenOn.MATERIAL for f in findings(drawn(nature, "R3", "poor")) if f.character != "stage"
    )


def test_only_microscopy_has_spores(nature: Nature) -> None:
    needs = {
        depth: {n for f in findings(drawn(nature, "R2", depth)) for n in nature.known.characters[f.character].needs}
        for depth in DEPTHS
    }
    assert ["microscope" in needs[depth] for depth in DEPTHS] == [False, False, True]


def test_each_depth_sees_more_than_the_one_before(nature: Nature) -> None:
    seen = [len(findings(drawn(nature, "R2", depth))) for depth in DEPTHS]
    assert seen == sorted(seen)


def test_month_and_region_are_the_taxons_own(nature: Nature) -> None:
    for specimen in drawn(nature, "R1", "poor"):
        taxon = nature.index.taxa[specimen.row]
        assert specimen.case.month in taxon.months
        assert nature.known.region_of(specimen.case.region) in taxon.regions


def test_nature_departs_from_the_books_in_five_to_fifteen_of_a_hundred_scores(nature: Nature) -> None:
    model, count = nature.model, nature.model.n_taxa
    wrong = scored = 0
    for row in range(count):
        for name, real in nature.kind(row).shares.items():
            table = model.tables[name]
            if not hasattr(table, "readings") or isinstance(table.readings["clinic"], tuple):
                continue
            scored += 1
            wrong += real[0][int(np.argmax(table.p[0, row]))] < 0.22
    assert 0.05 < wrong / scored < 0.16


def test_parcels_of_the_last_rung_have_their_troubles(nature: Nature) -> None:
    conditions = {c for s in drawn(nature, "R3", "macroscopic", 30) for c in s.case.conditions}
    assert {"base-missing", "soaked", "several-kinds"} <= conditions


def test_cases_of_the_engines_own_model_are_calibrated(nature: Nature) -> None:
    """Taxa drawn by the prior, nothing outside the funga: what is stated comes true as often as stated."""
    known = nature.known
    parameters = dataclasses.replace(Parameters(), root_outside=0.0, species_outside=0.0)
    judge = Judge(known, parameters)
    rng = generator(99, "own model")
    cases = []
    for _ in range(1200):
        case = Case((), month=int(rng.integers(1, 13)), region="US-NY")
        prior = judge.prior(case).taxa
        row = int(rng.choice(prior.size, p=prior / prior.sum()))
        seen = own_case(known, judge.model, row, plan(known, "macroscopic", rng), rng, parameters)
        cases.append(Specimen(row, dataclasses.replace(case, findings=seen.findings)))
    table = judge_all(judge, cases, taken_out=False)
    p, right = table[:, 3], table[:, 4] > 0
    gap, room = figures.sums(p, right)
    assert abs(gap) < 1.5 * room
    assert figures.calibration(p, right)[1] == pytest.approx(1.0, abs=0.15)


def test_a_second_look_is_another_persons(nature: Nature) -> None:
    repeated = [
        f
        for s in drawn(nature, "R2", "microscopy", 20)
        for f in s.case.findings
        if f.person == "second" and observer_class(f) == "clinic"
    ]
    assert repeated
    assert {f.character for f in repeated} <= {"hymenium", "deposit_colour", "spore_ornament", "spore_shape"}
