"""Writes the funga as Structured Descriptive Data, SDD 1.1: the XML of Biodiversity Information Standards (TDWG).

Source: Hagedorn, G., Thiele, K., Morris, R. and Heidorn, P. B. 2006. The Structured Descriptive Data (SDD)
w3c-xml-schema, version 1.1 (TDWG standard 116), its schema files and the examples that come with them.

What is not scored is left out. The words mostly, at times, seldom and never are frequency modifiers; a stage is a
modifier too. The ends of a usual range are the measures UMethLower and UMethUpper (by an unknown method), the extremes
Min and Max. Where a character can apply stands in the character tree.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from xml.etree import ElementTree as ET

from fruitbody.funga.cells import number_words, scores_by_character
from fruitbody.funga.model import Character, Funga, MeasureScore, Score, StateScore, Taxon
from fruitbody.funga.reading import SCORE_WORDS
from fruitbody.funga.sdd_facts import add_facts, define_facts
from fruitbody.funga.sdd_terms import (
    add_character_tree,
    add_characters,
    add_modifiers,
    character_id,
    modifier_id,
    part,
    represent,
    state_id,
)

NAMESPACE = "http://rs.tdwg.org/UBIF/2006/"
SCHEMA = f"{NAMESPACE} http://rs.tdwg.org/UBIF/2006/Schema/1.1/SDD.xsd"
INSTANCE = "http://www.w3.org/2001/XMLSchema-instance"
LANGUAGE = "{http://www.w3.org/XML/1998/namespace}lang"
DETAIL = (
    "Characters, states and scores of the funga of a clinic that names mushrooms for the public. "
    "This does not say whether any mushroom is safe to eat."
)


def sdd_text(known: Funga, *, version: str, created: datetime) -> str:
    """Every taxon and character as one SDD document. created: the moment it is made, with its zone."""
    if created.tzinfo is None:
        raise ValueError("The moment of the export needs its zone.")
    root = ET.Element("Datasets", {"xmlns": NAMESPACE, "xmlns:xsi": INSTANCE, "xsi:schemaLocation": SCHEMA})
    technical = part(root, "TechnicalMetadata", created=created.isoformat(timespec="seconds"))
    part(technical, "Generator", name="Fruitbody", version=version)
    dataset = part(root, "Dataset")
    dataset.set(LANGUAGE, "en")
    represent(dataset, f"Funga {known.digest[:12]}", detail=DETAIL)
    _add_names(dataset, known)
    _add_hierarchy(dataset, known)
    add_modifiers(dataset)
    characters = add_characters(dataset, known)
    define_facts(characters, known)
    add_character_tree(dataset, known)
    described = part(dataset, "CodedDescriptions")
    for taxon in known.taxa.values():
        _describe(described, known, taxon)
    _add_sources(dataset, known)
    ET.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"


def taxon_id(taxon: Taxon) -> str:
    return f"t-{taxon.id}"


def _higher(rank: str, name: str) -> str:
    return f"{rank}-{name.replace(' ', '-')}"


def _add_names(dataset: ET.Element, known: Funga) -> None:
    """A name for every taxon, family, genus and synonym; a name of science belongs to no language."""
    names = part(dataset, "TaxonNames")
    entries = [(_higher("family", name), name) for name in _families(known)]
    entries += [(_higher("genus", name), name) for name in known.genera]
    for taxon in known.taxa.values():
        entries.append((taxon_id(taxon), f"{taxon.name} {taxon.authority}".strip()))
        entries += [(f"{taxon_id(taxon)}-synonym-{n}", name) for n, name in enumerate(taxon.synonyms, start=1)]
    for key, name in entries:
        represent(part(names, "TaxonName", id=key), name, language="zxx-x-taxon")


def _families(known: Funga) -> list[str]:
    return sorted({genus.family for genus in known.genera.values()})


def _add_hierarchy(dataset: ET.Element, known: Funga) -> None:
    """Family, genus, taxon; old names hang on the node of the taxon."""
    hierarchy = part(part(dataset, "TaxonHierarchies"), "TaxonHierarchy", id="taxa")
    represent(hierarchy, "Families, genera and taxa")
    part(hierarchy, "TaxonHierarchyType").text = "PhylogeneticTaxonomy"
    nodes = part(hierarchy, "Nodes")
    for family in _families(known):
        _node(nodes, _higher("family", family))
    for genus in known.genera.values():
        _node(nodes, _higher("genus", genus.name), parent=_higher("family", genus.family))
    for taxon in known.taxa.values():
        node = _node(nodes, taxon_id(taxon), parent=_higher("genus", taxon.genus))
        if taxon.synonyms:
            synonyms = part(node, "Synonyms")
            for number in range(1, len(taxon.synonyms) + 1):
                part(synonyms, "TaxonName", ref=f"{taxon_id(taxon)}-synonym-{number}")


def _node(nodes: ET.Element, name: str, *, parent: str = "") -> ET.Element:
    node = part(nodes, "Node", id=f"node-{name}")
    if parent:
        part(node, "Parent", ref=f"node-{parent}")
    part(node, "TaxonName", ref=name)
    return node


def _describe(described: ET.Element, known: Funga, taxon: Taxon) -> None:
    description = part(described, "CodedDescription", id=f"d-{taxon.id}")
    represent(description, taxon.name)
    part(part(description, "Scope"), "TaxonName", ref=taxon_id(taxon))
    summary = part(description, "SummaryData")
    for key, stages in scores_by_character(taxon).items():
        _add_scores(summary, known.characters[key], stages)
    add_facts(summary, taxon)


def _add_scores(summary: ET.Element, character: Character, stages: Mapping[str, Score]) -> None:
    """One element per stage: SDD lets a character stand several times with different modifiers."""
    for stage, score in stages.items():
        if isinstance(score, MeasureScore):
            _add_range(summary, character, stage, score)
        else:
            _add_states(summary, character, stage, score)


def _add_states(summary: ET.Element, character: Character, stage: str, score: StateScore) -> None:
    categorical = part(summary, "Categorical", ref=character_id(character))
    for word in SCORE_WORDS:
        for state in getattr(score, word):
            element = part(categorical, "State", ref=state_id(character, state))
            _modify(element, word, stage)


def _add_range(summary: ET.Element, character: Character, stage: str, score: MeasureScore) -> None:
    quantitative = part(summary, "Quantitative", ref=character_id(character))
    if score.convention != "unstated":
        words = {"5-95": "5th and 95th percentiles", "extremes": "the extremes seen"}[score.convention]
        part(quantitative, "Note").text = f"Lower and upper are {words}."
    _modify(quantitative, stage)
    measures = (("Min", score.min), ("UMethLower", score.low), ("UMethUpper", score.high), ("Max", score.max))
    for kind, value in measures:
        if value is not None:
            part(quantitative, "Measure", type=kind, value=number_words(value))


def _modify(element: ET.Element, *words: str) -> None:
    for word in filter(None, words):
        part(element, "Modifier", ref=modifier_id(word))


def _add_sources(dataset: ET.Element, known: Funga) -> None:
    """The sources that any basis here names."""
    named: Iterable[str] = (s for taxon in known.taxa.values() for sources in taxon.basis.values() for s in sources)
    used = set(named)
    publications = part(dataset, "Publications")
    for source in known.sources.values():
        if source.id in used:
            represent(part(publications, "Publication", id=f"source-{source.id}"), source.citation)
