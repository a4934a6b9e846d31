"""From the data files to a `Funga`. Every mistake is named with its file and place; none hides another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from fruitbody.funga.characters import read_characters
from fruitbody.funga.files import own_folders, part_of, read_files, read_own
from fruitbody.funga.hazards import read_groups, read_syndromes
from fruitbody.funga.kept import digest_of, keep, kept
from fruitbody.funga.model import DeclaredGroup, Funga, Genus, Material, Region, Source, Taxon
from fruitbody.funga.problems import FungaError, Problem, unknown
from fruitbody.funga.reading import Reader, Table
from fruitbody.funga.taxa import read_genus_file
from fruitbody.funga.texts import read_sentences

DATA = Path(__file__).parent / "data"


def load() -> Funga:
    """The funga that comes with the program, and on top of it what a clinic keeps in folders of its own.

    FRUITBODY_FUNGA names those. Raises FungaError if any file holds mistakes.
    """
    return _load(own_folders())


@lru_cache(maxsize=1)
def _load(own: tuple[Path, ...]) -> Funga:
    ready = kept(digest_of(DATA, *own))
    if ready is None:
        ready = load_from(DATA, own)
        keep(ready)
    return ready


def load_from(folder: Path, own: Sequence[Path] = ()) -> Funga:
    """Read a funga from a folder laid out as `docs/funga.md` says. Raises FungaError naming every mistake.

    own: folders with taxa and sources of a clinic's own, read on top.
    """
    funga, problems = read_folder(folder, own)
    if problems:
        raise FungaError(problems)
    return funga


def read_folder(folder: Path, own: Sequence[Path] = ()) -> tuple[Funga, list[Problem]]:
    """The funga as far as it can be read, and what is wrong with it."""
    problems: list[Problem] = []
    files, theirs = read_files(folder, problems), read_own(own, problems)
    return assemble(files, theirs, digest_of(folder, *own), problems), problems


def assemble(files: Mapping[str, Table], own: Mapping[str, Table], digest: str, problems: list[Problem]) -> Funga:
    """A funga from tables: our files by their path, a clinic's by theirs. What is wrong is added to `problems`."""
    shared = {name: files.get(f"{name}.toml", {}) for name in ("colours", "hosts")}
    characters = read_characters(part_of(files, "characters"), shared, problems)
    regions = _read_regions(files.get("regions.toml", {}), problems)
    sources = _read_sources({**part_of(files, "sources"), **part_of(own, "sources")}, problems)
    hazards = files.get("hazards.toml", {})
    known: dict[str, Mapping[str, Any]] = {
        "characters": characters,
        "regions": regions,
        "sources": sources,
        "groups": read_groups(hazards.get("group", {}), characters, sources, problems),
        "sentences": read_sentences(files.get("sentences.toml", {}), problems),
    }
    genera, taxa, groups = _read_taxa(part_of(files, "taxa"), part_of(own, "taxa"), known, problems)
    materials = files.get("materials.toml", {})
    background = files.get("background.toml", {}).get("background", {})
    return Funga(
        characters=characters,
        taxa=taxa,
        genera=genera,
        syndromes=read_syndromes(hazards.get("syndrome", {}), sources, problems),
        hazard_groups=known["groups"],
        groups=groups,
        sentences=known["sentences"],
        regions=regions,
        sources=sources,
        material_kinds=_read_materials("kind", materials.get("kind", {}), problems),
        conditions=_read_materials("condition", materials.get("condition", {}), problems),
        background={key: tuple(float(v) for v in row) for key, row in background.items()},
        digest=digest,
    )


def _read_taxa(
    files: Mapping[str, Table],
    own: Mapping[str, Table],
    known: Mapping[str, Mapping[str, Any]],
    problems: list[Problem],
) -> tuple[dict[str, Genus], dict[str, Taxon], dict[str, DeclaredGroup]]:
    """Genera, taxa and declared groups: ours, then a clinic's own, which may replace none of ours."""
    genera: dict[str, Genus] = {}
    taxa: dict[str, Taxon] = {}
    groups: dict[str, DeclaredGroup] = {}
    for file, table in files.items():
        read_genus_file(file, table, known, genera, taxa, groups, problems)
    own_genera: dict[str, Genus] = {}
    own_taxa: dict[str, Taxon] = {}
    own_groups: dict[str, DeclaredGroup] = {}
    for file, table in own.items():
        read_genus_file(file, table, known, own_genera, own_taxa, own_groups, problems)
    for theirs, ours in ((own_taxa, taxa), (own_groups, groups)):
        _add_own(theirs, ours, problems)
    for name, genus in own_genera.items():
        if genera.setdefault(name, genus).family != genus.family:
            words = f"the family of {name} is {genera[name].family} here, not “{genus.family}”."
            problems.append(Problem(genus.file, "genus", words))
    _name_back(taxa, own_taxa)
    _check_taken_for(taxa, problems)
    _check_groups(groups, taxa, problems)
    return genera, taxa, groups


def _add_own(theirs: Mapping[str, Any], ours: dict[str, Any], problems: list[Problem]) -> None:
    """A clinic's taxa or groups on top of ours; an id that ours have keeps its meaning."""
    for key, entry in theirs.items():
        if key in ours:
            words = f"this id stands in {ours[key].file} already; a kind of your own needs an id of its own."
            problems.append(Problem(entry.file, key, words))
        else:
            ours[key] = entry


def _name_back(taxa: dict[str, Taxon], own: Mapping[str, Taxon]) -> None:
    """What a clinic's kind is taken for is taken for it too: our files, which it cannot change, need not say so."""
    for taxon in own.values():
        for pair in taxon.taken_for:
            other = taxa.get(pair.taxon)
            if other and other.id not in own and taxon.id not in {p.taxon for p in other.taken_for}:
                taxa[other.id] = replace(other, taken_for=(*other.taken_for, replace(pair, taxon=taxon.id)))


def _read_regions(table: Table, problems: list[Problem]) -> dict[str, Region]:
    regions: dict[str, Region] = {}
    for key, entry in table.items():
        reader = Reader("regions.toml", key, entry, problems)
        regions[key] = Region(
            id=key,
            plain=reader.text("plain", required=True),
            members=reader.texts("members"),
            near=reader.texts("near", known=table, kind="region"),
        )
        reader.done()
    return regions


def _read_sources(files: Mapping[str, Table], problems: list[Problem]) -> dict[str, Source]:
    sources: dict[str, Source] = {}
    for file, table in files.items():
        for key, entry in table.items():
            reader = Reader(file, key, entry, problems)
            if key in sources:
                reader.complain("this source id stands in another file too.")
            sources[key] = Source(
                id=key,
                citation=reader.text("citation", required=True),
                kind=reader.text("kind", required=True),
                convention=reader.text("convention"),
            )
            reader.done()
    return sources


def _read_materials(what: str, table: Table, problems: list[Problem]) -> dict[str, Material]:
    materials: dict[str, Material] = {}
    for key, entry in table.items():
        reader = Reader("materials.toml", f"{what} {key}", entry, problems)
        materials[key] = Material(
            id=key,
            plain=reader.text("plain", required=True),
            plain_es=reader.text("plain_es"),
            loses=reader.texts("loses"),
            says=reader.text("says"),
            says_es=reader.text("says_es"),
            hood=reader.flag("hood"),
            care=reader.text("care"),
        )
        reader.done()
    return materials


def _check_taken_for(taxa: Mapping[str, Taxon], problems: list[Problem]) -> None:
    """A pair is for both: where the other taxon stands in the funga it must be there under this id."""
    genera: dict[str, Any] = {taxon.genus.lower(): taxon for taxon in taxa.values()}
    for taxon in taxa.values():
        for pair in taxon.taken_for:
            if pair.taxon not in taxa and pair.taxon.split("-")[0] in genera:
                close = [t for t in taxa if t.split("-")[0] == pair.taxon.split("-")[0]]
                words = f"taken for “{pair.taxon}”, which no file holds. The same genus has: {', '.join(close)}."
                problems.append(Problem(taxon.file, taxon.id, words))


def _check_groups(groups: Mapping[str, DeclaredGroup], taxa: Mapping[str, Taxon], problems: list[Problem]) -> None:
    """Members must be there, and no group may come to hold itself."""
    for group in groups.values():
        for member in group.members:
            if member not in taxa and member not in groups:
                problems.append(unknown(group.file, f"group {group.id}", "taxon or group", member, (*taxa, *groups)))
        path = _way_back(group.id, groups)
        if path:
            problems.append(Problem(group.file, f"group {group.id}", f"it holds itself: {' → '.join(path)}."))


def _way_back(start: str, groups: Mapping[str, DeclaredGroup]) -> list[str]:
    """A chain of groups, each a member of the one before, from `start` back to it; empty if there is none."""
    open_paths = [[start]]
    seen: set[str] = set()
    while open_paths:
        path = open_paths.pop()
        for member in groups[path[-1]].members:
            if member == start:
                return [*path, start]
            if member in groups and member not in seen:
                seen.add(member)
                open_paths.append([*path, member])
    return []
