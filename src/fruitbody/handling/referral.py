"""Whether a tree has to be looked at promptly: agents of root, butt or brittle decay where people may be beneath.

The fungus is named, the tree is not judged: the answer is only whether somebody qualified should come soon. Where the
place is not known the answer leans to asking for the inspection. Common practice; ways of life, rots and places on the
tree come from the funga with their sources.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fruitbody.examine.finding import Finding
from fruitbody.funga.model import StateScore, Taxon

PARASITES = frozenset({"parasite of living trees", "weak parasite of trees"})
FOOT = frozenset({"roots", "flare", "butt"})
BRITTLE = frozenset({"brown", "soft"})
ON_TREE = frozenset({"living-tree", "roots"})
UNSETTLED = frozenset({"grass", "soil", "mulch", "buried-wood"})
"""What grows here may well come from the roots of a tree beside it."""
LYING_FORMS = frozenset({"crust", "shelf"})


@dataclass(frozen=True, slots=True)
class Referral:
    """needed: a prompt inspection on site and a call the same day; because: a sentence, for the staff."""

    needed: bool
    because: str


def tree_referral(taxa: Sequence[Taxon], findings: Sequence[Finding], *, asked_about_tree: bool) -> Referral:
    """Whether the kind calls for a prompt referral.

    taxa: the taxon named, or all that the name may stand for (the genus); empty where nothing fits the name.
    findings: every finding on the kind, the finder's own words too, for where it grew.
    asked_about_tree: the question was about a tree, so there is one and somebody cares for it.
    """
    substrate, place, host, form = (_said(findings, c) for c in ("substrate", "place_on_tree", "host", "form"))
    on_tree = asked_about_tree or bool(place or substrate & ON_TREE)
    because = next((why for taxon in taxa if (why := _decays(taxon, place))), "")
    if because and on_tree:
        return Referral(True, f"{because} It grew on or beside a tree.")
    if because and len(taxa) == 1 and host != {"no-tree"} and (not substrate or substrate & UNSETTLED):
        return Referral(True, f"{because} Where it grew is not settled, so a tree may stand there.")
    if not taxa and asked_about_tree and place & FOOT and form & LYING_FORMS:
        return Referral(True, "A crust or bracket at the foot of a tree that is not named yet.")
    return Referral(False, "Nothing found or named speaks of decay in the roots or the butt of a standing tree.")


def _decays(taxon: Taxon, found_at: frozenset[str]) -> str:
    """Why this taxon counts as an agent of root, butt or brittle decay; '' where it does not."""
    if taxon.rot in ("", "none") or not PARASITES & set(taxon.way_of_life):
        return ""
    score = taxon.scores.get(("place_on_tree", ""))
    usual = set(score.mostly) if isinstance(score, StateScore) else set()
    if (found_at or usual) & FOOT:
        return f"{taxon.name} decays roots or the butt of trees ({taxon.rot} rot)."
    return f"{taxon.name} makes wood brittle ({taxon.rot} rot)." if taxon.rot in BRITTLE else ""


def _said(findings: Sequence[Finding], character: str) -> frozenset[str]:
    """The states that somebody affirmed of a character."""
    said = (f.states for f in findings if f.character == character and f.tells and not f.negated)
    return frozenset(state for states in said for state in states)
