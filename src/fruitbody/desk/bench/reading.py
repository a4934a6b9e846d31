"""How a second reading stands to the first: same, wider, narrower, different. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from fruitbody.funga.model import Funga

DOUBTFUL = ("cf.", "aff.", "?")


class Outcome(StrEnum):
    SAME = "same"
    WIDER = "wider"
    NARROWER = "narrower"
    DIFFERENT = "different"


@dataclass(frozen=True, slots=True)
class Named:
    """A name as it was written. taxon: its id in the funga, '' where it is not there; name: without qualifier."""

    name: str
    rank: str
    qualifier: str = ""
    taxon: str = ""


def compare(funga: Funga, first: Named, second: Named) -> Outcome:
    """The second reading seen from the first.

    *wider*: it stops at a rank above, or doubts what the first gave without doubt; *narrower* the other way round.
    Two names of which neither holds the other are *different*, and so are two doubtful names that point to two kinds:
    where they do not agree, somebody should look again.
    """
    one, two = _path(funga, first), _path(funga, second)
    if one == two:
        return _by_doubt(first, second)
    if one[: len(two)] == two:
        return Outcome.WIDER
    if two[: len(one)] == one:
        return Outcome.NARROWER
    return Outcome.DIFFERENT


def _by_doubt(first: Named, second: Named) -> Outcome:
    before, after = first.qualifier in DOUBTFUL, second.qualifier in DOUBTFUL
    if "aff." in (first.qualifier, second.qualifier) and first.qualifier != second.qualifier:
        return Outcome.DIFFERENT
    if before == after:
        return Outcome.SAME
    return Outcome.NARROWER if before else Outcome.WIDER


def _path(funga: Funga, named: Named) -> tuple[str, ...]:
    """Family, genus, declared groups, taxon, as far as the name goes; a plain form or no name is above all of them."""
    taxon = funga.taxa.get(named.taxon)
    if taxon is not None:
        return (taxon.family, taxon.genus, *_groups_over(funga, frozenset((taxon.id,))), taxon.id)
    words = named.name.split()
    if not words or named.rank in ("form", "thing", "not named"):
        return ()
    if named.rank == "family":
        return (words[0],)
    if named.rank == "one of two genera":
        return _two_genera(funga, words)
    genus = funga.genera.get(words[0])
    family = genus.family if genus else f"family of {words[0]}"
    if named.rank == "genus":
        return (family, words[0])
    bare = " ".join(words).removesuffix(" group").casefold()
    group = next((g for g in funga.groups.values() if g.name.removesuffix(" group").casefold() == bare), None)
    if group is not None:
        return (family, words[0], *_groups_over(funga, funga.members_of(group)))
    return (family, words[0], " ".join(words).casefold())


def _groups_over(funga: Funga, members: frozenset[str]) -> tuple[str, ...]:
    """Ids of the declared groups that hold all of these taxa, the widest first."""
    held = {group.id: funga.members_of(group) for group in funga.groups.values()}
    return tuple(sorted((key for key, taxa in held.items() if members <= taxa), key=lambda key: -len(held[key])))


def _two_genera(funga: Funga, words: list[str]) -> tuple[str, ...]:
    """Two genera of one family stand at the family; else above all families."""
    families = {funga.genera[word].family for word in words if word in funga.genera}
    return tuple(families) if len(families) == 1 else ()
