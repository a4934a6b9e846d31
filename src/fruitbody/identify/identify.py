"""One case in, everything the engine has to say out. This is the front door of `identify`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.finding import Answer, Finding
from fruitbody.funga.model import ABSENT_STATES, Funga
from fruitbody.identify.compile import model_of
from fruitbody.identify.exclude import Exclusion, rule_out
from fruitbody.identify.fit import UNUSUALLY_BAD, fit_index
from fruitbody.identify.index import index_of
from fruitbody.identify.look_next import Look, Posterior, look_next
from fruitbody.identify.not_excluded import Standing, standing_groups
from fruitbody.identify.parameters import Parameters, fitted
from fruitbody.identify.prior import Prior, prior_of
from fruitbody.identify.ranking import STAGE, logs_of, posterior_of, steps_of
from fruitbody.identify.rollup import Proposal, RankShare, propose, rank_shares
from fruitbody.identify.tables import Model
from fruitbody.identify.words import DECIBANS

Array = NDArray[np.float64]
STRANGER_DANGER = 0.2


@dataclass(frozen=True, slots=True)
class Case:
    """What is known of one kind: findings, month 1..12, region (ISO 3166-2), material and its conditions by id."""

    findings: tuple[Finding, ...]
    month: int | None = None
    region: str = ""
    material: str = "fresh-whole"
    conditions: tuple[str, ...] = ()
    fruit_bodies: int | None = None


@dataclass(frozen=True, slots=True)
class Weight:
    """What one finding says for (+) or against (−) a candidate, in decibans against the background."""

    character: str
    finding: str
    decibans: float


@dataclass(frozen=True, slots=True)
class Candidate:
    """One taxon: its probability, on how many findings it could be compared, and the evidence finding by finding."""

    id: str
    name: str
    rank: str
    probability: float
    compared_on: int
    evidence: tuple[Weight, ...]


@dataclass(frozen=True, slots=True)
class SetAside:
    """A finding that cannot be used as evidence, and why."""

    character: str
    finding: str
    because: str


@dataclass(frozen=True, slots=True)
class Identification:
    """Everything the engine says of one case. Probabilities of candidates, other species and strangers sum to 1."""

    candidates: tuple[Candidate, ...]
    other_species: tuple[RankShare, ...]
    ranks: tuple[RankShare, ...]
    proposal: Proposal
    none_of_these: float
    fit: float | None
    fits_badly: bool
    not_excluded: tuple[Standing, ...]
    excluded: tuple[Exclusion, ...]
    look_next: tuple[Look, ...]
    set_aside: tuple[SetAside, ...]
    used: int
    funga_digest: str = field(repr=False, default="")


def lost_needs(funga: Funga, case: Case) -> frozenset[str]:
    """The `needs` words that material and condition make invisible."""
    lost: set[str] = set()
    if case.material in funga.material_kinds:
        lost.update(funga.material_kinds[case.material].loses)
    for condition in case.conditions:
        if condition in funga.conditions:
            lost.update(funga.conditions[condition].loses)
    return frozenset(lost)


def usable_findings(funga: Funga, case: Case) -> tuple[list[Finding], list[SetAside]]:
    """Findings in the order of the files (equal characters in one fixed order), and those that the condition of the
    material makes worthless.

    What was told or seen on a photo of the place is not touched by what the parcel has lost on its way; an absence is,
    wherever it was seen: 'no sac' of a stem without its foot says nothing. A sac that was seen all the same counts.
    """
    lost = lost_needs(funga, case)
    kept: list[Finding] = []
    aside: list[SetAside] = []
    measured = {f.character for f in case.findings if f.tells}
    for finding in _in_order(funga, case.findings):
        character = funga.characters[finding.character]
        if not finding.tells:
            continue
        gone = [need for need in character.needs if need in lost]
        nothing = finding.negated or (bool(finding.states) and set(finding.states) <= set(ABSENT_STATES))
        present = bool(set(character.state_ids) & set(ABSENT_STATES)) and not nothing
        if gone and (nothing or ("base" in gone and finding.soft is None and not present)):
            words = f"{' and '.join(gone)} missing or spoilt: it cannot be seen on this material"
            aside.append(SetAside(character.id, finding.in_words(), words))
        elif character.id == "spore_q" and {"spore_length", "spore_width"} <= measured:
            aside.append(SetAside(character.id, finding.in_words(), "already counted in length and width"))
        else:
            kept.append(finding)
    return kept, aside


def _in_order(funga: Funga, findings: Sequence[Finding]) -> list[Finding]:
    """In the order of the files; findings on one character in one fixed order of their own."""
    by_character: dict[str, list[Finding]] = {}
    for finding in findings:
        by_character.setdefault(finding.character, []).append(finding)
    order = sorted(by_character, key=lambda c: funga.characters[c].order)
    return [f for c in order for f in (sorted(by_character[c], key=repr) if by_character[c][1:] else by_character[c])]


def identify(
    funga: Funga,
    case: Case,
    *,
    parameters: Parameters | None = None,
    prior: Prior | None = None,
    most: int | None = None,
) -> Identification:
    """Rank what fits, say what is not excluded and what to look at next.

    parameters: those of `fit.toml` by default. most: how many candidates to return with their evidence (all by
    default). prior: one learnt from the clinic's own determinations; without it the funga's own for region and month.
    """
    parameters = parameters or fitted()
    model = model_of(funga, parameters)
    region = funga.region_of(case.region) if case.region else ""
    prior = prior or prior_of(funga, parameters, region=region, month=case.month)
    kept, aside = usable_findings(funga, case)
    steps = steps_of(funga, model, parameters, kept)
    kept = [finding for finding in kept if finding.character != STAGE]
    posterior = posterior_of(index_of(funga), prior, logs_of(model, parameters, steps, kept))
    count = model.n_taxa
    taxa, others, stranger = posterior[:count], posterior[count:-1], float(posterior[-1])
    ranks = rank_shares(funga, taxa, others)
    compared = _compared(model, kept)
    best = int(np.argmax(taxa))
    covered = compared[best] / len(kept) if kept else 0.0
    lost = lost_needs(funga, case)
    exclusions, out = rule_out(funga, case.findings, lost=lost, fruit_bodies=case.fruit_bodies)
    seen = _seen(funga, case)
    all_weights = Posterior(posterior, _danger(funga, prior), count)
    index = fit_index(model, best, kept, parameters)
    return Identification(
        candidates=_candidates(funga, taxa, compared, kept, steps, most),
        other_species=_others(funga, others),
        ranks=tuple(share for share in ranks if share.probability > 1e-9),
        proposal=propose(funga, model, parameters, taxa=taxa, shares=ranks, covered=covered),
        none_of_these=stranger,
        fit=index,
        fits_badly=index is not None and index < UNUSUALLY_BAD,
        not_excluded=standing_groups(funga, model, parameters, kept, steps, out=out, seen=seen, lost=lost),
        excluded=exclusions,
        look_next=tuple(look_next(funga, model, parameters, all_weights, seen=seen, lost=lost)),
        set_aside=tuple(aside),
        used=len(kept),
        funga_digest=funga.digest,
    )


def _seen(funga: Funga, case: Case) -> set[str]:
    """Characters that need not be offered: looked at, with whatever answer, or implied by something below them."""
    seen: set[str] = set()
    for finding in case.findings:
        if finding.answer is Answer.NOT_LOOKED_FOR:
            continue
        character = funga.characters[finding.character]
        seen.add(character.id)
        taken_for_granted = finding.tells and not finding.negated and not set(finding.states) & set(ABSENT_STATES)
        while character.parent and taken_for_granted:
            character = funga.characters[character.parent]
            seen.add(character.id)
    return seen


def _compared(model: Model, findings: Sequence[Finding]) -> NDArray[np.int_]:
    """On how many of the findings each taxon has something on record, [T]."""
    known = [model.tables[f.character].known[: model.n_taxa] for f in findings if f.character in model.tables]
    return np.sum(known, axis=0, dtype=np.int_) if known else np.zeros(model.n_taxa, dtype=np.int_)


def _danger(funga: Funga, prior: Prior) -> Array:
    """Chance that each hypothesis is dangerous: a deadly or severe group for taxa; its relatives' share for others."""
    index = index_of(funga)
    total = np.bincount(index.genus_of, weights=prior.taxa, minlength=len(index.genera))
    bad = np.bincount(index.genus_of, weights=prior.taxa * index.dangerous, minlength=len(index.genera))
    return np.concatenate([index.dangerous, bad / np.maximum(total, 1e-300), [STRANGER_DANGER]])


def _candidates(
    funga: Funga, taxa: Array, compared: NDArray[np.int_], kept: Sequence[Finding], steps: Array, most: int | None
) -> tuple[Candidate, ...]:
    order = np.argsort(-taxa, kind="stable")[:most]
    kinds = index_of(funga).taxa
    words = [(finding.character, finding.in_words()) for finding in kept]
    return tuple(
        Candidate(
            id=kinds[i].id,
            name=kinds[i].name,
            rank=kinds[i].rank,
            probability=float(taxa[i]),
            compared_on=int(compared[i]),
            evidence=tuple(Weight(c, w, float(steps[n, i] * DECIBANS)) for n, (c, w) in enumerate(words)),
        )
        for i in order
    )


def _others(funga: Funga, others: Array) -> tuple[RankShare, ...]:
    shares = [RankShare("other species of the genus", n, float(p)) for n, p in zip(funga.genera, others, strict=True)]
    return tuple(sorted(shares, key=lambda share: -share.probability))
