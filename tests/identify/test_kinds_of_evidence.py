"""Each kind of report, and what it is worth."""

from __future__ import annotations

import dataclasses

import pytest

from fruitbody.examine.finding import Finding, Measured, Observer, SeenOn, Soft
from fruitbody.identify import Case, Identification, identify
from tests.identify.findings import KNOWN


def run(*found: Finding, **case: object) -> Identification:
    return identify(KNOWN, Case(found, **case))  # type: ignore[arg-type]


def decibans(result: Identification, taxon: str) -> float:
    return sum(w.decibans for c in result.candidates if c.id == taxon for w in c.evidence)


WHITE = Finding("deposit_colour", states=("white",), part="print")


def test_a_trained_eye_weighs_more_than_a_photo_and_that_more_than_a_finder() -> None:
    by = [
        dataclasses.replace(WHITE, by=Observer.DIAGNOSTICIAN),
        dataclasses.replace(WHITE, by=Observer.DIAGNOSTICIAN, seen_on=SeenOn.PHOTO),
        dataclasses.replace(WHITE, by=Observer.FINDER),
    ]
    against = [decibans(run(finding), "galerina-marginata-group") for finding in by]
    assert against[0] < against[1] < against[2] < 0


def test_an_absence_that_people_often_miss_says_little() -> None:
    """A finder who saw no ring says less against a ringed kind than the diagnostician who looked."""
    none = Finding("ring", states=("none",))
    finder = decibans(run(dataclasses.replace(none, by=Observer.FINDER)), "amanita-phalloides")
    clinic = decibans(run(none), "amanita-phalloides")
    assert clinic < finder < 0


def test_the_child_implies_its_parent() -> None:
    """'Gills running down' says that there are gills: it speaks against a bracket with pores."""
    result = run(Finding("gill_attachment", states=("running-down",)))
    assert decibans(result, "ganoderma-applanatum-group") < -3


def test_a_negated_child_implies_nothing_of_its_parent() -> None:
    result = run(Finding("gill_attachment", states=("running-down",), negated=True))
    assert abs(decibans(result, "ganoderma-applanatum-group")) < 1.0


def test_of_marks_one_of_says_less_than_each() -> None:
    marks = ("scaly", "hairy")
    one_of = run(Finding("cap_surface", states=marks))
    each = run(Finding("cap_surface", states=marks, each=True))
    assert decibans(each, "amanita-phalloides") < decibans(one_of, "amanita-phalloides")


def test_one_of_two_marks_is_what_inclusion_and_exclusion_gives() -> None:
    """P(a or b) = P(a) + P(b) − P(a and b), as likelihood ratios against the background."""
    from fruitbody.identify.compile import model_of
    from fruitbody.identify.likelihood import Evidence
    from fruitbody.identify.parameters import Parameters
    from fruitbody.identify.tables import MarkTable

    parameters = dataclasses.replace(Parameters(), group_failure=0.0)
    model = model_of(KNOWN, parameters)
    table = model.tables["cap_surface"]
    assert isinstance(table, MarkTable)
    row = model.rows.index("pholiota-squarrosa-group")
    said, not_said = table.readings["clinic"]
    a, b = table.states.index("scaly"), table.states.index("zoned")
    p, q = table.p[0, row], table.background
    of_taxon = [p[m] * said[m] + (1 - p[m]) * not_said[m] for m in (a, b)]
    of_back = [q[m] * said[m] + (1 - q[m]) * not_said[m] for m in (a, b)]
    expected = (sum(of_taxon) - of_taxon[0] * of_taxon[1]) / (sum(of_back) - of_back[0] * of_back[1])
    evidence = Evidence(model, parameters)
    evidence.add(Finding("form", states=("cap-and-stem",)))
    before = evidence.log_ratio()[row]
    evidence.add(Finding("cap_surface", states=("scaly", "zoned")))
    form = model.tables["form"]
    reading = form.readings["clinic"][:, 0]  # type: ignore[union-attr]
    cap = form.p[0, row] * reading  # type: ignore[union-attr]
    enabled = table.enabled
    back = form.background * reading  # type: ignore[union-attr]
    on_t, on_b = cap[enabled].sum() / cap.sum(), back[enabled].sum() / back.sum()
    base = sum(of_back) - of_back[0] * of_back[1]
    whole = (on_t * expected + (1 - on_t) / base * base) / (on_b + (1 - on_b) / base * base)
    import math

    assert evidence.log_ratio()[row] - before == pytest.approx(math.log(whole), abs=0.02)


def test_a_measured_colour_speaks_for_the_colour_it_is_near() -> None:
    white = Finding("cap_colour", soft=Soft(lab=(92.0, 0.0, 5.0)))
    red = Finding("cap_colour", soft=Soft(lab=(42.0, 50.0, 30.0)))
    assert decibans(run(red), "amanita-muscaria-group") > decibans(run(white), "amanita-muscaria-group")


def test_a_measured_colour_weighs_less_than_a_trained_eyes_word() -> None:
    word = decibans(run(Finding("cap_colour", states=("red",))), "amanita-muscaria-group")
    photo = decibans(run(Finding("cap_colour", soft=Soft(lab=(42.0, 50.0, 30.0)))), "amanita-muscaria-group")
    assert 0 < photo < word


def test_q_counts_only_where_length_and_width_were_not_both_measured() -> None:
    length = Finding("spore_length", measured=Measured(9.0, n=30))
    width = Finding("spore_width", measured=Measured(7.5, n=30))
    q = Finding("spore_q", measured=Measured(1.2, n=30))
    both = run(length, width, q)
    assert [s.character for s in both.set_aside] == ["spore_q"]
    assert run(q).set_aside == ()


def test_an_unripe_cap_smaller_than_the_range_speaks_hardly_against() -> None:
    small = Finding("cap_width", measured=Measured(30.0))
    young = dataclasses.replace(small, stage="young")
    assert decibans(run(young), "macrolepiota-procera-group") > decibans(run(small), "macrolepiota-procera-group") + 3


def test_a_stage_gates_the_colour_of_the_gills() -> None:
    """White gills fit a green-spored parasol while it is young, and speak against it when it is open."""
    white = Finding("gill_colour", states=("white",))
    young = decibans(run(dataclasses.replace(white, stage="young")), "chlorophyllum-molybdites")
    open_ = decibans(run(dataclasses.replace(white, stage="mature")), "chlorophyllum-molybdites")
    assert young > open_ + 3


def test_a_stage_of_the_kind_is_used_for_findings_that_name_none() -> None:
    white = Finding("gill_colour", states=("white",))
    button = Finding("stage", states=("button",))
    grown = Finding("stage", states=("mature",))
    young = decibans(run(button, white), "chlorophyllum-molybdites")
    assert young > decibans(run(grown, white), "chlorophyllum-molybdites") + 2


def test_several_fruit_bodies_that_differ_are_no_contradiction() -> None:
    """A ring on one and none on another of a kind that has it mostly is milder than both words on one fruit body."""
    ring, none = Finding("ring", states=("hanging",)), Finding("ring", states=("none",))
    apart = run(dataclasses.replace(ring, fruit_body="a"), dataclasses.replace(none, fruit_body="b"))
    one = run(dataclasses.replace(ring, fruit_body="a"), dataclasses.replace(none, fruit_body="a"))
    assert decibans(apart, "amanita-muscaria-group") > decibans(one, "amanita-muscaria-group") - 6


def test_what_the_condition_makes_invisible_is_set_aside_with_its_reason() -> None:
    result = run(Finding("volva", states=("none",)), conditions=("base-missing",))
    assert result.used == 0
    assert "base" in result.set_aside[0].because


def test_looking_next_never_offers_what_the_material_has_lost() -> None:
    offered = {look.character for look in run(conditions=("base-missing",)).look_next}
    assert not {"volva", "stem_base", "base_cut_colour"} & offered


def test_something_that_contradicts_everything_fits_unusually_badly() -> None:
    odd = run(
        Finding("form", states=("cap-and-stem",)),
        Finding("hymenium", states=("gills",)),
        Finding("deposit_colour", states=("green",), part="print"),
        Finding("cap_width", measured=Measured(3.0, uncertainty=0.2)),
        Finding("spore_length", measured=Measured(60.0, uncertainty=1.0, n=30)),
        Finding("smell", states=("carrion",)),
        Finding("substrate", states=("insect",)),
        Finding("ring", states=("cobweb",)),
        Finding("volva", states=("powder",)),
    )
    assert odd.fits_badly or odd.none_of_these > 0.5


def test_absent_with_a_value_says_that_it_is_not_that() -> None:
    from fruitbody.examine.parse import parse_finding

    absent = parse_finding(KNOWN, {"character": "ring", "value": "hanging", "answer": "absent"})
    negated = parse_finding(KNOWN, {"character": "ring", "value": "hanging", "not": True})
    assert decibans(run(absent), "amanita-phalloides") == pytest.approx(decibans(run(negated), "amanita-phalloides"))


def test_two_unripe_sizes_are_not_scored_as_one_ripe_size() -> None:
    small = Finding("cap_width", measured=Measured(20.0), stage="young", fruit_body="a")
    other = dataclasses.replace(small, fruit_body="b")
    assert decibans(run(small, other), "amanita-phalloides") == pytest.approx(
        decibans(run(small), "amanita-phalloides")
    )


def test_a_stated_uncertainty_of_spores_counts_for_each_side_alone() -> None:
    sharp = run(Finding("spore_length", measured=Measured(20.0, uncertainty=0.1, n=30)))
    blunt = run(Finding("spore_length", measured=Measured(20.0, uncertainty=8.0, n=30)))
    assert decibans(sharp, "amanita-phalloides") < decibans(blunt, "amanita-phalloides") < 0


def test_two_readings_of_one_photo_share_its_error() -> None:
    one = Finding("cap_width", measured=Measured(300.0, uncertainty=120.0), seen_on=SeenOn.PHOTO, preparation="photo 1")
    again = run(one, dataclasses.replace(one, by=Observer.SECOND_READER))
    apart = run(one, dataclasses.replace(one, by=Observer.SECOND_READER, preparation="photo 2"))
    alone = decibans(run(one), "amanita-phalloides")
    assert decibans(again, "amanita-phalloides") == pytest.approx(alone, abs=0.3)
    assert decibans(apart, "amanita-phalloides") < alone - 0.3


def test_a_ball_is_not_asked_for_gills_ring_or_sac() -> None:
    offered = {look.character for look in run(Finding("form", states=("ball",))).look_next}
    assert not {"gill_attachment", "gill_colour", "ring", "volva", "stem_length"} & offered
    assert {"ball_inside", "ball_skin"} <= offered


def test_a_finders_size_is_soft_whatever_it_was_seen_on() -> None:
    told = Finding("cap_width", measured=Measured(200.0), by=Observer.FINDER, seen_on=SeenOn.TOLD)
    seen = dataclasses.replace(told, seen_on=SeenOn.MATERIAL)
    assert decibans(run(told), "conocybe-apala") == pytest.approx(decibans(run(seen), "conocybe-apala"))


def test_a_sac_that_was_seen_counts_though_feet_are_missing_in_the_lot() -> None:
    result = run(Finding("volva", states=("sac",)), conditions=("base-missing",))
    assert result.set_aside == ()
    assert decibans(result, "amanita-phalloides") > 3


def test_no_ring_said_of_a_bracket_says_nearly_nothing_against_it() -> None:
    """Where a character cannot apply people say 'none' nine times of ten, so 'none' is what a bracket predicts."""
    result = run(Finding("ring", states=("none",)))
    assert decibans(result, "ganoderma-applanatum-group") > 0.5
