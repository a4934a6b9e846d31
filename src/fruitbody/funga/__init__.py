"""What is known: characters, states, taxa, hazard groups, sources. TOML files that a mycologist can read and mend."""

from fruitbody.funga.load import load, load_from
from fruitbody.funga.model import Character, CharacterKind, Funga, HazardGroup, State, Taxon
from fruitbody.funga.problems import FungaError, Problem
from fruitbody.funga.terms import UnknownTermError, find_character, find_state

__all__ = [
    "Character",
    "CharacterKind",
    "Funga",
    "FungaError",
    "HazardGroup",
    "Problem",
    "State",
    "Taxon",
    "UnknownTermError",
    "find_character",
    "find_state",
    "load",
    "load_from",
]
