"""Whether a proposal is true of a kind, at the rank at which it is made."""

from __future__ import annotations

from fruitbody.funga.model import Funga, StateScore, Taxon
from fruitbody.identify.rollup import FORM_WORDS, PLAIN_FORMS, Proposal

FURTHER = ", not further"


def named_right(known: Funga, proposal: Proposal, true: Taxon) -> bool:
    """A taxon: it is the one. A declared group: the taxon belongs to it. Genus (with or without cf.) and family: they
    are its own. One of two genera: its own is one of them. A form: the taxon shows it mostly or at times."""
    if proposal.taxon and proposal.qualifier != "cf.":
        return proposal.taxon == true.id
    if proposal.rank == "genus":
        return proposal.name.split()[0] == true.genus
    if proposal.rank == "family":
        return proposal.name == true.family
    if proposal.rank == "one of two genera":
        return true.genus in proposal.name.split(" or ")
    for group in known.groups.values():
        if proposal.rank == "species group" and proposal.name == group.name:
            return true.id in known.members_of(group)
    return _form_right(proposal.name.removesuffix(FURTHER), true)


def _form_right(words: str, true: Taxon) -> bool:
    forms = [f for f, plain in PLAIN_FORMS.items() if plain == words]
    pairs = [pair for pair, plain in FORM_WORDS.items() if plain == words]
    if not forms and not pairs:
        return True
    shown, under = _shown(true, "form"), _shown(true, "hymenium")
    return any(f in shown for f in forms) or any(f in shown and h in under for f, h in pairs)


def _shown(true: Taxon, character: str) -> set[str]:
    scores = [score for (name, _), score in true.scores.items() if name == character and isinstance(score, StateScore)]
    return {state for score in scores for state in (*score.mostly, *score.at_times)}
