"""What an updated checklist would change in our names, and a funga with the changes that a person accepted.

A change never touches what was written down before: determinations keep their name and its *according to*, issued
reports keep their bytes. A name that was split stays as it is, "in the wide sense", until somebody reads the material
again.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from fruitbody.funga.checklist import ListedName
from fruitbody.funga.model import Funga, Genus, Taxon
from fruitbody.funga.terms import plain_key


class ChangeKind(StrEnum):
    RENAME = "rename"
    """The same kind under another name."""
    SPLIT = "split"
    """The name now stands for one of several kinds; ours is meant in the wide sense."""
    APART = "apart"
    """A name that we hold to be the same as another is a kind of its own there."""
    FAMILY = "family"
    """The same name in another family."""


@dataclass(frozen=True, slots=True)
class NameChange:
    """One change to one taxon. names: the new name, or every name that a split left; words: a sentence for a person."""

    taxon: str
    kind: ChangeKind
    old: str
    names: tuple[str, ...]
    authority: str
    family: str
    according_to: str
    words: str


def proposals(funga: Funga, listed: Sequence[ListedName], *, source: str) -> list[NameChange]:
    """What the checklist says otherwise than we do, taxon by taxon; nothing is changed.

    source: how the checklist is called where a row does not say nameAccordingTo itself. A name that the checklist does
    not hold proposes nothing. Groups are compared by the name they are called after.
    """
    rows: dict[str, list[ListedName]] = {}
    for name in listed:
        rows.setdefault(plain_key(name.name), []).append(name)
    found: list[NameChange] = []
    for taxon in funga.taxa.values():
        found += _of_taxon(taxon, rows, source)
    return found


def _of_taxon(taxon: Taxon, rows: Mapping[str, list[ListedName]], source: str) -> list[NameChange]:
    bare = bare_name(taxon.name)
    own = rows.get(plain_key(bare), [])
    splits = tuple(dict.fromkeys(row.accepted for row in own if row.is_split))
    accepted = next((row for row in own if row.is_accepted), None)
    if splits:
        names = (bare, *splits) if accepted and bare not in splits else splits
        words = f"{bare} was split into {_and(names)}. Older records stand for it in the wide sense until re-read."
        return [_change(taxon, ChangeKind.SPLIT, names, own[0], source, words)]
    if own and accepted is None:
        target = _target(own[0], rows)
        if plain_key(target.accepted or target.name) == plain_key(bare):
            return []
        name = target.name
        return [_change(taxon, ChangeKind.RENAME, (name,), target, source, f"{bare} is now called {name}.")]
    found = []
    if accepted and accepted.family and accepted.family != taxon.family:
        words = f"{bare} is placed in {accepted.family}, not in {taxon.family}."
        found.append(_change(taxon, ChangeKind.FAMILY, (bare,), accepted, source, words))
    if taxon.rank == "species":
        for synonym in taxon.synonyms:
            alone = next((row for row in rows.get(plain_key(synonym), []) if row.is_accepted), None)
            if alone and accepted:
                words = f"{synonym}, which we hold to be {bare}, is a kind of its own."
                found.append(_change(taxon, ChangeKind.APART, (alone.name,), alone, source, words))
    return found


def _target(row: ListedName, rows: Mapping[str, list[ListedName]]) -> ListedName:
    """The accepted row that a synonym points to; the synonym's own words where the list holds no such row."""
    for other in rows.get(plain_key(row.accepted), []):
        if other.is_accepted:
            return other
    return replace(row, name=row.accepted, authority="", accepted=row.accepted)


def _change(
    taxon: Taxon, kind: ChangeKind, names: tuple[str, ...], row: ListedName, source: str, words: str
) -> NameChange:
    return NameChange(
        taxon=taxon.id,
        kind=kind,
        old=taxon.name,
        names=names,
        authority=row.authority,
        family=row.family,
        according_to=row.according_to or source,
        words=words,
    )


def with_changes(funga: Funga, changes: Iterable[NameChange]) -> Funga:
    """The funga under the names that were accepted. Scores, hazards and ids stay; the digest tells the two apart.

    A change whose taxon is gone, or whose old name is no longer ours, is passed over.
    """
    taxa, genera = dict(funga.taxa), dict(funga.genera)
    done = []
    for change in changes:
        taxon = taxa.get(change.taxon)
        if taxon is None or taxon.name != change.old:
            continue
        taxa[taxon.id] = _changed(taxon, change)
        genus = taxa[taxon.id].genus
        if genus not in genera:
            genera[genus] = Genus(genus, taxa[taxon.id].family, "", {}, taxon.file)
        done.append(f"{change.taxon} {change.kind} {'|'.join(change.names)} {change.according_to}")
    if not done:
        return funga
    digest = hashlib.sha256("\n".join((funga.digest, *done)).encode()).hexdigest()
    return replace(funga, taxa=taxa, genera=genera, digest=digest)


def _changed(taxon: Taxon, change: NameChange) -> Taxon:
    if change.kind is ChangeKind.RENAME:
        grouped = taxon.name.endswith(" group")
        name = change.names[0] + (" group" if grouped else "")
        kept = (change.names[0],) if grouped else ()
        old = tuple(s for s in taxon.synonyms if s != name)
        return replace(
            taxon,
            name=name,
            genus=name.split()[0],
            family=change.family or taxon.family,
            authority=change.authority or taxon.authority,
            according_to=change.according_to,
            synonyms=tuple(dict.fromkeys((*kept, *old, bare_name(taxon.name)))),
        )
    if change.kind is ChangeKind.SPLIT:
        words = f"in the wide sense, before it was split into {_and(change.names)} ({change.according_to})"
        return replace(taxon, according_to=words, narrower=change.names)
    if change.kind is ChangeKind.APART:
        return replace(taxon, synonyms=tuple(s for s in taxon.synonyms if s != change.names[0]))
    return replace(taxon, family=change.family)


def bare_name(name: str) -> str:
    """The name that a group is called after."""
    return name.removesuffix(" species group").removesuffix(" group")


def _and(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
