"""From the data files to a `Funga`. Every mistake is named with its file and place; none hides another."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from fruitbody.funga.characters import read_characters
from fruitbody.funga.hazards import read_groups, read_syndromes
from fruitbody.funga.kept import digest_of, keep, kept
from fruitbody.funga.model import DeclaredGroup, Funga, Genus, Material, Region, Source, Taxon
from fruitbody.funga.problems import FungaError, Problem, unknown
from fruitbody.funga.reading import Reader, Table
from fruitbody.funga.taxa import read_genus_file
from fruitbody.funga.texts import read_sentences

DATA = Path(__file__).parent / "data"


@lru_cache(maxsize=1)
def load() -> Funga:
    """The funga that comes with the program. Raises FungaError if its files hold mistakes."""
    ready = kept(digest_of(DATA))
    if ready is None:
        ready = load_from(DATA)
        keep(ready)
    return ready


def load_from(folder: Path) -> Funga:
    """Read a funga from a folder laid out as `docs/funga.md` says. Raises FungaError naming every mistake."""
    funga, problems = read_folder(folder)
    if problems:
        raise FungaError(problems)
    return funga


def read_folder(folder: Path) -> tuple[Funga, list[Problem]]:
    """The funga as far as it can be read, and what is wrong with it."""
    problems: list[Problem] = []
    files = _read_files(folder, problems)
    shared = {name: files.get(f"{name}.toml", {}) for name in ("colours", "hosts")}
    characters = read_characters(_part(files, "characters/"), shared, problems)
    regions = _read_regions(files.get("regions.toml", {}), problems)
    sources = _read_sources(_part(files, "sources/"), problems)
    hazards = files.get("hazards.toml", {})
    syndromes = read_syndromes(hazards.get("syndrome", {}), sources, problems)
    hazard_groups = read_groups(hazards.get("group", {}), characters, sources, problems)
    genera: dict[str, Genus] = {}
    taxa: dict[str, Taxon] = {}
    groups: dict[str, DeclaredGroup] = {}
    sentences = read_sentences(files.get("sentences.toml", {}), problems)
    known: dict[str, Mapping[str, Any]] = {
        "characters": characters,
        "regions": regions,
        "sources": sources,
        "groups": hazard_groups,
        "sentences": sentences,
    }
    for file, table in _part(files, "taxa/").items():
        read_genus_file(file, table, known, genera, taxa, groups, problems)
    _check_taken_for(taxa, problems)
    _check_groups(groups, taxa, problems)
    materials = files.get("materials.toml", {})
    background = files.get("background.toml", {}).get("background", {})
    funga = Funga(
        characters=characters,
        taxa=taxa,
        genera=genera,
        syndromes=syndromes,
        hazard_groups=hazard_groups,
        groups=groups,
        sentences=sentences,
        regions=regions,
        sources=sources,
        material_kinds=_read_materials("kind", materials.get("kind", {}), problems),
        conditions=_read_materials("condition", materials.get("condition", {}), problems),
        background={key: tuple(float(v) for v in row) for key, row in background.items()},
        digest=digest_of(folder),
    )
    return funga, problems


def _read_files(folder: Path, problems: list[Problem]) -> dict[str, Table]:
    files: dict[str, Table] = {}
    for path in sorted(folder.rglob("*.toml")):
        name = path.relative_to(folder).as_posix()
        try:
            files[name] = tomllib.loads(path.read_text(encoding="utf-8"))
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
            problems.append(Problem(name, "", f"the file cannot be read as TOML: {error}."))
    return files


def _part(files: Mapping[str, Table], prefix: str) -> dict[str, Table]:
    return {name: table for name, table in files.items() if name.startswith(prefix)}


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
