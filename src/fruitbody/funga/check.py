"""Proves the knowledge beyond its grammar: a sentence for everything that does not hold together.

Never rewards filling: nothing here asks for a score that nobody knows, only for sense in those that are there.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from fruitbody.funga.model import FROM_MEMORY, Funga, HazardGroup, MeasureScore, StateScore, Taxon
from fruitbody.funga.problems import Problem
from fruitbody.funga.terms import plain_key

GROUP_RANKS = ("species group", "section", "genus", "form of growth")
LEAST_SCORED = 12
Q_SLACK = 1.12
FORM_CHARACTERS = ("form",)


def check(known: Funga) -> list[Problem]:
    """Every remark on a funga that can be read."""
    remarks: list[Problem] = []
    for taxon in known.taxa.values():
        for rule in (_name, _depth, _spores, _gates, _basis, _hazard, _pairs):
            remarks += (Problem(taxon.file, taxon.id, words) for words in rule(known, taxon))
    remarks += _names_unique(known)
    for group in known.hazard_groups.values():
        remarks += (Problem("hazards.toml", f"group {group.id}", words) for words in _group(known, group))
    return remarks


def _name(known: Funga, taxon: Taxon) -> Iterator[str]:
    if taxon.rank == "species" and not re.fullmatch(r"[A-Z][a-zë-]+ [a-zëï-]+", taxon.name):
        yield f"“{taxon.name}” is no binomial: a genus with a capital and an epithet in small letters."
    if taxon.rank in GROUP_RANKS and not taxon.id.endswith("-group"):
        yield "the id of a group ends in -group."
    if not taxon.name.startswith(taxon.genus):
        yield f"the name does not begin with its genus {taxon.genus}."
    if taxon.rank == "species" and not taxon.authority:
        yield "a species needs the authority of its name."


def _depth(known: Funga, taxon: Taxon) -> Iterator[str]:
    scored = {character for character, _ in taxon.scores}
    if "form" not in scored:
        yield "“form” is not scored; half of the other characters hang on it."
    if len(scored) < LEAST_SCORED:
        yield f"only {len(scored)} characters are scored; that is too thin to be compared."


def _spores(known: Funga, taxon: Taxon) -> Iterator[str]:
    length, width, q = (taxon.scores.get((c, "")) for c in ("spore_length", "spore_width", "spore_q"))
    if isinstance(length, MeasureScore) and isinstance(width, MeasureScore):
        if length.low < width.low or length.high < width.high:
            yield "spores are wider than long."
        if isinstance(q, MeasureScore):
            least, most = length.low / width.high, length.high / width.low
            if q.high > most * Q_SLACK or q.low < least / Q_SLACK:
                yield f"Q {q.low:g}–{q.high:g} cannot come from these lengths and widths ({least:.2f}–{most:.2f})."


def _gates(known: Funga, taxon: Taxon) -> Iterator[str]:
    """A child is scored only where its parent can enable it."""
    for character_id, _ in taxon.scores:
        character = known.characters[character_id]
        parent = taxon.scores.get((character.parent, ""))
        if character.parent and isinstance(parent, StateScore):
            possible = {*parent.mostly, *parent.at_times, *parent.seldom}
            if not possible & set(character.enabled_by):
                yield f"“{character_id}” is scored though “{character.parent}” never enables it here."


def _basis(known: Funga, taxon: Taxon) -> Iterator[str]:
    for part in ("names", "range", "macroscopic", "habitat", "hazard"):
        if part not in taxon.basis:
            yield f"the basis of “{part}” is missing; “{FROM_MEMORY}” is an honest answer."
    if any(known.characters[c].organ == "spores" for c, _ in taxon.scores) and "microscopic" not in taxon.basis:
        yield "the basis of “microscopic” is missing."


def _hazard(known: Funga, taxon: Taxon) -> Iterator[str]:
    if any(known.hazard_groups[g].grade == "deadly" for g in taxon.hazard) and not taxon.taken_for:
        yield "a deadly kind needs what it is taken for."


def _pairs(known: Funga, taxon: Taxon) -> Iterator[str]:
    for pair in taxon.taken_for:
        other = known.taxa.get(pair.taxon)
        if other is not None and taxon.id not in {p.taxon for p in other.taken_for}:
            yield f"taken for {other.id}, which does not name it back."
        if not pair.settle:
            yield f"nothing is said to settle it against {pair.taxon}."


def _names_unique(known: Funga) -> list[Problem]:
    seen: dict[str, Taxon] = {}
    remarks = []
    for taxon in known.taxa.values():
        for name in dict.fromkeys(plain_key(n) for n in (taxon.name, *taxon.synonyms)):
            if name in seen and seen[name].id != taxon.id:
                words = f"the name “{name.replace('-', ' ')}” is also claimed by {seen[name].id}."
                remarks.append(Problem(taxon.file, taxon.id, words))
            seen[name] = taxon
    return remarks


def _group(known: Funga, group: HazardGroup) -> Iterator[str]:
    if known.syndromes and group.syndrome not in known.syndromes:
        yield f"its syndrome “{group.syndrome}” stands in no table."
    if not group.scores:
        yield "its gross characters are not scored, so kinds outside the funga are not covered."
    nevers = [c for (c, _), s in group.scores.items() if isinstance(s, StateScore) and s.never]
    if nevers and len(set(group.never_basis)) < 2:
        yield f"“never” of {', '.join(nevers)} needs two published sources in never_basis."
