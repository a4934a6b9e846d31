"""A description composed from the scores: organ by organ, in the order of the characters, as one reads it in a flora.

The description holds nothing but the scores: *mostly* is said plainly, the others with their words. A character
scored by stage says each stage.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from fruitbody.funga.export import score_words
from fruitbody.funga.model import STAGES, Character, Funga, MeasureScore, Score, Taxon
from fruitbody.funga.phrases import BEFORE_OFTEN, PHRASES, PLAIN, UNSAID, Phrase

ORGANS: Final = (
    "whole", "cap", "underside", "head", "inside", "veil", "stem", "base", "flesh", "deposit", "spores", "microscopy",
    "reagents", "place",
)  # fmt: skip
ORGAN_WORDS: Final = {
    "whole": "The whole", "cap": "Cap", "underside": "Underside", "head": "Head", "inside": "Inside", "veil": "Veils",
    "stem": "Stem", "base": "Foot", "flesh": "Flesh", "deposit": "Spore print", "spores": "Spores",
    "microscopy": "Under the microscope", "reagents": "Reagents", "place": "Place",
}  # fmt: skip
STAGE_WORDS: Final = {"young": "when young", "mature": "in its prime", "past": "past its prime"}
OFTEN: Final = (("mostly", ""), ("at_times", "at times"), ("seldom", "seldom"), ("never", "never"))
SPORE_SIZES: Final = ("spore_length", "spore_width", "spore_q")


@dataclass(frozen=True, slots=True)
class Described:
    """One organ and its sentence, with a capital and a full stop."""

    organ: str
    words: str

    @property
    def heading(self) -> str:
        return ORGAN_WORDS.get(self.organ, self.organ.capitalize())


def describe(funga: Funga, taxon: Taxon) -> tuple[Described, ...]:
    """The description of a taxon: a sentence per organ of which something is known."""
    by_organ: dict[str, list[str]] = {}
    for character, stages in in_order(funga, taxon):
        clause = _spore_sizes(taxon) if character.id == SPORE_SIZES[0] else clause_of(character, stages)
        if clause and character.id not in SPORE_SIZES[1:]:
            by_organ.setdefault(character.organ, []).append(clause)
    return tuple(Described(organ, sentence(by_organ[organ])) for organ in organs_in_order(by_organ))


def organs_in_order(known: Iterable[str]) -> list[str]:
    """Organs as a mushroom is looked at, from the whole to the place; unheard-of ones last."""
    names = list(known)
    return [o for o in ORGANS if o in names] + [o for o in names if o not in ORGANS]


def in_order(funga: Funga, taxon: Taxon) -> list[tuple[Character, dict[str, Score]]]:
    """Every character that the taxon scores, in the order of the files, with its scores by stage, the young first."""
    found: dict[str, dict[str, Score]] = {}
    for (character_id, stage), score in taxon.scores.items():
        found.setdefault(character_id, {})[stage] = score
    ordered = sorted((funga.characters[c] for c in found), key=lambda c: c.order)
    return [(c, {s: found[c.id][s] for s in ("", *STAGES) if s in found[c.id]}) for c in ordered]


def clause_of(character: Character, stages: Mapping[str, Score]) -> str:
    """'white when young, pink in its prime': what is scored of one character; '' where it needs no saying."""
    told = [(stage, words) for stage, score in stages.items() if (words := score_phrase(character, score))]
    if len({words for _, words in told}) < 2:
        return told[0][1] if told else ""
    lead = PHRASES.get(character.id, PLAIN).lead
    shared = f"{lead} " if lead and all(words.startswith(f"{lead} ") for _, words in told) else ""
    parts = [f"{STAGE_WORDS[stage]} {words.removeprefix(shared)}".strip() for stage, words in told]
    return shared + ("; " if any("," in part for part in parts) else ", ").join(parts)


def score_phrase(character: Character, score: Score) -> str:
    """A score with the small words of its character: 'edge rolled in, at times hung with rags of veil'."""
    phrase = PHRASES.get(character.id, PLAIN)
    if isinstance(score, MeasureScore):
        return _framed(phrase, score_words(score, character.unit))
    unsaid = UNSAID.get(character.id, frozenset())
    parts: list[str] = []
    framed = False  # the lead and the tail are said once
    for field, often in OFTEN:
        states = [s for s in getattr(score, field) if s not in unsaid]
        if not states:
            continue
        words = _of_states(character, phrase, states, often, framed=framed)
        framed = framed or any(state not in phrase.whole for state in states)
        parts.append(words)
    return ", ".join(parts)


def sentence(clauses: Sequence[str]) -> str:
    """Clauses as one sentence: 'White; close.'"""
    text = "; ".join(clauses)
    return f"{text[:1].upper()}{text[1:]}."


def listed(words: Sequence[str], last: str = "or") -> str:
    """'white', 'white or cream', 'white, cream or tan'. Where a word holds a comma of its own, each has its 'or'."""
    if len(words) < 2:
        return "".join(words)
    if last == "to" or any("," in word for word in words):
        return f" {last} ".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def _of_states(character: Character, phrase: Phrase, states: Sequence[str], often: str, *, framed: bool) -> str:
    """States with how often they are seen; framed: the lead and the tail are said already."""
    whole = [] if framed else [phrase.whole[s] for s in states if s in phrase.whole]
    others = [_state_words(character, phrase, s) for s in states if framed or s not in phrase.whole]
    words = listed(others, "or" if often else phrase.join)
    if framed or not others:
        return f"{often} {listed([*([words] if words else []), *whole])}".strip()
    if often and phrase.lead not in BEFORE_OFTEN:
        words = _framed(phrase, f"{often} {words}")
    else:
        words = f"{often} {_framed(phrase, words)}".strip()
    return listed([words, *whole])


def _state_words(character: Character, phrase: Phrase, state: str) -> str:
    plain = phrase.words.get(state) or character.state(state).plain
    return plain.replace(", ", "/").replace(" or ", "/") if character.id == "host" else plain


def _framed(phrase: Phrase, words: str) -> str:
    return f"{phrase.lead} {words} {phrase.tail}".strip()


def _spore_sizes(taxon: Taxon) -> str:
    """'(7–) 8–10 × 5–6 µm, 1.4–1.8 times as long as wide'."""
    length, width, ratio = (taxon.scores.get((name, "")) for name in SPORE_SIZES)
    if not isinstance(length, MeasureScore):
        return ""
    told = score_words(length, "").strip()
    told += f" × {score_words(width, '').strip()} µm" if isinstance(width, MeasureScore) else " µm long"
    if isinstance(ratio, MeasureScore):
        told += f", {score_words(ratio, '').strip()} times as long as wide"
    return told
