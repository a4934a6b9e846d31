"""Laws of the engine that must hold whatever is found."""

from __future__ import annotations

import dataclasses
import math
import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fruitbody.examine.finding import Answer, Finding, Measured, Observer, SeenOn, Soft
from fruitbody.funga.model import CharacterKind
from fruitbody.identify import Case, Identification, identify
from fruitbody.identify.exclude import rule_out
from tests.identify.findings import CHARACTERS, DANGEROUS, KNOWN, TAXA, finding, findings, true_findings


def probabilities(result: Identification) -> dict[str, float]:
    return {candidate.id: candidate.probability for candidate in result.candidates}


def run(found: list[Finding], **case: object) -> Identification:
    return identify(KNOWN, Case(tuple(found), month=9, region="US-NY", **case))  # type: ignore[arg-type]


def excluded(found: list[Finding]) -> set[str]:
    return {e.group for e in rule_out(KNOWN, found)[0]}


def same(left: Identification, right: Identification, tolerance: float = 1e-9) -> None:
    assert probabilities(left) == pytest.approx(probabilities(right), abs=tolerance)
    assert left.none_of_these == pytest.approx(right.none_of_these, abs=tolerance)


@given(findings())
def test_all_probabilities_are_proper_and_sum_to_one(found: list[Finding]) -> None:
    result = run(found)
    everything = [*probabilities(result).values(), *(s.probability for s in result.other_species), result.none_of_these]
    assert all(0 <= p <= 1 for p in everything)
    assert sum(everything) == pytest.approx(1.0, abs=1e-9)


@given(findings(), st.randoms(use_true_random=False))
def test_the_order_of_findings_never_matters(found: list[Finding], order: random.Random) -> None:
    shuffled = list(found)
    order.shuffle(shuffled)
    same(run(found), run(shuffled))


@given(findings(5), st.sampled_from([c for c in CHARACTERS if c.kind is CharacterKind.STATES and not c.parent]))
def test_naming_all_states_of_a_character_changes_nothing(found: list[Finding], character: object) -> None:
    everything = Finding(character.id, states=character.state_ids)  # type: ignore[attr-defined]
    same(run(found), run([*found, everything]))


@given(findings(5), st.sampled_from([c for c in CHARACTERS if c.kind is CharacterKind.STATES]))
def test_uninformative_shares_change_nothing(found: list[Finding], character: object) -> None:
    background = dict(zip(character.state_ids, KNOWN.background.get(character.id, ()), strict=False))  # type: ignore[attr-defined]
    if background:
        same(run(found), run([*found, Finding(character.id, soft=Soft(shares=background))]), 1e-6)  # type: ignore[attr-defined]


@given(findings(5), st.sampled_from(CHARACTERS), st.sampled_from(list(Answer)[2:]))
def test_an_answer_without_a_value_is_no_evidence(found: list[Finding], character: object, answer: Answer) -> None:
    same(run(found), run([*found, Finding(character.id, answer=answer)]))  # type: ignore[attr-defined]


@given(findings())
def test_the_evidence_of_two_candidates_differs_by_their_posterior_odds(found: list[Finding]) -> None:
    result, before = run(found), run([])
    first, second = result.candidates[0], result.candidates[1]
    prior = probabilities(before)
    told = sum(w.decibans for w in first.evidence) - sum(w.decibans for w in second.evidence)
    odds = 10 * math.log10(first.probability / second.probability * prior[second.id] / prior[first.id])
    assert told == pytest.approx(odds, abs=1e-6)


def silence_tells(character_id: str) -> bool:
    """Whether this character, or one that it depends on, takes a silent source for the unremarkable."""
    character = KNOWN.characters[character_id]
    return bool(character.if_silent) or (bool(character.parent) and silence_tells(character.parent))


@given(findings(5), st.sampled_from(TAXA))
def test_a_taxon_of_which_nothing_is_known_gets_zero_decibans(found: list[Finding], taxon: object) -> None:
    """Nothing is known of it: every finding says 0 dB, but for characters whose silence means the unremarkable."""
    empty = dataclasses.replace(taxon, id="nobody", scores={})  # type: ignore[type-var]
    wider = dataclasses.replace(KNOWN, taxa={**KNOWN.taxa, "nobody": empty}, digest="with nobody")
    loud = [f for f in found if not silence_tells(f.character)]
    result = identify(wider, Case(tuple(loud)))
    nobody = next(c for c in result.candidates if c.id == "nobody")
    assert [w.decibans for w in nobody.evidence] == pytest.approx([0.0] * len(nobody.evidence), abs=1e-9)


@given(findings(20))
def test_no_word_of_a_finder_no_photo_and_no_telephone_ever_excludes(found: list[Finding]) -> None:
    weak = [dataclasses.replace(f, by=Observer.FINDER) for f in found]
    weak += [dataclasses.replace(f, by=Observer.DIAGNOSTICIAN, seen_on=SeenOn.PHOTO) for f in found]
    weak += [dataclasses.replace(f, by=Observer.DIAGNOSTICIAN, seen_on=SeenOn.TOLD) for f in found]
    assert run(weak).excluded == ()


@given(findings(20))
def test_an_absence_never_excludes(found: list[Finding]) -> None:
    absences = [dataclasses.replace(f, negated=True, seen_on=SeenOn.MATERIAL, by=Observer.DIAGNOSTICIAN) for f in found]
    assert run([f for f in absences if f.measured is None]).excluded == ()


WEAK = {
    "ring", "volva", "cap_surface", "cap_colour", "smell", "taste", "cap_width", "stem_length", "substrate", "host",
    "underside_bruise", "flesh_change", "koh_cap", "iron_flesh", "base_marks", "growth_habit",
}  # fmt: skip


def test_no_weak_character_is_marked_as_one_that_can_exclude() -> None:
    assert {c for c in WEAK if KNOWN.characters[c].excludes} == set()


@pytest.mark.parametrize("taxon", DANGEROUS, ids=lambda t: t.id)
def test_a_typical_specimen_never_excludes_its_own_hazard_groups(taxon: object) -> None:
    out = excluded(true_findings(taxon))  # type: ignore[arg-type]
    assert out.isdisjoint(taxon.hazard)  # type: ignore[attr-defined]


@pytest.mark.parametrize("taxon", DANGEROUS, ids=lambda t: t.id)
def test_flipping_any_one_clinic_finding_never_excludes_the_true_dangerous_taxon(taxon: object) -> None:
    true = true_findings(taxon)  # type: ignore[arg-type]
    for position, right in enumerate(true):
        character = KNOWN.characters[right.character]
        for state in character.state_ids:
            wrong = dataclasses.replace(right, states=(state,), measured=None) if not right.measured else right
            flipped = [*true[:position], wrong, *true[position + 1 :]]
            out = excluded(flipped)
            assert out.isdisjoint(taxon.hazard), (right.character, state)  # type: ignore[attr-defined]
            if right.measured:
                break
        if right.measured:
            far = dataclasses.replace(right, measured=Measured(right.measured.low * 3, uncertainty=0.1, n=30))
            out = excluded([*true[:position], far, *true[position + 1 :]])
            assert out.isdisjoint(taxon.hazard), right.character  # type: ignore[attr-defined]


@given(findings())
def test_the_list_of_groups_drops_none_silently(found: list[Finding]) -> None:
    result = run(found)
    named = {s.group for s in result.not_excluded} | {e.group for e in result.excluded}
    assert named == set(KNOWN.hazard_groups)


@given(findings(6))
def test_look_next_offers_only_what_was_not_looked_for(found: list[Finding]) -> None:
    offered = {look.character for look in run(found).look_next}
    assert offered.isdisjoint({f.character for f in found})
    assert "taste" not in offered


@given(findings(6))
def test_bits_are_never_negative_and_never_above_the_entropy(found: list[Finding]) -> None:
    result = run(found)
    everything = [*probabilities(result).values(), *(s.probability for s in result.other_species), result.none_of_these]
    entropy = -sum(p * math.log2(p) for p in everything if p > 0)
    assert all(0 <= look.bits <= entropy + 1e-6 for look in result.look_next)
    assert all(look.danger_bits <= 1 + 1e-9 for look in result.look_next)


def test_what_vanishes_first_stands_on_top() -> None:
    looks = run([Finding("form", states=("cap-and-stem",))]).look_next
    vanishing = [look.vanishes for look in looks]
    assert vanishing == sorted(vanishing, reverse=True)
    assert {look.character for look in looks if look.vanishes} >= {"smell", "deposit_colour", "milk", "cap_touch"}


def test_two_reports_on_one_fruit_body_share_one_true_state() -> None:
    """The same wrong word twice cannot count twice as strongly as independent evidence would."""
    once = run([Finding("ring", states=("hanging",))])
    twice = run([Finding("ring", states=("hanging",)), Finding("ring", states=("hanging",), by=Observer.SECOND_READER)])
    best = once.candidates[0].id
    gain_once = sum(w.decibans for w in once.candidates[0].evidence)
    gain_twice = sum(w.decibans for c in twice.candidates if c.id == best for w in c.evidence)
    assert gain_twice < 1.5 * gain_once


@given(finding())
def test_one_finding_can_speak_against_a_kind_only_within_bounds(single: Finding) -> None:
    """Leak, misreading and failing groups bound what one finding can say against any kind: 30 dB at most."""
    worst = min(w.decibans for c in run([single]).candidates for w in c.evidence) if run([single]).used else 0.0
    assert worst > -30


def test_a_strange_kind_of_a_known_genus_ends_in_the_genus() -> None:
    """Taken out of the funga, a species is named to its genus and not to another species (its unlisted relatives)."""
    taxon = KNOWN.taxa["amanita-pantherina-group"]
    without = dataclasses.replace(
        KNOWN, taxa={k: v for k, v in KNOWN.taxa.items() if k != taxon.id}, digest="without panther"
    )
    result = identify(without, Case(tuple(true_findings(taxon)), month=9, region="US-NY"))
    genus = next(s for s in result.ranks if s.rank == "genus")
    assert genus.name == "Amanita"


def test_a_stranger_ends_as_none_of_these() -> None:
    """A gilled, star-spored, blue, stalkless, netted thing with asci fits nothing in the funga."""
    odd = {
        "form": "coral", "body_colour": "blue", "spore_shape": "star", "spore_ornament": "netted",
        "deposit_colour": "green", "smell": "garlic", "substrate": "insect", "flesh_change": "lilac",
        "spore_cell": "divided-basidia",
    }  # fmt: skip
    result = run([Finding(c, states=(s,)) for c, s in odd.items()])
    assert result.none_of_these > max(probabilities(result).values())


def test_priors_span_at_most_thirty_decibans() -> None:
    p = np.array(list(probabilities(run([])).values()))
    assert 10 * np.log10(p.max() / p.min()) <= 30 + 1e-6
