"""A taxon as a packet and its label: everything that its page and its sheet show, in words, from the funga alone."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from fruitbody.funga.composed import ORGAN_WORDS, in_order, organs_in_order
from fruitbody.funga.export import score_words
from fruitbody.funga.model import (
    FROM_MEMORY,
    Character,
    DeclaredGroup,
    Funga,
    HazardGroup,
    MeasureScore,
    Score,
    StateScore,
    Syndrome,
    Taxon,
)
from fruitbody.report.pictures import Strip, Tick, ruler_end, strip, ticks

BASIS_WORDS = {
    "names": "names", "range": "where and when", "macroscopic": "what the eye sees",
    "microscopic": "what the microscope shows", "habitat": "place and way of life", "hazard": "hazard",
    "never": "what is never seen",
}  # fmt: skip
NO_REPORTS = "no reports found by us"


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
    """A taxon this one is taken for. taxon: None where it stands outside the funga; not_here: what it would take to
    settle it, where no finding of ours does."""

    name: str
    taxon: Taxon | None
    settle: tuple[str, ...]
    note: str
    not_here: str = ""

    @property
    def settled(self) -> str:
        """'settled by germ pore, width of the spores'."""
        if self.not_here:
            return f"not separable here {self.not_here}"
        return f"settled by {', '.join(self.settle)}"


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


@dataclass(frozen=True, slots=True)
class Membership:
    """A declared group that a taxon belongs to, with the other kinds in it."""

    group: DeclaredGroup
    others: tuple[Taxon, ...]


def findings(funga: Funga, taxon: Taxon) -> list[tuple[str, list[Line]]]:
    """Every score, organ by organ, in the order of the characters. Stages stand apart where they differ."""
    by_organ: dict[str, list[Line]] = defaultdict(list)
    for character, stages in in_order(funga, taxon):
        for stage, score in stages.items():
            by_organ[character.organ].append(Line(character.plain, stage, in_plain_words(score, character)))
    known = organs_in_order(by_organ)
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
    for character, stages in in_order(funga, taxon):
        for stage, score in stages.items():
            if isinstance(score, MeasureScore):
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
        found.append(Mistaken(name, other, settle, pair.note, pair.not_here))
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


def memberships(funga: Funga, taxon: Taxon) -> list[Membership]:
    """The declared groups that it belongs to, the narrowest first."""
    mine = [(group, funga.members_of(group)) for group in funga.groups.values()]
    inside = sorted(((g, m) for g, m in mine if taxon.id in m), key=lambda pair: len(pair[1]))
    return [
        Membership(group, tuple(funga.taxa[m] for m in sorted(members) if m in funga.taxa and m != taxon.id))
        for group, members in inside
    ]


def hosts(funga: Funga, taxon: Taxon) -> tuple[str, ...]:
    """The trees and plants it lives with, in plain words, the usual ones first; () where none is known."""
    score, character = taxon.scores.get(("host", "")), funga.characters.get("host")
    if not isinstance(score, StateScore) or character is None:
        return ()
    return tuple(character.state(s).plain for s in (*score.mostly, *score.at_times, *score.seldom))


def sources(funga: Funga, taxon: Taxon) -> list[tuple[str, list[str]]]:
    """Each citation once, with the parts that rest on it; what is known from memory says so and comes last."""
    parts: dict[str, list[str]] = {}
    for part, keys in taxon.basis.items():
        for key in keys:
            parts.setdefault(key, []).append(BASIS_WORDS.get(part, part))
    ordered = sorted(parts, key=lambda key: key == FROM_MEMORY)
    return [(citation(funga, key), parts[key]) for key in ordered]


def citation(funga: Funga, key: str) -> str:
    if key == FROM_MEMORY:
        return "from memory, not read up yet"
    return funga.sources[key].citation if key in funga.sources else key
