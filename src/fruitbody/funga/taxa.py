"""Reads `taxa/GENUS.toml`: the genus and its taxa."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fruitbody.funga.model import FROM_MEMORY, DeclaredGroup, Frequency, Genus, StateScore, TakenFor, Taxon
from fruitbody.funga.problems import Problem, unknown
from fruitbody.funga.reading import Reader, Table, read_scores

RANKS = ("species", "species group", "section", "genus", "variety", "family", "form of growth", "thing")
ROTS = ("none", "white", "white-pocket", "brown", "soft")
PERISHES = ("hours", "a day", "days", "keeps")
WAYS_OF_LIFE = (
    "mycorrhizal",
    "litter saprotroph",
    "wood saprotroph",
    "soil saprotroph",
    "dung saprotroph",
    "parasite of living trees",
    "weak parasite of trees",
    "mycoparasite",
    "insect parasite",
    "lichenised",
    "slime mould",
    "plant pathogen",
    "plant",
    "animal",
    "bacteria",
    "not living",
)
NOT_HERE = ("without a sequence",)
LANGUAGES = ("en", "es")
NO_HAZARD_WORDS = ("no reports found by us", "unknown")
BASIS_PARTS = ("names", "range", "macroscopic", "microscopic", "habitat", "hazard", "never")


def read_genus_file(
    file: str,
    table: Table,
    known: Mapping[str, Mapping[str, Any]],
    genera: dict[str, Genus],
    taxa: dict[str, Taxon],
    groups: dict[str, DeclaredGroup],
    problems: list[Problem],
) -> None:
    """Add the genus, its declared groups and its taxa from one file.

    `known` holds characters, regions, sources, hazard groups and sentences.
    """
    top = Reader(file, "", table, problems)
    head = Reader(file, "genus", top.table_of("genus"), problems)
    genus = Genus(
        name=head.text("name", required=True),
        family=head.text("family", required=True),
        order=head.text("order"),
        species={k: int(v) for k, v in head.table_of("species").items()},
        file=file,
    )
    head.texts("basis", known=(*known["sources"], FROM_MEMORY), kind="source")
    head.done()
    genera[genus.name] = genus
    for entry in top.tables("group"):
        group = _read_group(Reader(file, f"group {entry.get('id', 'without id')}", entry, problems), genus)
        groups[group.id] = group
    for entry in top.tables("taxon"):
        reader = Reader(file, str(entry.get("id", "a taxon without id")), entry, problems)
        taxon = _read_taxon(reader, genus, known)
        if taxon.id in taxa:
            reader.complain("this id stands twice.")
        taxa[taxon.id] = taxon
    top.done()


def _read_taxon(reader: Reader, genus: Genus, known: Mapping[str, Mapping[str, Any]]) -> Taxon:
    months = reader.table.get("months", [])
    reader.taken.add("months")
    if not months or not all(isinstance(m, int) and 1 <= m <= 12 for m in months):
        reader.complain("“months” must be a list of month numbers from 1 to 12.")
        months = []
    taxon = Taxon(
        id=reader.text("id", required=True),
        name=reader.text("name", required=True),
        authority=reader.text("authority"),
        rank=reader.word("rank", RANKS, default="species", kind="rank"),
        genus=genus.name,
        family=genus.family,
        according_to=reader.text("according_to", required=True),
        synonyms=reader.texts("synonyms"),
        vernacular={lang: tuple(names) for lang, names in reader.table_of("vernacular").items()},
        regions=_read_regions(reader, known["regions"]),
        months=tuple(months),
        way_of_life=reader.texts("way_of_life", known=WAYS_OF_LIFE, kind="way of life"),
        rot=reader.word("rot", ROTS, default="none", kind="rot"),
        hazard=reader.texts("hazard", known=known["groups"], kind="hazard group"),
        hazard_words=reader.word("hazard_words", NO_HAZARD_WORDS, kind="hazard word"),
        perishes=reader.word("perishes", PERISHES, default="days", kind="word for keeping"),
        perishes_note=reader.text("perishes_note"),
        what=_read_what(reader),
        says=reader.texts("says", known=known["sentences"], kind="sentence"),
        scores=read_scores(reader, known["characters"]),
        taken_for=tuple(_read_pair(reader, pair, known["characters"]) for pair in reader.tables("taken_for")),
        basis=_read_basis(reader, known["sources"]),
        file=reader.file,
    )
    _check_taxon(reader, taxon)
    reader.done()
    return taxon


def _read_regions(reader: Reader, regions: Mapping[str, Any]) -> dict[str, Frequency]:
    found: dict[str, Frequency] = {}
    for region, word in reader.table_of("regions").items():
        if region not in regions:
            reader.problems.append(unknown(reader.file, f"{reader.where}, regions", "region", region, regions))
        elif word not in tuple(Frequency):
            reader.problems.append(
                unknown(reader.file, f"{reader.where}, regions", "frequency class", word, tuple(Frequency))
            )
        else:
            found[region] = Frequency(word)
    if not found:
        reader.complain("at least one region must be given.")
    return found


def _read_group(reader: Reader, genus: Genus) -> DeclaredGroup:
    group = DeclaredGroup(
        id=reader.text("id", required=True),
        name=reader.text("name", required=True),
        genus=genus.name,
        members=reader.texts("members"),
        why=reader.text("why", required=True),
        file=reader.file,
    )
    reader.done()
    return group


def _read_what(reader: Reader) -> dict[str, str]:
    part = Reader(reader.file, f"{reader.where}, what", reader.table_of("what"), reader.problems)
    what = {language: part.text(language) for language in LANGUAGES}
    part.done()
    return {language: words for language, words in what.items() if words}


def _read_pair(reader: Reader, entry: Table, characters: Mapping[str, Any]) -> TakenFor:
    part = Reader(reader.file, f"{reader.where}, taken_for", entry, reader.problems)
    pair = TakenFor(
        taxon=part.text("taxon", required=True),
        settle=part.texts("settle", known=characters, kind="character"),
        note=part.text("note"),
        not_here=part.word("not_here", NOT_HERE, kind="word for what it would take"),
    )
    part.done()
    return pair


def _read_basis(reader: Reader, sources: Mapping[str, Any]) -> dict[str, tuple[str, ...]]:
    part = Reader(reader.file, f"{reader.where}, basis", reader.table_of("basis"), reader.problems)
    basis = {key: part.texts(key, known=(*sources, FROM_MEMORY), kind="source") for key in BASIS_PARTS}
    part.done()
    return {key: ids for key, ids in basis.items() if ids}


def _check_taxon(reader: Reader, taxon: Taxon) -> None:
    if bool(taxon.hazard) == bool(taxon.hazard_words):
        reader.complain("either “hazard” names groups, or “hazard_words” says what we know; there is no class “none”.")
    nevers = [key for key, score in taxon.scores.items() if isinstance(score, StateScore) and score.never]
    published = [s for s in taxon.basis.get("never", ()) if s != FROM_MEMORY]
    if nevers and len(published) < 2:
        words = ", ".join(sorted({character for character, _ in nevers}))
        reader.complain(f"“never” of {words} needs two published sources in basis.never.")
