"""What can rule a dangerous group out, case by case (engine §2). A small funga of our own makes each rule visible."""

from __future__ import annotations

import dataclasses

import pytest

from fruitbody.examine.finding import Answer, Finding, Measured, Observer, SeenOn, Soft
from fruitbody.funga.model import Funga, HazardGroup, MeasureScore, StateScore
from fruitbody.identify.exclude import WHICH_BODY, rule_out
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


def twice(finding: Finding) -> tuple[Finding, Finding]:
    """Seen by the diagnostician, and by a second reader."""
    return finding, dataclasses.replace(finding, by=Observer.SECOND_READER)


def out(*found: Finding, known: Funga | None = None, lost: tuple[str, ...] = (), bodies: int | None = None) -> bool:
    return "pale" in rule_out(known or funga(), found, lost=lost, fruit_bodies=bodies)[1]


def test_two_sources_each_confirmed_exclude() -> None:
    assert out(*twice(PORES), *twice(BLACK))


def test_all_three_sources_of_which_one_is_confirmed_exclude() -> None:
    assert out(*twice(PORES), BLACK, LONG)


def test_nothing_is_excluded_on_one_persons_word() -> None:
    assert not out(PORES, BLACK, LONG)


def test_two_sources_of_which_one_is_confirmed_do_not_exclude() -> None:
    assert not out(*twice(PORES), BLACK)
    assert not out(PORES, *twice(BLACK))


def test_one_source_does_not_exclude_however_often_it_was_looked_at() -> None:
    assert not out(*twice(PORES), dataclasses.replace(PORES, person="third"))


def test_the_build_and_the_underside_are_one_look_at_one_body() -> None:
    known = funga(scores={**GROUP.scores, ("form", ""): StateScore(mostly=("cap-and-stem",), never=("shelf",))})
    shelf = Finding("form", states=("shelf",))
    assert not out(*twice(PORES), *twice(shelf), known=known)
    assert out(*twice(PORES), *twice(shelf), *twice(BLACK), known=known)


def test_spores_and_the_cells_that_bear_them_are_one_mount() -> None:
    known = funga(scores={**GROUP.scores, ("spore_cell", ""): StateScore(mostly=("basidia",), never=("asci-lid",))})
    asci = Finding("spore_cell", states=("asci-lid",))
    assert not out(*twice(LONG), *twice(asci), known=known)
    assert out(*twice(LONG), *twice(asci), *twice(PORES), known=known)


def test_the_same_person_twice_confirms_nothing() -> None:
    assert not out(PORES, PORES, *twice(BLACK))


def test_one_person_in_two_roles_or_once_unnamed_confirms_nothing() -> None:
    rosa = dataclasses.replace(PORES, person="Rosa")
    assert not out(rosa, dataclasses.replace(rosa, by=Observer.SECOND_READER), *twice(BLACK))
    assert not out(rosa, dataclasses.replace(PORES, by=Observer.SECOND_READER), *twice(BLACK))
    assert out(rosa, dataclasses.replace(PORES, person="Tomas"), *twice(BLACK))


def test_a_second_preparation_confirms() -> None:
    first, second = (dataclasses.replace(BLACK, preparation=p) for p in ("print 1", "print 2"))
    assert out(first, second, *twice(PORES))


def test_what_names_no_fruit_body_in_a_bag_of_several_kinds_excludes_nothing() -> None:
    assert not out(*twice(PORES), *twice(BLACK), lost=(WHICH_BODY,))
    of_a = [dataclasses.replace(f, fruit_body="a") for f in (*twice(PORES), *twice(BLACK))]
    assert out(*of_a, lost=(WHICH_BODY,))


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
    assert not out(*twice(weak), *twice(BLACK))


def test_dust_on_a_cap_may_come_from_a_neighbour_and_excludes_nothing() -> None:
    assert not out(*twice(PORES), *twice(dataclasses.replace(BLACK, part="cap")))


def test_a_character_that_may_not_exclude_is_ignored_even_where_never_is_declared() -> None:
    assert not out(*twice(BLACK), *twice(Finding("ring", states=("none",))))


def test_never_with_one_published_source_excludes_nothing() -> None:
    known = funga(never_basis=("one", "one"))
    assert not out(*twice(PORES), *twice(BLACK), known=known)


def test_a_part_that_the_condition_makes_invisible_excludes_nothing() -> None:
    assert not out(*twice(PORES), *twice(BLACK), lost=("underside",))


def test_spores_far_outside_the_range_count_when_ten_were_measured() -> None:
    few = dataclasses.replace(LONG, measured=Measured(16.0, uncertainty=0.4, n=9))
    assert out(*twice(PORES), *twice(LONG))
    assert not out(*twice(PORES), *twice(few))


def test_spores_whose_uncertainty_reaches_the_range_do_not_count() -> None:
    assert not out(*twice(PORES), *twice(dataclasses.replace(LONG, measured=Measured(14.0, uncertainty=0.4, n=20))))


def test_every_fruit_body_of_a_lot_must_be_contradicted() -> None:
    on_a = [dataclasses.replace(f, fruit_body="a") for f in (*twice(PORES), *twice(BLACK))]
    on_b = [dataclasses.replace(f, fruit_body="b") for f in (*twice(PORES), *twice(BLACK))]
    assert not out(*on_a, *on_b[:2])
    assert out(*on_a, *on_b)
    assert not out(*on_a, *on_b, bodies=3)


def test_findings_of_two_fruit_bodies_do_not_add_up() -> None:
    pores, black = dataclasses.replace(PORES, fruit_body="a"), dataclasses.replace(BLACK, fruit_body="b")
    assert not out(*twice(pores), *twice(black))


def test_a_member_taxon_that_is_not_contradicted_keeps_the_group_standing() -> None:
    member = dataclasses.replace(
        next(iter(KNOWN.taxa.values())), id="member", hazard=("pale",), scores={}, basis={"never": ("one", "two")}
    )
    known = dataclasses.replace(funga(), taxa={"member": member}, digest="with a member")
    assert not out(*twice(PORES), *twice(BLACK), known=known)


def test_the_reason_names_the_findings() -> None:
    (exclusion,) = rule_out(funga(), [*twice(PORES), *twice(BLACK)])[0]
    assert exclusion.because == "hymenium: pores; deposit_colour: black"


def test_a_real_bolete_excludes_the_death_caps_only_when_two_people_saw_pores_and_print() -> None:
    brown = Finding("deposit_colour", states=("tobacco",), part="print")
    assert rule_out(KNOWN, [PORES, brown])[1] == frozenset()
    assert "amanita-phalloideae" in rule_out(KNOWN, [*twice(PORES), *twice(brown)])[1]
