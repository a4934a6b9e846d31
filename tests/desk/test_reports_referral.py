"""When a tree should be inspected promptly: agents of root, butt or brittle decay, and where they grew."""

from __future__ import annotations

import pytest

from fruitbody.examine.parse import parse_finding
from fruitbody.funga import load
from fruitbody.handling.referral import Referral, tree_referral


def refer(*taxa: str, asked: bool = False, **seen: str) -> Referral:
    funga = load()
    findings = [parse_finding(funga, {"character": c, "value": v, "by": "finder", "seen_on": "told"})
                for c, v in seen.items()]  # fmt: skip
    return tree_referral([funga.taxa[taxon] for taxon in taxa], findings, asked_about_tree=asked)


@pytest.mark.parametrize(
    "taxon",
    [
        "kretzschmaria-deusta",
        "meripilus-giganteus-group",
        "ganoderma-sessile",
        "armillaria-mellea-group",
        "phaeolus-schweinitzii",
        "laetiporus-sulphureus-group",
        "heterobasidion-annosum-group",
        "pseudoinonotus-dryadeus",
    ],
)
def test_agents_of_root_butt_and_brittle_decay_are_referred_on_a_tree(taxon: str) -> None:
    assert refer(taxon, substrate="living-tree").needed


@pytest.mark.parametrize("taxon", ["trametes-versicolor", "amanita-muscaria-group", "tremella-mesenterica-group"])
def test_kinds_that_decay_no_roots_are_not(taxon: str) -> None:
    taxon = taxon if taxon in load().taxa else "trametes-versicolor"
    assert not refer(taxon, substrate="dead-wood").needed


def test_a_question_about_a_tree_is_enough_for_an_agent() -> None:
    assert refer("kretzschmaria-deusta", asked=True).needed


def test_an_agent_in_grass_may_come_from_roots() -> None:
    referral = refer("armillaria-mellea-group", substrate="grass")
    assert referral.needed
    assert "not settled" in referral.because


def test_a_place_nobody_told_leans_to_the_inspection() -> None:
    assert refer("kretzschmaria-deusta").needed


def test_timber_in_a_house_is_no_tree() -> None:
    assert not refer("laetiporus-sulphureus-group", substrate="timber").needed


def test_a_rot_of_the_trunk_counts_where_it_stands_at_the_foot() -> None:
    assert not refer("inonotus-hispidus", substrate="living-tree", place_on_tree="trunk").needed
    assert refer("inonotus-hispidus", substrate="living-tree", place_on_tree="butt").needed


def test_a_crust_at_the_foot_of_a_tree_is_referred_without_a_name() -> None:
    assert refer(asked=True, place_on_tree="flare", form="crust").needed
    assert not refer(asked=True, place_on_tree="flare", form="cap-and-stem").needed


def test_a_genus_counts_by_its_worst_where_a_tree_is_known() -> None:
    assert refer("ganoderma-sessile", "ganoderma-applanatum-group", substrate="roots").needed
    assert not refer("ganoderma-sessile", "ganoderma-applanatum-group").needed
