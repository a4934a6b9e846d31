"""What fits, in words and strips for the slip: from the engine's numbers to what a reader sees. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from fruitbody.desk.bench.laying import Laying, preparation_for
from fruitbody.desk.bench.strips import Strip, strip_against
from fruitbody.examine.finding import Finding
from fruitbody.funga.export import score_words
from fruitbody.funga.model import GRAVE, Character, Funga, MeasureScore
from fruitbody.identify.identify import Candidate, Identification, SetAside, Weight
from fruitbody.identify.look_next import Look
from fruitbody.identify.not_excluded import NEAR_DB, Standing
from fruitbody.identify.words import strength

LEAST_SHARE = 0.01
MOST_SHOWN = 8
MOST_LOOKS = 7
MOST_NEAR = 8


@dataclass(frozen=True, slots=True)
class Weighed:
    """One finding against one candidate. known: what the funga has of it, in words, '' where nothing."""

    character: str
    finding: str
    strength: str
    decibans: float
    known: str
    strip: Strip | None


@dataclass(frozen=True, slots=True)
class CandidateSlip:
    """name without author; said: one sentence of the strongest evidence; percent: probability in hundredths."""

    id: str
    name: str
    rank: str
    percent: float
    compared_on: int
    of: int
    evidence: tuple[Weighed, ...]
    against: int


@dataclass(frozen=True, slots=True)
class GroupSlip:
    """A dangerous group that stands. settle: what settles it, in words; behind: decibans behind the best."""

    id: str
    plain: str
    grade: str
    syndrome: str
    members: tuple[str, ...]
    settle: tuple[str, ...]
    behind: float

    @property
    def is_grave(self) -> bool:
        return self.grade in GRAVE


@dataclass(frozen=True, slots=True)
class LookSlip:
    """Something to look at next. costs: minutes, waiting, material, in words; laying: a preparation to start."""

    character: str
    how: str
    called: str
    costs: str
    vanishes: bool
    bits: float
    danger_bits: float
    laying: Laying | None


@dataclass(frozen=True, slots=True)
class Excluded:
    group: str
    fruit_body: str
    because: str


@dataclass(frozen=True, slots=True)
class Slip:
    """Everything on the slip. near: groups close to the best; far: the others of the first list; folded: the rest."""

    proposal: str
    proposal_rank: str
    proposal_percent: float
    candidates: tuple[CandidateSlip, ...]
    others: int
    none_percent: float
    fits_badly: bool
    fit: float | None
    used: int
    set_aside: tuple[tuple[str, str, str], ...]
    near: tuple[GroupSlip, ...]
    far: tuple[GroupSlip, ...]
    folded: tuple[GroupSlip, ...]
    excluded: tuple[Excluded, ...]
    look_next: tuple[LookSlip, ...]

    @property
    def grave(self) -> tuple[GroupSlip, ...]:
        """Those that a name has to be written in sight of."""
        return tuple(group for group in self.near if group.is_grave)


def slip_of(funga: Funga, found: Identification, findings: Iterable[Finding], *, running: Iterable[str] = ()) -> Slip:
    """The slip for one identification.

    findings: those of the case, for the marks on the strips; running: preparations that need not be started again.
    """
    measured = {f.character: f for f in findings if f.measured}
    shown = [c for c in found.candidates if c.probability >= LEAST_SHARE][:MOST_SHOWN] or list(found.candidates[:3])
    near, far, folded = groups_of(funga, found.not_excluded)
    return Slip(
        proposal=found.proposal.name,
        proposal_rank=found.proposal.rank,
        proposal_percent=100 * found.proposal.probability,
        candidates=tuple(_candidate(funga, c, found.used, measured) for c in shown),
        others=len(funga.taxa) - len(shown),
        none_percent=100 * found.none_of_these,
        fits_badly=found.fits_badly,
        fit=found.fit,
        used=found.used,
        set_aside=tuple(_aside(funga, entry) for entry in found.set_aside),
        near=near,
        far=far,
        folded=folded,
        excluded=tuple(_excluded(funga, e.group, e.fruit_body, e.because) for e in found.excluded),
        look_next=_looks(funga, found.look_next[:MOST_LOOKS], running),
    )


def groups_of(
    funga: Funga, standing: Iterable[Standing]
) -> tuple[tuple[GroupSlip, ...], tuple[GroupSlip, ...], tuple[GroupSlip, ...]]:
    """(those near the best, the others of the first list, the folded ones).

    Near ones are all shown, the grave first; where there are very many, as before anything was found, the less grave
    of them go to the second list.
    """
    grave, mild, far, folded = list[GroupSlip](), list[GroupSlip](), list[GroupSlip](), list[GroupSlip]()
    for entry in standing:
        group = _group(funga, entry)
        if entry.listed != "first":
            folded.append(group)
        elif entry.behind_db > NEAR_DB:
            far.append(group)
        else:
            (grave if group.is_grave else mild).append(group)
    if len(grave) + len(mild) > MOST_NEAR:
        mild, far = [], [*mild, *far]
    return (*grave, *mild), tuple(far), tuple(folded)


def _candidate(funga: Funga, candidate: Candidate, used: int, measured: dict[str, Finding]) -> CandidateSlip:
    evidence = [_weighed(funga, candidate.id, weight, measured) for weight in candidate.evidence]
    ordered = sorted(evidence, key=lambda w: w.decibans)
    return CandidateSlip(
        id=candidate.id,
        name=candidate.name,
        rank=candidate.rank,
        percent=100 * candidate.probability,
        compared_on=candidate.compared_on,
        of=used,
        evidence=tuple(ordered),
        against=sum("against" in weighed.strength for weighed in evidence),
    )


def _weighed(funga: Funga, taxon_id: str, weight: Weight, measured: dict[str, Finding]) -> Weighed:
    character = funga.characters[weight.character]
    taxon = funga.taxa[taxon_id]
    scores = {stage: score for (c, stage), score in taxon.scores.items() if c == weight.character}
    strip, known = None, list[str]()
    for stage, score in scores.items():
        said = score_words(score, character.unit)
        known.append(f"{stage}: {said}" if stage else said)
        finding = measured.get(weight.character)
        if isinstance(score, MeasureScore) and finding is not None and finding.measured is not None:
            strip = strip or strip_against(score, finding)
    return Weighed(
        character=character.plain,
        finding=_with_unit(character, weight.finding),
        strength=strength(weight.decibans),
        decibans=weight.decibans,
        known="; ".join(known),
        strip=strip,
    )


def _with_unit(character: Character, words: str) -> str:
    numeric = words[:1].isdigit()
    return f"{words} {character.unit}" if numeric and character.unit not in ("", "ratio") else words


def _aside(funga: Funga, entry: SetAside) -> tuple[str, str, str]:
    character = funga.characters.get(entry.character)
    return (character.plain if character else entry.character, entry.finding, entry.because)


def _group(funga: Funga, standing: Standing) -> GroupSlip:
    syndrome = funga.syndromes.get(standing.syndrome)
    return GroupSlip(
        id=standing.group,
        plain=standing.plain,
        grade=standing.grade,
        syndrome=syndrome.plain if syndrome else standing.syndrome,
        members=standing.members,
        settle=tuple(funga.characters[c].plain for c in standing.settle_by),
        behind=standing.behind_db,
    )


def _excluded(funga: Funga, group: str, fruit_body: str, because: str) -> Excluded:
    known = funga.hazard_groups.get(group)
    words = "; ".join(_because(funga, part) for part in because.split("; "))
    return Excluded(known.plain if known else group, fruit_body, words)


def _because(funga: Funga, part: str) -> str:
    """'deposit_colour: chocolate' in plain words."""
    head, _, rest = part.partition(": ")
    character = funga.characters.get(head)
    return f"{character.plain}: {rest}" if character else part


def _looks(funga: Funga, looks: Iterable[Look], running: Iterable[str]) -> tuple[LookSlip, ...]:
    """Each preparation is offered once, beside the first character that waits for it, and not while it runs."""
    offered, slips = set(running), list[LookSlip]()
    for look in looks:
        slip = _look(funga, look)
        if slip.laying and slip.laying.what in offered:
            slip = replace(slip, laying=None)
        offered |= {slip.laying.what} if slip.laying else set()
        slips.append(slip)
    return tuple(slips)


def _look(funga: Funga, look: Look) -> LookSlip:
    character = funga.characters[look.character]
    costs = [_minutes(look.minutes)]
    if look.wait_hours:
        costs.append(f"then wait {look.wait_hours:g} hour{'s' if look.wait_hours != 1 else ''}")
    if look.destroys:
        costs.append("destroys a piece")
    return LookSlip(
        character=look.character,
        how=character.how,
        called=character.plain,
        costs=", ".join(costs),
        vanishes=look.vanishes,
        bits=look.bits,
        danger_bits=look.danger_bits,
        laying=preparation_for(character),
    )


def _minutes(minutes: float) -> str:
    if minutes < 1:
        return "under a minute"
    return f"{minutes:g} minute{'s' if minutes != 1 else ''}"
