"""Finds a taxon by any name it goes by, and says how it was found."""

from __future__ import annotations

import difflib
from dataclasses import dataclass

from fruitbody.funga.model import Funga, Taxon
from fruitbody.funga.nomenclature import bare_name
from fruitbody.funga.terms import UnknownTermError, plain_key

LEAST_WORD = 0.75
"""How alike a misspelt word must be to the word it was meant for, 0 to 1."""


@dataclass(frozen=True, slots=True)
class Hit:
    """A taxon and a sentence on how its name was found; '' if it was asked for by its accepted name."""

    taxon: Taxon
    how: str


def names_of(taxon: Taxon) -> list[tuple[str, str]]:
    """Every (name, kind of name) a taxon goes by."""
    names = [(taxon.name, "accepted name")]
    names += [(name, "old or other name") for name in taxon.synonyms]
    names += [(name, "narrower name") for name in taxon.narrower if name != bare_name(taxon.name)]
    names += [(name, "name in use") for words in taxon.vernacular.values() for name in words]
    return [*names, (taxon.id, "accepted name")]


def how_found(taxon: Taxon, name: str, kind: str) -> str:
    """A sentence on what a name of a taxon is; '' for the accepted one."""
    if kind == "accepted name":
        return ""
    if kind == "narrower name":
        return f"“{name}” was split off from {taxon.name}, which stands here in the wide sense."
    return f"“{name}” is {'an' if kind[0] in 'aeo' else 'a'} {kind} of {taxon.name}."


def find_taxon(known: Funga, text: str) -> Hit:
    """The taxon called so, by accepted, old, misspelt or vernacular name. Raises UnknownTermError."""
    keys: dict[str, tuple[Taxon, str, str]] = {}
    for taxon in known.taxa.values():
        for name, kind in names_of(taxon):
            keys.setdefault(plain_key(name), (taxon, name, kind))
    key = plain_key(text)
    if key in keys:
        taxon, name, kind = keys[key]
        return Hit(taxon, how_found(taxon, name, kind))
    close = [near for near in difflib.get_close_matches(key, keys, n=8, cutoff=0.82) if _same_words(key, near)]
    if close:
        taxon, name, _ = keys[close[0]]
        return Hit(taxon, f"No name “{text}”; the nearest is “{name}”, that is {taxon.name}.")
    loose = difflib.get_close_matches(key, keys, n=3, cutoff=0.55)
    raise UnknownTermError("taxon", text, tuple(keys[k][1] for k in loose))


def _same_words(typed: str, name: str) -> bool:
    """Whether a name can be what was meant: of two words each must be near to its own.

    One genus and quite another epithet is another kind, however alike the two names look as a whole.
    """
    words, others = typed.split("-"), name.split("-")
    if len(words) != 2 or len(others) != 2:
        return True
    return all(
        difflib.SequenceMatcher(None, word, other).ratio() >= LEAST_WORD
        for word, other in zip(words, others, strict=True)
    )
