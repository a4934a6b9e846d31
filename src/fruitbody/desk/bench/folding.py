"""Whether what fits stays folded until somebody asks for it. Pure: the same facts give the same answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fruitbody.funga.model import Funga
from fruitbody.identify.identify import Identification

NEAR_THE_TOP = 3
GRADE = "deadly"


@dataclass(frozen=True, slots=True)
class Folding:
    """folded: nothing of the ranking is shown yet; why: a sentence for the reader, '' where it is open."""

    folded: bool
    why: str = ""


def danger_near_the_top(funga: Funga, found: Identification) -> bool:
    """Whether a kind of a deadly group is among the first few that fit."""
    deadly = {group.id for group in funga.hazard_groups.values() if group.grade == GRADE}
    return any(
        deadly & set(funga.taxa[candidate.id].hazard)
        for candidate in found.candidates[:NEAR_THE_TOP]
        if candidate.id in funga.taxa
    )


def folding(*, reader_folds: bool, drawn: float, share: float, danger: bool, seen: bool) -> Folding:
    """Folded where the reader wishes, for the drawn share of kinds, and always with danger near the top; once
    unfolded, it stays open for this reader.

    drawn: the kind's own draw, 0 to 1; share: the clinic's share of kinds that are folded for everybody.
    """
    if seen:
        return Folding(False)
    reasons: Mapping[str, bool] = {
        "A dangerous group is near the top: look first, and write down what you think.": danger,
        "You keep it folded until you ask.": reader_folds,
        "This kind was drawn to be read without it first.": drawn < share,
    }
    first = next((words for words, holds in reasons.items() if holds), "")
    return Folding(bool(first), first)
