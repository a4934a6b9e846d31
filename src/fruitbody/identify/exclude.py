"""Which dangerous groups are ruled out: a pure function of findings and declarations (engine §2).

Posterior, prior and decibans never enter. No photo, no word of a finder, no absence, colour of the body, smell, size
of a fruit body, place or season can exclude anything: a character must be marked `excludes`, and the state be
declared *never*.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from fruitbody.examine.finding import Answer, Finding, Observer, SeenOn
from fruitbody.funga.model import (
    ABSENT_STATES,
    FROM_MEMORY,
    Character,
    CharacterKind,
    Funga,
    HazardGroup,
    MeasureScore,
    Score,
    StateScore,
    Taxon,
)
from fruitbody.identify.index import index_of

TRAINED = (Observer.DIAGNOSTICIAN, Observer.SECOND_READER)
LEAST_SPORES = 10
SIZE_MARGIN = 1.15
OWN_DEPOSIT = ("", "print")
"""Parts from which a deposit counts as this fruit body's own; dust on a cap or ring may come from a neighbour."""


SOURCES = {"deposit": "print", "spores": "mount", "tissue": "mount"}
"""Groups of characters by what they are seen on: one mix-up falsifies all that one print, one mount, or one look at the
body tells. Every other group is seen on the body."""
ALL_SOURCES = 3
WHICH_BODY = "which-body"
"""What is lost where several kinds lay in one bag: a finding that names no fruit body may be another kind's."""


@dataclass(frozen=True, slots=True)
class Contradiction:
    """A finding that one dangerous kind declares never to show."""

    target: str
    finding: Finding
    group: str


@dataclass(frozen=True, slots=True)
class Exclusion:
    """A hazard group ruled out for one fruit body, with the findings that did it, in words."""

    group: str
    fruit_body: str
    because: str


def rule_out(
    funga: Funga, findings: Sequence[Finding], *, lost: Collection[str] = (), fruit_bodies: int | None = None
) -> tuple[tuple[Exclusion, ...], frozenset[str]]:
    """(exclusions per group and fruit body, groups ruled out for the whole lot).

    lost: `needs` words that the condition of the material makes invisible. fruit_bodies: how many there are; without
    it, as many as findings name, and one where they name none. A group is out for the lot only when it is out for each
    of them.
    """
    bodies = sorted({f.fruit_body for f in findings if f.fruit_body}) or [""]
    count = fruit_bodies if fruit_bodies is not None else len(bodies)
    exclusions: list[Exclusion] = []
    for body in bodies:
        own = [f for f in findings if f.fruit_body == body]
        usable = _usable(funga, own, lost)
        for group in funga.hazard_groups.values() if usable else ():
            because = _excluded_by(funga, group, usable)
            if because:
                exclusions.append(Exclusion(group.id, body, because))
    done = {group: sum(e.group == group for e in exclusions) for group in funga.hazard_groups}
    lot = frozenset(group for group, number in done.items() if number and number >= max(count, len(bodies)))
    return tuple(exclusions), lot


def why_excluded(funga: Funga, group: str, findings: Sequence[Finding], *, lost: Collection[str] = ()) -> str:
    """The reason why one hazard group is out for the one fruit body that all findings are about; '' while it stands."""
    usable = _usable(funga, findings, lost)
    return _excluded_by(funga, funga.hazard_groups[group], usable) if usable else ""


def _usable(funga: Funga, findings: Sequence[Finding], lost: Collection[str]) -> list[Finding]:
    """Findings on one fruit body that may exclude something and that nothing else seen on it denies."""
    seen = [f for f in findings if f.by in TRAINED and f.seen_on is SeenOn.MATERIAL and f.answer is Answer.PRESENT]
    return [
        f
        for f in seen
        if _may_exclude(funga.characters[f.character], f, lost) and not any(_denies(funga, other, f) for other in seen)
    ]


def _denies(funga: Funga, other: Finding, finding: Finding) -> bool:
    """(e) Whether another trained finding on the same material cannot be true beside this one: a different state of the
    same character, or a part that this state has not (a ring on a crust, a gill's attachment under pores)."""
    if other.negated:
        return other.character == finding.character and set(finding.states) <= set(other.states)
    if not other.states or not finding.states or other.soft is not None:
        return False
    if other.character == finding.character:
        return not set(other.states) & set(finding.states)
    if set(other.states) & set(ABSENT_STATES):
        return False
    character = funga.characters[other.character]
    while character.parent:
        if character.parent == finding.character:
            return not set(character.enabled_by) & set(finding.states)
        character = funga.characters[character.parent]
    return False


def _excluded_by(funga: Funga, group: HazardGroup, usable: Sequence[Finding]) -> str:
    """The reason why a group is out for one fruit body; '' while it stands. Every member must be contradicted."""
    index = index_of(funga)
    members = [index.taxa[row] for row in index.members[group.id]]
    reasons: dict[str, None] = {}
    targets: tuple[Taxon | HazardGroup, ...] = (group, *members)
    for target in targets:
        found = _contradictions(funga, target, usable)
        if not _confirmed(found):
            return ""
        reasons.update(dict.fromkeys(f"{c.finding.character}: {c.finding.in_words()}" for c in found))
    return "; ".join(reasons)


def _may_exclude(character: Character, finding: Finding, lost: Collection[str]) -> bool:
    """(a) a trained eye on the material itself, a plain positive finding; (c) the part was there and could be seen."""
    own_deposit = "deposit" not in character.needs or finding.part in OWN_DEPOSIT
    return (
        character.excludes
        and own_deposit
        and finding.by in TRAINED
        and finding.seen_on is SeenOn.MATERIAL
        and finding.answer is Answer.PRESENT
        and finding.soft is None
        and not finding.negated
        and finding.stage != "young"
        and not any(need in lost for need in character.needs)
        and not (WHICH_BODY in lost and not finding.fruit_body)
    )


def _contradictions(funga: Funga, target: Taxon | HazardGroup, findings: Sequence[Finding]) -> list[Contradiction]:
    """(b) the target declares the state *never*, with two published sources of its own."""
    if isinstance(target, Taxon):
        never_sources = target.basis.get("never", ())
        size_sources = target.basis.get("microscopic", ())
    else:
        never_sources = size_sources = target.never_basis
    found = []
    for finding in findings:
        character = funga.characters[finding.character]
        scores = _scores(target.scores, character.id)
        if character.kind is CharacterKind.MEASURE:
            hit = _published(size_sources) and _far_outside(scores, finding)
        else:
            hit = _published(never_sources) and _never(scores, finding)
        if hit:
            found.append(Contradiction(target.id, finding, character.group))
    return found


def _scores(scores: Mapping[tuple[str, str], Score], character: str) -> list[Score]:
    return [score for (name, _), score in scores.items() if name == character]


def _published(sources: Sequence[str]) -> bool:
    return len({s for s in sources if s != FROM_MEMORY}) >= 2


def _never(scores: Sequence[Score], finding: Finding) -> bool:
    """Every state the finding leaves open is declared never, at every stage that is scored."""
    declared = [set(score.never) for score in scores if isinstance(score, StateScore)]
    return bool(declared) and bool(finding.states) and all(set(finding.states) <= never for never in declared)


def _far_outside(scores: Sequence[Score], finding: Finding) -> bool:
    """n ≥ 10 mature spores, value ± 3u outside [min/1.15, max·1.15]."""
    measured = finding.measured
    if measured is None or (measured.n or 0) < LEAST_SPORES or measured.high is not None or not measured.uncertainty:
        return False
    three_u = 1.5 * measured.uncertainty
    ranges = [score for score in scores if isinstance(score, MeasureScore)]
    if not ranges:
        return False
    least = min(score.min or score.low for score in ranges) / SIZE_MARGIN
    most = max(score.max or score.high for score in ranges) * SIZE_MARGIN
    return measured.low + three_u < least or measured.low - three_u > most


def _confirmed(found: Sequence[Contradiction]) -> bool:
    """(d) contradictions from two sources, each confirmed; or from all three, one of them confirmed."""
    by_source: dict[str, list[Finding]] = {}
    for contradiction in found:
        by_source.setdefault(SOURCES.get(contradiction.group, "body"), []).append(contradiction.finding)
    confirmed = sum(_seen_again(findings) for findings in by_source.values())
    return confirmed >= 2 or (len(by_source) == ALL_SOURCES and confirmed >= 1)


def _seen_again(findings: Sequence[Finding]) -> bool:
    """Whether a second person, or a second preparation, showed the same character."""
    for character in {f.character for f in findings}:
        same = [f for f in findings if f.character == character]
        if _people(same) >= 2 or len({f.preparation for f in same if f.preparation}) >= 2:
            return True
    return False


def _people(findings: Sequence[Finding]) -> int:
    """How many people stand behind findings: by name where any is named, else by role. One in two roles is one."""
    names = {f.person for f in findings if f.person}
    return len(names) if names else len({f.by for f in findings})
