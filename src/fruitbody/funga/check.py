"""Proves the knowledge beyond its grammar: a sentence for everything that does not hold together.

Never rewards filling: nothing here asks for a score that nobody knows, only for sense in those that are there.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from fruitbody.funga.model import FROM_MEMORY, GRAVE, DeclaredGroup, Funga, HazardGroup, MeasureScore, StateScore, Taxon
from fruitbody.funga.problems import Problem
from fruitbody.funga.terms import plain_key
from fruitbody.funga.texts import TOPICS

GROUP_RANKS = ("species group", "section", "genus", "form of growth")
LEAST_SCORED = 12
Q_SLACK = 1.12
NO_REPORTS = "no reports found by us"
LANGUAGE_WORDS = {"en": "English", "es": "Spanish"}


def check(known: Funga) -> list[Problem]:
    """Every remark on a funga that can be read."""
    remarks: list[Problem] = []
    for taxon in known.taxa.values():
        for rule in (_name, _depth, _spores, _gates, _basis, _hazard, _texts, _pairs):
            remarks += (Problem(taxon.file, taxon.id, words) for words in rule(known, taxon))
    remarks += _names_unique(known)
    for declared in known.groups.values():
        remarks += (Problem(declared.file, f"group {declared.id}", words) for words in _declared(known, declared))
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
    grades = {known.hazard_groups[g].grade for g in taxon.hazard}
    if grades & set(GRAVE) and not taxon.taken_for:
        yield "a dangerous kind needs what it is taken for."
    if not taxon.hazard and (at_home := _groups_at_home(known, taxon)):
        yield (
            f"its genus belongs to the hazard group {at_home[0]} and its form fits it: name the group, or let "
            "hazard_words say “unknown”."
        )


def _groups_at_home(known: Funga, taxon: Taxon) -> list[str]:
    """Hazard groups of its genus that it fits by build, where the funga claims that nothing was reported."""
    if taxon.hazard_words != NO_REPORTS:
        return []
    form = taxon.scores.get(("form", ""))
    usual = set(form.mostly) if isinstance(form, StateScore) else set()
    found = []
    for group in known.hazard_groups.values():
        theirs = group.scores.get(("form", ""))
        fits = isinstance(theirs, StateScore) and bool(usual & {*theirs.mostly, *theirs.at_times})
        if taxon.genus in group.genera and fits and group.grade in GRAVE:
            found.append(group.id)
    return found


def _texts(known: Funga, taxon: Taxon) -> Iterator[str]:
    """What a reader is told: what it is, in both languages, and the cautions that its hazards and its rot ask for."""
    for language in ("en", "es"):
        if not taxon.what.get(language):
            yield f"“what” is missing in {LANGUAGE_WORDS[language]}."
    told = [known.sentences[key] for key in taxon.says]
    said = {(sentence.topic, sentence.kind) for sentence in told}
    harmed = "people" if any("people" in known.hazard_groups[g].who for g in taxon.hazard) else "animals"
    if taxon.hazard and (harmed, "hazard") not in said:
        yield f"it belongs to a hazard group, and “says” does not tell what it does to {harmed}."
    eaten = any({"eaten", "raw", "with alcohol", "repeated"} & set(known.hazard_groups[g].way) for g in taxon.hazard)
    for topic, whom, call in (("people", "people", "the poison centre"), ("animals", "dogs", "a vet")):
        asked = eaten and any(whom in known.hazard_groups[g].who for g in taxon.hazard)
        if asked and (topic, "do") not in said:
            yield f"it harms {whom} when eaten, and “says” sends nobody to {call}."
    rots_living = {
        "tree-root-rot",
        "tree-root-rot-brittle",
        "tree-butt-brittle",
        "tree-heart-rot",
        "tree-stress-canker",
        "tree-palm-butt",
    }
    if rots_living & set(taxon.says) and not {"tree-assess-promptly", "tree-dead-wood-assess"} & set(taxon.says):
        yield "it weakens living trees, and “says” sends nobody to an assessor."
    topics = [TOPICS.index(sentence.topic) for sentence in told]
    if topics != sorted(topics):
        yield "“says” runs in the order lawn, tree, house, people, animals."


def _pairs(known: Funga, taxon: Taxon) -> Iterator[str]:
    for pair in taxon.taken_for:
        other = known.taxa.get(pair.taxon)
        if other is not None and taxon.id not in {p.taxon for p in other.taken_for}:
            yield f"taken for {other.id}, which does not name it back."
        if not pair.settle and not pair.not_here:
            yield f"nothing is said to settle it against {pair.taxon}."
        if pair.settle and pair.not_here:
            yield f"against {pair.taxon} something settles it, and yet it says that nothing here does."
        if other is None and pair.taxon in known.groups:
            yield f"taken for {pair.taxon}, which is a declared group: name its members."
        if other and pair.settle and not any(_scored(taxon, c) and _scored(other, c) for c in pair.settle):
            yield f"{pair.settle[0]} is said to settle it against {pair.taxon}, but not both are scored for it."


def _scored(taxon: Taxon, character: str) -> bool:
    return any(c == character for c, _ in taxon.scores)


def _declared(known: Funga, group: DeclaredGroup) -> Iterator[str]:
    if not group.id.endswith("-group"):
        yield "the id of a group ends in -group."
    if len(group.members) < 2:
        yield "a group needs two members or more."
    strangers = [m for m in group.members if m in known.taxa and known.taxa[m].genus != group.genus]
    if strangers:
        yield f"{strangers[0]} belongs to another genus."


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
