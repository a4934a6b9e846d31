"""What can rule a dangerous group out, case by case (engine §2). A small funga of our own makes each rule visible."""

from __future__ import annotations

import dataclasses

import pytest

from fruitbody.examine.finding import Answer, Finding, Measured, Observer, SeenOn, Soft
from fruitbody.funga.model import Funga, HazardGroup, MeasureScore, StateScore
from fruitbody.identify.exclude import rule_out
from tests.identify.findings import KNOWN

GROUP = HazardGroup(
    id="pale",
    plain="pale kinds",
    plain_es="",
    syndrome="1A",
    also=(),
    grade="deadly",
    evidence="documented",
    who=("people",),
    way=("eaten",),
    genera=(),
    basis=(),
    note="",
    scores={
        ("hymenium", ""): StateScore(mostly=("gills",), never=("pores", "teeth")),
        ("deposit_colour", ""): StateScore(mostly=("white",), never=("black", "rust")),
        ("spore_length", ""): MeasureScore(8.0, 10.0, 7.0, 12.0),
        ("ring", ""): StateScore(mostly=("hanging",), never=("none",)),
    },
    never_basis=("one", "two"),
    settled_by=(),
)


def funga(**changes: object) -> Funga:
    group = dataclasses.replace(GROUP, **changes)  # type: ignore[arg-type]
    return dataclasses.replace(KNOWN, taxa={}, hazard_groups={"pale": group}, digest=f"pale {sorted(changes)}")


PORES = Finding("hymenium", states=("pores",))
BLACK = Finding("deposit_colour", states=("black",), part="print")
LONG = Finding("spore_length", measured=Measured(16.0, uncertainty=0.4, n=20))


def out(*found: Finding, known: Funga | None = None, lost: tuple[str, ...] = (), bodies: int | None = None) -> bool:
    return "pale" in rule_out(known or funga(), found, lost=lost, fruit_bodies=bodies)[1]


def test_two_contradictions_from_two_groups_of_characters_exclude() -> None:
    assert out(PORES, BLACK)


def test_one_contradiction_alone_does_not_exclude() -> None:
    assert not out(PORES)


def test_one_contradiction_confirmed_by_a_second_person_excludes() -> None:
    assert out(PORES, dataclasses.replace(PORES, by=Observer.SECOND_READER))


def test_the_same_person_twice_confirms_nothing() -> None:
    assert not out(PORES, PORES)


def test_one_person_in_two_roles_or_once_unnamed_confirms_nothing() -> None:
    rosa = dataclasses.replace(PORES, person="Rosa")
    assert not out(rosa, dataclasses.replace(rosa, by=Observer.SECOND_READER))
    assert not out(rosa, dataclasses.replace(PORES, by=Observer.SECOND_READER))
    assert out(rosa, dataclasses.replace(PORES, person="Tomas"))


def test_a_second_preparation_confirms() -> None:
    first, second = (dataclasses.replace(BLACK, preparation=p) for p in ("print 1", "print 2"))
    assert out(first, second)


@pytest.mark.parametrize(
    "weak",
    [
        dataclasses.replace(PORES, by=Observer.FINDER),
        dataclasses.replace(PORES, by=Observer.FRONT_DESK),
        dataclasses.replace(PORES, by=Observer.OUTSIDE),
        dataclasses.replace(PORES, seen_on=SeenOn.PHOTO),
        dataclasses.replace(PORES, seen_on=SeenOn.TOLD),
        dataclasses.replace(PORES, states=("gills",), negated=True),
        dataclasses.replace(PORES, answer=Answer.ABSENT),
        dataclasses.replace(PORES, answer=Answer.CANNOT_BE_SEEN),
        dataclasses.replace(PORES, states=(), soft=Soft(shares={"pores": 1.0})),
        dataclasses.replace(PORES, stage="young"),
        dataclasses.replace(PORES, states=("pores", "smooth")),
    ],
    ids=[
        "finder",
        "front desk",
        "outside",
        "photo",
        "told",
        "negation",
        "absence",
        "not visible",
        "soft",
        "unripe",
        "open",
    ],
)
def test_a_weaker_kind_of_finding_does_not_count(weak: Finding) -> None:
    assert not out(weak, BLACK)


def test_dust_on_a_cap_may_come_from_a_neighbour_and_excludes_nothing() -> None:
    assert not out(PORES, dataclasses.replace(BLACK, part="cap"))


def test_a_character_that_may_not_exclude_is_ignored_even_where_never_is_declared() -> None:
    assert not out(PORES, Finding("ring", states=("none",)))


def test_never_with_one_published_source_excludes_nothing() -> None:
    known = funga(never_basis=("one", "one"))
    assert not out(PORES, BLACK, known=known)


def test_a_part_that_the_condition_makes_invisible_excludes_nothing() -> None:
    assert not out(PORES, BLACK, lost=("underside",))


def test_spores_far_outside_the_range_count_when_ten_were_measured() -> None:
    assert out(PORES, LONG)
    assert not out(PORES, dataclasses.replace(LONG, measured=Measured(16.0, uncertainty=0.4, n=9)))


def test_spores_whose_uncertainty_reaches_the_range_do_not_count() -> None:
    assert not out(PORES, dataclasses.replace(LONG, measured=Measured(14.0, uncertainty=0.4, n=20)))


def test_every_fruit_body_of_a_lot_must_be_contradicted() -> None:
    on_a = [dataclasses.replace(f, fruit_body="a") for f in (PORES, BLACK)]
    on_b = [dataclasses.replace(f, fruit_body="b") for f in (PORES, BLACK)]
    assert not out(*on_a, dataclasses.replace(PORES, fruit_body="b"))
    assert out(*on_a, *on_b)
    assert not out(*on_a, *on_b, bodies=3)


def test_findings_of_two_fruit_bodies_do_not_add_up() -> None:
    assert not out(dataclasses.replace(PORES, fruit_body="a"), dataclasses.replace(BLACK, fruit_body="b"))


def test_a_member_taxon_that_is_not_contradicted_keeps_the_group_standing() -> None:
    member = dataclasses.replace(
        next(iter(KNOWN.taxa.values())), id="member", hazard=("pale",), scores={}, basis={"never": ("one", "two")}
    )
    known = dataclasses.replace(funga(), taxa={"member": member}, digest="with a member")
    assert not out(PORES, BLACK, known=known)


def test_the_reason_names_the_findings() -> None:
    (exclusion,) = rule_out(funga(), [PORES, BLACK])[0]
    assert exclusion.because == "hymenium: pores; deposit_colour: black"


def test_a_real_bolete_excludes_the_death_caps_only_with_two_findings() -> None:
    assert rule_out(KNOWN, [PORES])[1] == frozenset()
