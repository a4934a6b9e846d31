"""What a taxon is beside its looks, as characters of an SDD document: rank, ways of life, months, regions, texts.

SDD keeps such facts in other standards' hands; as characters of their own no reader loses them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from xml.etree import ElementTree as ET

from fruitbody.funga.model import Frequency, Funga, Taxon
from fruitbody.funga.sdd_terms import LANGUAGE, part, represent
from fruitbody.funga.taxa import LANGUAGES, RANKS, WAYS_OF_LIFE

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
TEXTS = {
    "according-to": "sense of the name",
    "names": "names in use",
    "regions": "regions, and how often it is met with there",
    "hazard-words": "what is known of hazards where no hazard group is named (no statement of safety)",
    "what": "what it is",
    "basis": "what each part rests on",
}


def define_facts(characters: ET.Element, known: Funga) -> None:
    """Add the characters for facts to those for looks."""
    groups = {group.id: group.plain for group in known.hazard_groups.values()}
    for key, label, states in (
        ("rank", "rank", dict(zip(RANKS, RANKS, strict=True))),
        ("way-of-life", "way of life", dict(zip(WAYS_OF_LIFE, WAYS_OF_LIFE, strict=True))),
        ("month", "months with fruit bodies", {str(n): month for n, month in enumerate(MONTHS, start=1)}),
        ("hazard", "hazard groups", groups),
    ):
        element = part(characters, "CategoricalCharacter", id=f"f-{key}")
        represent(element, label)
        definitions = part(element, "States")
        for state, words in states.items():
            represent(part(definitions, "StateDefinition", id=_state(key, state)), words)
    for key, label in TEXTS.items():
        represent(part(characters, "TextCharacter", id=f"f-{key}"), label)


def add_facts(summary: ET.Element, taxon: Taxon) -> None:
    """The facts of one taxon; what is not known is left out."""
    months = tuple(map(str, taxon.months))
    for key, states in (
        ("rank", (taxon.rank,)),
        ("way-of-life", taxon.way_of_life),
        ("month", months),
        ("hazard", taxon.hazard),
    ):
        if states:
            categorical = part(summary, "Categorical", ref=f"f-{key}")
            for state in states:
                part(categorical, "State", ref=_state(key, state))
    for key, content in _texts(taxon):
        if content:
            text = part(summary, "TextChar", ref=f"f-{key}")
            for language, words in content.items():
                written = part(text, "Content")
                written.set(LANGUAGE, language)
                written.text = words


def _texts(taxon: Taxon) -> Iterator[tuple[str, Mapping[str, str]]]:
    regions = "; ".join(f"{region}: {Frequency(frequency)}" for region, frequency in taxon.regions.items())
    basis = "; ".join(f"{what}: {', '.join(sources)}" for what, sources in taxon.basis.items())
    yield "according-to", {"en": taxon.according_to}
    yield "names", {language: ", ".join(names) for language, names in taxon.vernacular.items() if names}
    yield "regions", {"en": regions}
    yield "hazard-words", {"en": taxon.hazard_words} if taxon.hazard_words else {}
    yield "what", {language: taxon.what[language] for language in LANGUAGES if language in taxon.what}
    yield "basis", {"en": basis} if basis else {}


def _state(key: str, state: str) -> str:
    return f"fs-{key}-{state.replace(' ', '-')}"
