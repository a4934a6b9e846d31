"""What can no longer be seen on material in its condition, and what to ask the finder for. Pure, from the funga."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fruitbody.funga.model import Funga, Material

FRESH = "fresh-whole"
NEEDS_WORDS = {
    "place": "where it grew",
    "cap": "the cap",
    "underside": "the underside",
    "stem": "the stem",
    "base": "the foot",
    "fresh": "colours, smell and bruising of the fresh mushroom",
    "cut": "the cut flesh",
    "deposit": "the colour of a spore print",
    "microscope": "anything under the microscope",
    "reagent": "reactions to drops of reagents",
    "material": "anything on the material itself",
    "which-body": "which of the kinds a piece came from",
}


@dataclass(frozen=True, slots=True)
class Lost:
    """lost: `needs` words in the order of the body; parts: the same in plain words; characters: how many can no longer
    be seen, of how many; says: sentences to the finder; care: sentences to the staff; hood: open it under the hood."""

    lost: tuple[str, ...]
    parts: tuple[str, ...]
    characters: int
    of: int
    says: tuple[str, ...]
    care: tuple[str, ...]
    hood: bool


def known_materials(funga: Funga, material: str, conditions: Iterable[str]) -> list[Material]:
    """The kind of material and its conditions as the funga describes them; words nobody knows are left out."""
    found = [funga.material_kinds[material]] if material in funga.material_kinds else []
    return found + [funga.conditions[c] for c in conditions if c in funga.conditions]


def what_is_lost(funga: Funga, material: str, conditions: Iterable[str], *, language: str = "en") -> Lost:
    """What this material hides, said at once at receipt. Fresh and whole without any condition hides nothing."""
    entries = known_materials(funga, material, conditions)
    lost = {need for entry in entries for need in entry.loses}
    hidden = sum(any(need in lost for need in character.needs) for character in funga.characters.values())
    asking = [entry for entry in entries if entry.id != FRESH]
    spoken = [(entry.says_es if language.startswith("es") else "") or entry.says for entry in asking]
    return Lost(
        lost=tuple(need for need in NEEDS_WORDS if need in lost),
        parts=tuple(words for need, words in NEEDS_WORDS.items() if need in lost),
        characters=hidden,
        of=len(funga.characters),
        says=tuple(dict.fromkeys(words for words in spoken if words)),
        care=tuple(dict.fromkeys(entry.care for entry in entries if entry.care)),
        hood=any(entry.hood for entry in entries),
    )


def asking_words(lost_by_label: Sequence[tuple[str, Lost]], *, language: str = "en") -> str:
    """A message to the finder asking for what is missing, ready to be sent; '' where nothing is missing."""
    several = len(lost_by_label) > 1
    lines = []
    for label, lost in lost_by_label:
        if lost.says:
            head = f"{label}: " if several else ""
            lines.append(head + " ".join(lost.says))
    return "\n\n".join(dict.fromkeys(lines))
