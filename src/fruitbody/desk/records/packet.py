"""A taxon as a packet and its label: everything its page shows, in words, from the funga alone. Pure."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from fruitbody.desk.records.figures import Strip, Tick, ruler_end, strip, ticks
from fruitbody.funga.export import score_words
from fruitbody.funga.model import FROM_MEMORY, Character, Funga, HazardGroup, MeasureScore, Score, Syndrome, Taxon

ORGANS = (
    "whole",
    "cap",
    "underside",
    "head",
    "inside",
    "veil",
    "stem",
    "base",
    "flesh",
    "deposit",
    "spores",
    "microscopy",
    "reagents",
    "place",
)
ORGAN_WORDS = {
    "whole": "The whole", "cap": "Cap", "underside": "Underside", "head": "Head", "inside": "Inside", "veil": "Veils",
    "stem": "Stem", "base": "Foot", "flesh": "Flesh", "deposit": "Spore print", "spores": "Spores",
    "microscopy": "Under the microscope", "reagents": "Reagents", "place": "Place",
}  # fmt: skip
BASIS_WORDS = {
    "names": "Names", "range": "Where and when", "macroscopic": "To the eye", "microscopic": "Under the microscope",
    "habitat": "Place and way of life", "hazard": "Hazard", "never": "What is never seen",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Line:
    """A character with what is seen of it, in words."""

    character: str
    stage: str
    words: str


@dataclass(frozen=True, slots=True)
class Sizes:
    """All measures of one unit on one ruler."""

    unit: str
    rows: tuple[tuple[str, str, Strip], ...]
    ruler: tuple[Tick, ...]


@dataclass(frozen=True, slots=True)
class Mistaken:
    """A taxon this one is taken for. taxon: None where it stands outside the funga."""

    name: str
    taxon: Taxon | None
    settle: tuple[str, ...]
    note: str


@dataclass(frozen=True, slots=True)
class Onsets:
    """A syndrome with the onset that each source publishes, side by side: (citation, words)."""

    syndrome: Syndrome
    by_source: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Danger:
    """A hazard group with its syndromes."""

    group: HazardGroup
    syndromes: tuple[Onsets, ...]


def findings(funga: Funga, taxon: Taxon) -> list[tuple[str, list[Line]]]:
    """What is seen, organ by organ, in the order of the characters. Stages stand apart where they differ."""
    by_organ: dict[str, list[Line]] = defaultdict(list)
    for (character_id, stage), score in _ordered(funga, taxon):
        character = funga.characters[character_id]
        by_organ[character.organ].append(Line(character.plain, stage, in_plain_words(score, character)))
    known = [organ for organ in ORGANS if organ in by_organ] + [organ for organ in by_organ if organ not in ORGANS]
    return [(ORGAN_WORDS.get(organ, organ.capitalize()), by_organ[organ]) for organ in known]


def in_plain_words(score: Score, character: Character) -> str:
    """'mostly olive or green; at times white' in the plain words of the states; a range with its unit."""
    if isinstance(score, MeasureScore):
        return score_words(score, character.unit)
    plain = {state.id: state.plain for state in character.states}
    parts = []
    for name, word in (("mostly", "mostly"), ("at_times", "at times"), ("seldom", "seldom"), ("never", "never")):
        states: tuple[str, ...] = getattr(score, name)
        if states:
            parts.append(f"{word} {' or '.join(plain.get(state, state) for state in states)}")
    return "; ".join(parts)


def sizes(funga: Funga, taxon: Taxon) -> list[Sizes]:
    """Every measure, grouped by unit so that lengths can be compared on one ruler."""
    by_unit: dict[str, list[tuple[str, MeasureScore]]] = defaultdict(list)
    for (character_id, stage), score in _ordered(funga, taxon):
        if isinstance(score, MeasureScore):
            character = funga.characters[character_id]
            by_unit[character.unit].append((character.plain + (f" ({stage})" if stage else ""), score))
    groups = []
    for unit, rows in by_unit.items():
        end = ruler_end([score.max or score.high for _, score in rows])
        strips = tuple(
            (name, score_words(score, unit), strip(score.min, score.low, score.high, score.max, end=end))
            for name, score in rows
        )
        groups.append(Sizes(unit, strips, tuple(ticks(end, unit))))
    return groups


def taken_for(funga: Funga, taxon: Taxon) -> list[Mistaken]:
    """What finders take it for, with what settles it. For the staff only: in public it would be an eating key."""
    found = []
    for pair in taxon.taken_for:
        other = funga.taxa.get(pair.taxon)
        name = other.name if other else pair.taxon.replace("-", " ").capitalize()
        settle = tuple(funga.characters[c].plain if c in funga.characters else c.replace("_", " ") for c in pair.settle)
        found.append(Mistaken(name, other, settle, pair.note))
    return found


def dangers(funga: Funga, taxon: Taxon) -> list[Danger]:
    """Its hazard groups, each with its syndromes; the late ones first, since early signs do not exclude them."""
    found = []
    for group_id in taxon.hazard:
        group = funga.hazard_groups[group_id]
        codes = [code for code in (group.syndrome, *group.also) if code in funga.syndromes]
        syndromes = sorted((funga.syndromes[code] for code in codes), key=lambda s: not s.late)
        shown = [Onsets(s, tuple((citation(funga, onset.source), onset.text) for onset in s.onsets)) for s in syndromes]
        found.append(Danger(group, tuple(shown)))
    return found


def sources(funga: Funga, taxon: Taxon) -> list[tuple[str, list[str]]]:
    """The citations behind each part; what is known from memory says so."""
    return [
        (BASIS_WORDS.get(part, part.capitalize()), [citation(funga, key) for key in keys])
        for part, keys in taxon.basis.items()
    ]


def citation(funga: Funga, key: str) -> str:
    if key == FROM_MEMORY:
        return "from memory, not read up yet"
    return funga.sources[key].citation if key in funga.sources else key


def _ordered(funga: Funga, taxon: Taxon) -> list[tuple[tuple[str, str], Score]]:
    stages = ("", "young", "mature", "past")
    return sorted(
        taxon.scores.items(),
        key=lambda item: (
            funga.characters[item[0][0]].order,
            stages.index(item[0][1]) if item[0][1] in stages else len(stages),
        ),
    )
