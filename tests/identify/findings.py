"""Strategies for Hypothesis: findings that a person could write."""

from __future__ import annotations

from hypothesis import strategies as st

from fruitbody import funga
from fruitbody.examine.finding import Finding, Measured, Observer, SeenOn
from fruitbody.funga.model import CharacterKind, MeasureScore, StateScore, Taxon

KNOWN = funga.load()
CHARACTERS = [c for c in KNOWN.characters.values() if c.kind is not CharacterKind.STAGE and c.id != "spore_q"]
TAXA = list(KNOWN.taxa.values())
DANGEROUS = [t for t in TAXA if t.hazard]


@st.composite
def finding(draw: st.DrawFn) -> Finding:
    character = draw(st.sampled_from(CHARACTERS))
    who = draw(st.sampled_from(list(Observer)))
    seen_on = draw(st.sampled_from(list(SeenOn)))
    if character.kind is CharacterKind.MEASURE:
        assert character.possible is not None
        value = draw(st.floats(character.possible[0], character.possible[1]))
        return Finding(character.id, measured=Measured(value, uncertainty=0.1 * value), by=who, seen_on=seen_on)
    states = draw(st.lists(st.sampled_from(character.state_ids), min_size=1, max_size=2, unique=True))
    return Finding(character.id, states=tuple(states), negated=draw(st.booleans()), by=who, seen_on=seen_on)


def findings(most: int = 8) -> st.SearchStrategy[list[Finding]]:
    return st.lists(finding(), max_size=most)


def true_findings(taxon: Taxon, *, fruit_body: str = "") -> list[Finding]:
    """What a diagnostician would write of a typical fruit body: its usual states, the middle of its ranges."""
    found = []
    for (character, stage), score in taxon.scores.items():
        if stage not in ("", "mature"):
            continue
        if isinstance(score, MeasureScore):
            middle = (score.low * score.high) ** 0.5
            n = 30 if KNOWN.characters[character].organ == "spores" else 1
            measured = Measured(middle, uncertainty=0.02 * middle, n=n)
            found.append(Finding(character, measured=measured, fruit_body=fruit_body, stage=stage))
        elif isinstance(score, StateScore) and score.mostly:
            found.append(Finding(character, states=score.mostly[:1], fruit_body=fruit_body, stage=stage))
    return found
