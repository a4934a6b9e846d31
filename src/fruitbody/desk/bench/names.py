"""From a typed name to what is written on the determination: taxon, name, rank, qualifier. Pure."""

from __future__ import annotations

import difflib
from dataclasses import dataclass

from fruitbody.desk.bench.notebook_errors import NamingError
from fruitbody.funga.model import Funga, Taxon
from fruitbody.funga.search import names_of
from fruitbody.funga.terms import plain_key
from fruitbody.report import NamePart, QualifierError, compose_name

RANKS = ("species", "species group", "section", "genus", "one of two genera", "family", "form", "thing", "not named")
QUALIFIERS = ("", "cf.", "aff.", "gr.", "?", "sp.", "spp.")
BARE_RANKS = ("one of two genera", "form", "not named")
IN_NAME = {"cf", "cf.", "aff", "aff.", "gr", "gr.", "group", "sp", "sp.", "spp", "spp."}
MOST_FOUND = 8


@dataclass(frozen=True, slots=True)
class Resolved:
    """A name ready to be written. how: a sentence on how it was found, '' for an accepted name as typed."""

    name: str
    rank: str
    qualifier: str = ""
    taxon: str = ""
    according_to: str = ""
    how: str = ""


@dataclass(frozen=True, slots=True)
class Found:
    """A line under the name field: what to write, and how it was found."""

    name: str
    how: str


def resolve(funga: Funga, typed: str, *, rank: str = "", qualifier: str = "", as_typed: bool = False) -> Resolved:
    """The name meant by what somebody typed: by any name of the funga, a genus, a family, or free text with a rank.

    Raises NamingError with a sentence that says what to do.
    """
    bare, inside = _apart(typed)
    qualifier = qualifier or inside
    if not bare:
        raise NamingError("Write a name, or choose the rank “not named” and say why in the basis.")
    _known(rank, RANKS, "rank")
    _known(qualifier, QUALIFIERS, "qualifier")
    resolved = _plain(bare, rank, qualifier) or _in_funga(funga, bare, rank, qualifier, as_typed)
    if resolved is None:
        resolved = _free(funga, bare, rank, qualifier, as_typed)
    name_parts(resolved.name, resolved.rank, resolved.qualifier)
    return resolved


def name_parts(name: str, rank: str, qualifier: str) -> tuple[NamePart, ...]:
    """The name set in parts. Raises NamingError where the qualifier does not go with it."""
    if rank == "not named":
        return ()
    if rank in ("form", "thing"):
        return (NamePart(name),)
    if rank == "one of two genera":
        return tuple(NamePart(word, italic=word != "or") for word in name.split())
    try:
        return compose_name(name, qualifier=qualifier)
    except QualifierError as problem:
        raise NamingError(str(problem)) from problem


def find_names(funga: Funga, typed: str, *, most: int = MOST_FOUND) -> list[Found]:
    """Names that hold what was typed, the accepted name to be written and how it was found."""
    key = plain_key(typed)
    if len(key) < 2:
        return []
    found: dict[str, Found] = {}
    for genus in funga.genera:
        if plain_key(genus).startswith(key):
            found[genus] = Found(genus, "genus")
    starts, holds = list[Found](), list[Found]()
    for taxon in funga.taxa.values():
        for name, kind in names_of(taxon):
            here = plain_key(name)
            if key in here and name != taxon.id:
                words = taxon.rank if kind == "accepted name" else f"“{name}”, {kind}"
                (starts if here.startswith(key) else holds).append(Found(taxon.name, words))
                break
    for hit in (*starts, *holds):
        found.setdefault(hit.name, hit)
    return list(found.values())[:most]


def _plain(bare: str, rank: str, qualifier: str) -> Resolved | None:
    """Ranks whose words stand as they are."""
    if rank not in BARE_RANKS:
        return None
    if qualifier:
        raise NamingError(f"“{qualifier}” goes with a scientific name. Leave it out, or choose another rank.")
    if rank == "one of two genera" and bare.split()[1::2] != ["or"]:
        raise NamingError("Write the two genera with “or” between them, for instance “Agaricus or Amanita”.")
    return Resolved(bare, rank)


def _in_funga(funga: Funga, bare: str, rank: str, qualifier: str, as_typed: bool) -> Resolved | None:
    key = plain_key(bare)
    genus = next((name for name in funga.genera if plain_key(name) == key), "")
    if genus:
        return Resolved(genus, "genus", qualifier if qualifier in ("cf.", "?", "spp.") else "sp.")
    family = next((g.family for g in funga.genera.values() if plain_key(g.family) == key), "")
    if family:
        return Resolved(family, "family", "")
    for taxon in funga.taxa.values():
        for name, kind in names_of(taxon):
            if key not in (plain_key(name), plain_key(name.removesuffix(" group"))):
                continue
            if as_typed and kind != "accepted name" and rank:
                return None
            how = "" if kind == "accepted name" else f"“{name}” is {_article(kind)} of {taxon.name}."
            return _taxon(taxon, qualifier, how)
    for group in funga.groups.values():
        if key in (plain_key(group.name), plain_key(group.name.removesuffix(" group"))):
            return Resolved(group.name.removesuffix(" group"), "species group", qualifier or "gr.")
    return None


def _article(kind: str) -> str:
    return f"an {kind}" if kind[0] in "aeo" else f"a {kind}"


def _taxon(taxon: Taxon, qualifier: str, how: str) -> Resolved:
    grouped = taxon.name.endswith(" group")
    name = taxon.name.removesuffix(" group")
    if qualifier and taxon.rank == "thing":
        raise NamingError(f"“{qualifier}” goes with a scientific name, and this is no fungus. Leave it out.")
    if qualifier in ("sp.", "spp."):
        raise NamingError(f"“{qualifier}” stands in place of an epithet. Write the genus {taxon.genus} alone with it.")
    return Resolved(name, taxon.rank, qualifier or ("gr." if grouped else ""), taxon.id, taxon.according_to, how)


def _free(funga: Funga, bare: str, rank: str, qualifier: str, as_typed: bool) -> Resolved:
    """A name that the funga does not know: kept as typed where the writer insists and gives its rank."""
    if as_typed and rank:
        return Resolved(bare[:160], rank, qualifier, how="This name does not stand in the funga; it is kept as typed.")
    names = {plain_key(name): taxon.name for taxon in funga.taxa.values() for name, _ in names_of(taxon)}
    names |= {plain_key(genus): genus for genus in funga.genera}
    close = list(dict.fromkeys(names[k] for k in difflib.get_close_matches(plain_key(bare), names, n=3, cutoff=0.6)))
    near = f" Nearest: {', '.join(close)}." if close else ""
    raise NamingError(
        f"The funga has no name “{bare}”.{near} Choose one of these, or give the rank and tick that it stays as typed."
    )


def _apart(typed: str) -> tuple[str, str]:
    """The bare name, and a qualifier that was typed within it."""
    words = typed.split()
    marks = [word for word in words if word.casefold() in IN_NAME]
    bare = " ".join(word for word in words if word.casefold() not in IN_NAME)
    if bare.startswith("?"):
        return bare[1:].strip(), "?"
    mark = marks[0].casefold().rstrip(".") if marks else ""
    mark = "gr" if mark == "group" else mark
    return bare, f"{mark}." if mark else ""


def _known(word: str, words: tuple[str, ...], what: str) -> None:
    if word and word not in words:
        raise NamingError(f"“{word}” is no {what} that we use. Known: {', '.join(w for w in words if w)}.")
