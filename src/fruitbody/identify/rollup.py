"""From hypotheses to names: probabilities of ranks, and the one name that may be proposed (engine §1.15).

The engine never proposes `aff.`: *related but not this* is a person's judgement.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fruitbody.funga.model import NO_FUNGUS, Funga
from fruitbody.identify.index import index_of
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.tables import Model, StateTable, mature

Array = NDArray[np.float64]

FORM_WORDS: Mapping[tuple[str, str], str] = {
    ("cap-and-stem", "gills"): "a gilled mushroom",
    ("cap-and-stem", "pores"): "a mushroom with pores",
    ("cap-and-stem", "teeth"): "a mushroom with teeth",
    ("cap-and-stem", "ridges"): "a mushroom with ridges",
    ("shelf", "gills"): "a gilled shelf",
    ("shelf", "pores"): "a bracket with pores",
    ("shelf", "maze"): "a bracket with a maze underneath",
    ("shelf", "teeth"): "a toothed bracket",
}
PLAIN_FORMS: Mapping[str, str] = {
    "cap-and-stem": "a mushroom with cap and stem",
    "shelf": "a bracket",
    "crust": "a crust",
    "cushion": "a cushion or lump",
    "ball": "a ball-shaped fungus",
    "star": "an earthstar",
    "nest": "a bird's nest fungus",
    "stinkhorn": "a stinkhorn",
    "coral": "a coral-shaped fungus",
    "club": "a club-shaped fungus",
    "cup": "a cup fungus",
    "morel": "a morel, false morel or saddle",
    "jelly": "a jelly fungus",
    "slime": "a slime mould or foam",
}


@dataclass(frozen=True, slots=True)
class RankShare:
    """Probability of a genus or family, its unlisted species included."""

    rank: str
    name: str
    probability: float


@dataclass(frozen=True, slots=True)
class Proposal:
    """The name that may be proposed: the lowest rank that is likely enough. qualifier: '', 'cf.', 'sp.', or ''."""

    name: str
    rank: str
    qualifier: str
    probability: float
    taxon: str = ""


def rank_shares(funga: Funga, taxa: Array, others: Array) -> list[RankShare]:
    """Probabilities of every genus and family, the likeliest first."""
    index = index_of(funga)
    genera = np.bincount(index.genus_of, weights=taxa, minlength=len(index.genera)) + others
    families = np.bincount(index.family_of_genus, weights=genera, minlength=len(index.families))
    shares = [RankShare("genus", n, float(p)) for n, p in zip(index.genera, genera, strict=True)]
    shares += [RankShare("family", n, float(p)) for n, p in zip(index.families, families, strict=True)]
    return sorted(shares, key=lambda share: -share.probability)


def propose(
    funga: Funga, model: Model, parameters: Parameters, *, taxa: Array, shares: Sequence[RankShare], covered: float
) -> Proposal:
    """Species if likely and compared on enough; else a declared group of congeners; else genus (cf. or sp.); else
    family, two genera, or a plain form."""
    best = int(np.argmax(taxa)) if taxa.size else -1
    tau = parameters.propose_at
    kinds = index_of(funga).taxa
    if best >= 0 and taxa[best] >= tau and covered >= parameters.covered:
        return Proposal(kinds[best].name, kinds[best].rank, "", float(taxa[best]), kinds[best].id)
    if covered >= parameters.covered:
        for group, rows in index_of(funga).declared:
            together = float(taxa[rows].sum())
            if together >= tau:
                return Proposal(group.name, "species group", "", together)
    genera = [share for share in shares if share.rank == "genus"]
    families = [share for share in shares if share.rank == "family"]
    if genera and genera[0].probability >= tau:
        return _in_genus(funga, parameters, taxa, genera[0])
    if families and families[0].probability >= tau:
        return Proposal(families[0].name, "family", "", families[0].probability)
    if len(genera) >= 2 and genera[0].probability + genera[1].probability >= tau:
        both = genera[0].probability + genera[1].probability
        names = sorted((genera[0].name, genera[1].name))
        return Proposal(f"{names[0]} or {names[1]}", "one of two genera", "", both)
    return _plain_form(model, taxa, tau)


def _in_genus(funga: Funga, parameters: Parameters, taxa: Array, genus: RankShare) -> Proposal:
    if genus.name == NO_FUNGUS:
        return Proposal("no fungus, not further", "form", "", genus.probability)
    index = index_of(funga)
    inside = np.where(index.genus_of == index.genera.index(genus.name), taxa, -1.0)
    best = int(np.argmax(inside))
    taxon, p = index.taxa[best], float(inside[best])
    if p >= parameters.cf_from:
        epithet = taxon.name.removeprefix(genus.name).strip()
        return Proposal(f"{genus.name} cf. {epithet}", "genus", "cf.", genus.probability, taxon.id)
    return Proposal(f"{genus.name} sp.", "genus", "sp.", genus.probability)


def _plain_form(model: Model, taxa: Array, tau: float) -> Proposal:
    """A plain form, 'not further': the form, with its underside where that is likely too."""
    form, under = model.tables.get("form"), model.tables.get("hymenium")
    total = float(taxa.sum())
    if not isinstance(form, StateTable) or not isinstance(under, StateTable) or total <= 0:
        return Proposal("a fungus, not further", "form", "", total)
    forms = taxa @ mature(form.p)[: taxa.size] / total
    best = int(np.argmax(forms))
    if forms[best] < tau:
        return Proposal("a fungus, not further", "form", "", total)
    name, p = PLAIN_FORMS[form.states[best]], float(forms[best])
    undersides = taxa @ mature(under.p)[: taxa.size] / total
    second = int(np.argmax(undersides))
    words = FORM_WORDS.get((form.states[best], under.states[second]))
    if words and undersides[second] >= tau - 0.1:
        name, p = words, min(p, float(undersides[second]))
    return Proposal(f"{name}, not further", "form", "", p * total)
