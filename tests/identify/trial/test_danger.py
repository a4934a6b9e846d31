"""Dangerous kinds wrongly excluded: what one falsified finding can and cannot do."""

from __future__ import annotations

import dataclasses

from fruitbody.examine.finding import Finding, Observer, SeenOn
from fruitbody.funga.model import Funga
from fruitbody.identify.exclude import why_excluded
from fruitbody.identify.identify import Case
from fruitbody.identify.trial.danger import falls_to_an_adversary, falsified, wrongly_excluded

GROUP = "amanita-phalloideae"
TRUE = (
    Finding("form", states=("cap-and-stem",), person="first"),
    Finding("hymenium", states=("gills",), person="first"),
    Finding("ring", states=("hanging",), person="first"),
    Finding("deposit_colour", states=("white",), part="print", person="first"),
)


def twice(finding: Finding) -> tuple[Finding, Finding]:
    first = dataclasses.replace(finding, person="first")
    return first, dataclasses.replace(finding, by=Observer.SECOND_READER, person="second")


def told(*findings: Finding) -> Case:
    return Case(findings)


def test_one_falsified_finding_on_a_true_specimen_excludes_nothing(known: Funga) -> None:
    assert not falls_to_an_adversary(known, known.taxa["amanita-phalloides"], told(*TRUE))


def test_two_findings_that_two_people_falsify_alike_would(known: Funga) -> None:
    pores = dataclasses.replace(TRUE[1], states=("pores",))
    rust = dataclasses.replace(TRUE[3], states=("rust",))
    assert not wrongly_excluded(known, known.taxa["amanita-phalloides"], told(pores, rust))
    assert wrongly_excluded(known, known.taxa["amanita-phalloides"], told(*twice(pores), *twice(rust)))


def test_the_adversary_tries_every_state_of_every_character_that_may_exclude(known: Funga) -> None:
    tried = list(falsified(known, told(*TRUE)))
    may = [f for f in TRUE if known.characters[f.character].excludes]
    assert len(tried) == sum(len(known.characters[f.character].states) - 1 for f in may)


def test_a_crust_that_has_a_ring_excludes_nothing(known: Funga) -> None:
    crust, rust = Finding("form", states=("crust",)), Finding("deposit_colour", states=("rust",), part="print")
    assert why_excluded(known, GROUP, (*twice(crust), *twice(rust)))
    assert not why_excluded(known, GROUP, (*twice(crust), *twice(rust), TRUE[2]))


def test_pores_of_which_a_gill_attachment_is_told_exclude_nothing(known: Funga) -> None:
    pores, rust = Finding("hymenium", states=("pores",)), Finding("deposit_colour", states=("rust",), part="print")
    free = Finding("gill_attachment", states=("free",))
    assert why_excluded(known, GROUP, (*twice(pores), *twice(rust)))
    assert not why_excluded(known, GROUP, (*twice(pores), *twice(rust), free))


def test_a_state_that_a_second_reader_denies_excludes_nothing(known: Funga) -> None:
    pores, rust = Finding("hymenium", states=("pores",)), Finding("deposit_colour", states=("rust",), part="print")
    other = Finding("deposit_colour", states=("white",), part="print", by=Observer.SECOND_READER)
    assert not why_excluded(known, GROUP, (*twice(pores), rust, *twice(other)))


def test_a_finders_word_denies_nothing(known: Funga) -> None:
    pores, rust = Finding("hymenium", states=("pores",)), Finding("deposit_colour", states=("rust",), part="print")
    finder = Finding("hymenium", states=("gills",), by=Observer.FINDER, seen_on=SeenOn.TOLD)
    assert why_excluded(known, GROUP, (*twice(pores), *twice(rust), finder))
