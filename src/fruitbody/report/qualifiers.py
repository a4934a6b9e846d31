"""Composing a name with its qualifier: which words stand where, and which are italic.

Qualifiers and their meaning follow Sigovini, Keppel & Tagliapietra 2016, Methods in Ecology and Evolution 7: 1217–1225,
doi 10.1111/2041-210X.12594: a qualifier stands directly before the word that it qualifies, *sp.* and *spp.* in the
place of the epithet. Qualifiers, *sp.* and rank words are upright. Scientific names of every rank are italic, families
too: the one rule of the International Code of Nomenclature for algae, fungi, and plants (Shenzhen Code, preface).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class QualifierError(ValueError):
    """A name cannot be composed; the message is a sentence that says what to do."""


class Qualifier(StrEnum):
    """How sure, or how meant, a name is."""

    NONE = ""
    CF = "cf."
    AFF = "aff."
    GROUP = "gr."
    DOUBT = "?"
    SP = "sp."
    SPP = "spp."


MEANING: dict[Qualifier, dict[str, str]] = {
    Qualifier.NONE: {"en": "named without reserve", "es": "nombrado sin reservas"},
    Qualifier.CF: {
        "en": "to be compared with this one: most features agree, some are open",
        "es": "a comparar con este: la mayoría de los rasgos coincide, algunos quedan abiertos",
    },
    Qualifier.AFF: {
        "en": "near this one, and differs from it",
        "es": "cercano a este, y distinto de él",
    },
    Qualifier.GROUP: {
        "en": "one of the group around this one",
        "es": "uno del grupo en torno a este",
    },
    Qualifier.DOUBT: {"en": "this one with doubt", "es": "este con duda"},
    Qualifier.SP: {
        "en": "one kind of this genus, not named further",
        "es": "una especie de este género, sin más nombre",
    },
    Qualifier.SPP: {"en": "several kinds of this genus", "es": "varias especies de este género"},
}

_RANK_WORDS = frozenset({"subsp.", "var.", "f.", "sect.", "subg.", "subsect.", "ser."})
_MARKS = frozenset({*(mark.value for mark in Qualifier if mark.value), "cfr.", "sp", "spp", "cf", "aff", "gr", "group"})


@dataclass(frozen=True, slots=True)
class NamePart:
    """A piece of a name: `text`, and whether it is set in italics. Parts are joined with `joined`."""

    text: str
    italic: bool = False


def compose_name(
    name: str, *, qualifier: Qualifier | str = Qualifier.NONE, at: str = "epithet"
) -> tuple[NamePart, ...]:
    """Name parts for a scientific name without authority, with one qualifier.

    name: 'Amanita phalloides', 'Amanita', 'Amanita sect. Phalloideae', 'Amanitaceae', 'Xerula radicata var. alba'.
    at: which word `cf.`, `aff.`, `?` stand before: 'epithet' (the last epithet) or 'genus' (the first word).
    Raises QualifierError when the qualifier cannot stand with this name.
    """
    mark = _qualifier(qualifier)
    words = name.split()
    if not words:
        raise QualifierError("A name needs at least one word. Leave the kind unnamed instead of giving an empty name.")
    if any(word in _MARKS for word in words):
        raise QualifierError(f"“{name}” holds a qualifier already. Give the bare name and the qualifier apart.")
    if mark in (Qualifier.SP, Qualifier.SPP):
        return _open_genus(words, mark)
    if mark is Qualifier.NONE:
        return tuple(_part(word) for word in words)
    if mark is Qualifier.GROUP and len(words) == 1:
        raise QualifierError(
            "“gr.” stands before an epithet. Give the name of the species that the group is called after."
        )
    place = 0 if at == "genus" or len(words) == 1 else len(words) - 1
    before, qualified = [_part(w) for w in words[:place]], [_part(w) for w in words[place:]]
    if mark is Qualifier.DOUBT:
        # The question mark is set close to the word that it doubts, as a sign and not as a word.
        qualified[0] = NamePart("?" + qualified[0].text, italic=True)
        return (*before, *qualified)
    return (*before, NamePart(mark.value), *qualified)


def joined(parts: tuple[NamePart, ...]) -> str:
    """The name as plain text."""
    return " ".join(part.text for part in parts)


def _qualifier(value: Qualifier | str) -> Qualifier:
    try:
        return Qualifier(value)
    except ValueError as error:
        known = ", ".join(f"“{q.value}”" for q in Qualifier if q.value)
        raise QualifierError(f"“{value}” is not a qualifier that we use. Choose one of {known}, or none.") from error


def _open_genus(words: list[str], mark: Qualifier) -> tuple[NamePart, ...]:
    if len(words) > 1 and not any(word in _RANK_WORDS for word in words):
        raise QualifierError(f"“{mark.value}” stands in place of an epithet. Give the genus alone, or choose “cf.”.")
    return (*(_part(word) for word in words), NamePart(mark.value))


def _part(word: str) -> NamePart:
    return NamePart(word, italic=word not in _RANK_WORDS)
