"""From rows of cells to the tables of genus files, every mistake named by its row and column."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from fruitbody.funga.cells import parse_score
from fruitbody.funga.layout import Fields, read_fields
from fruitbody.funga.model import Funga
from fruitbody.funga.problems import FungaError, Problem
from fruitbody.funga.reading import Table
from fruitbody.funga.sheet import Row, Sheet
from fruitbody.funga.taxa import read_genus_file
from fruitbody.funga.terms import plain_key

NEEDED = ("name", "according_to", "regions", "months")
NO_REGION = "at least one region must be given."
GROUP_RANKS = ("species group", "section", "genus")


@dataclass(frozen=True, slots=True)
class Filled:
    """What rows are filled with that do not say it themselves; '' where nothing is to be filled in."""

    genus: str = ""
    family: str = ""
    order: str = ""
    region: str = ""


@dataclass(frozen=True, slots=True)
class TaxonTable:
    """One taxon as a table of the TOML files, with that of its genus, and the row that it comes from."""

    row: Row
    taxon: dict[str, Any]
    genus: dict[str, Any]


def taxon_tables(sheet: Sheet, known: Funga, filled: Filled) -> list[TaxonTable]:
    """Every row as tables that a genus file can hold. Raises FungaError naming every mistake with row and column.

    known: the funga whose characters, regions, sources, hazard groups and sentences hold; its taxa are not asked.
    """
    _check_columns(sheet, filled)
    problems: list[Problem] = []
    tables = [_table(sheet, row, known, filled, problems) for row in sheet.rows]
    _check_ids(sheet, tables, problems)
    _check_genera(sheet, tables, problems)
    if problems:
        raise FungaError(dict.fromkeys(problems))
    return tables


def genus_tables(tables: Iterable[TaxonTable]) -> dict[str, dict[str, Any]]:
    """Genus name -> the table of its file."""
    files: dict[str, dict[str, Any]] = {}
    for table in tables:
        file = files.setdefault(table.genus["name"], {"genus": {}, "taxon": []})
        file["genus"] |= table.genus
        file["taxon"].append(table.taxon)
    return files


def _check_columns(sheet: Sheet, filled: Filled) -> None:
    missing = [name for name in NEEDED if name not in sheet.columns and not (name == "regions" and filled.region)]
    if not {"hazard", "hazard_words"} & sheet.columns:
        missing.append("hazard or hazard_words")
    if missing and sheet.columns:
        words = f"these columns are missing: {', '.join(missing)}."
        raise FungaError([Problem(sheet.file, "row 1", words)])


def _table(sheet: Sheet, row: Row, known: Funga, filled: Filled, problems: list[Problem]) -> TaxonTable:
    found: list[Problem] = []

    def complain(column: str, words: str) -> None:
        found.append(sheet.problem(row, column, words))

    fields = read_fields(row.fields, complain)
    if filled.region:
        fields.taxon.setdefault("regions", {filled.region: "occasional"})
    scores = {
        character: parse_score(text, known.characters[character], lambda words, c=character: complain(c, words))  # type: ignore[misc]
        for character, text in row.scores.items()
    }
    table = TaxonTable(row, {**_named(fields), "scores": scores}, _genus(fields, known, filled))
    bad = {problem.where for problem in found}
    found += (p for p in _read_as_file(sheet, table, known) if p.where not in bad)
    problems += (p for p in found if p.words != NO_REGION or [q.where for q in found].count(p.where) == 1)
    return table


def _named(fields: Fields) -> dict[str, Any]:
    """With an id made of the name where none is given."""
    name, rank = fields.taxon.get("name", ""), fields.taxon.get("rank", "")
    made = plain_key(re.sub(r"[^\w\s-]", "", name))
    tail = "-group" if rank in GROUP_RANKS and not made.endswith("-group") else ""
    return {"id": made + tail, **fields.taxon}


def _genus(fields: Fields, known: Funga, filled: Filled) -> dict[str, Any]:
    """The genus as the row says it, else as the call or our files do; its name, else the first word of the taxon's."""
    name = fields.genus.get("name") or filled.genus or next(iter(str(fields.taxon.get("name", "")).split()), "")
    ours = known.genera.get(name)
    made = {"name": name, "family": filled.family or (ours.family if ours else ""), "order": filled.order}
    if ours and not filled.order:
        made["order"] = ours.order
    if ours:
        made["species"] = dict(ours.species)
    return {**made, **{key: value for key, value in fields.genus.items() if value}}


def _read_as_file(sheet: Sheet, table: TaxonTable, known: Funga) -> list[Problem]:
    """What the reader of our own files would say of this taxon, told by row and column."""
    found: list[Problem] = []
    vocabulary: Mapping[str, Mapping[str, Any]] = {
        "characters": known.characters,
        "regions": known.regions,
        "sources": known.sources,
        "groups": known.hazard_groups,
        "sentences": known.sentences,
    }
    content: Table = {"genus": table.genus, "taxon": [table.taxon]}
    read_genus_file(sheet.file, content, vocabulary, {}, {}, {}, found)
    return [_by_row(sheet, table, problem) for problem in found]


def _by_row(sheet: Sheet, table: TaxonTable, problem: Problem) -> Problem:
    """The same problem, placed by row and column in place of the taxon's id and the field."""
    parts = problem.where.split(", ")
    if parts[0] == "genus":
        return _missing(sheet, table.row, "genus" if "“name”" in problem.words else "family", problem.words)
    if problem.words == NO_REGION:
        return _missing(sheet, table.row, "regions", problem.words)
    column, *rest = parts[1:] or [""]
    if column in ("basis", "what") and rest:
        column = f"{column}:{rest[0]}"
    quoted = re.match(r"“(\w+)” (?:is missing|must be)", problem.words)
    return sheet.problem(table.row, column or (quoted.group(1) if quoted else ""), problem.words)


def _missing(sheet: Sheet, row: Row, column: str, words: str) -> Problem:
    """A field that must be there; a file that has no place for it is told where else to say it."""
    option = f"Say --{column.removesuffix('s')}, or give a table --beside." if sheet.word == "character" else ""
    return sheet.problem(row, column, f"{words} {option}".rstrip())


def _check_ids(sheet: Sheet, tables: Iterable[TaxonTable], problems: list[Problem]) -> None:
    seen: dict[str, Row] = {}
    for table in tables:
        key = table.taxon["id"]
        if key and not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", key):
            words = f"“{key}” is no id: small letters a to z and digits, words joined by hyphens."
            problems.append(sheet.problem(table.row, "id", words))
        elif key in seen:
            problems.append(sheet.problem(table.row, "id", f"“{key}” stands in {seen[key].place} already."))
        seen.setdefault(key, table.row)


def _check_genera(sheet: Sheet, tables: Iterable[TaxonTable], problems: list[Problem]) -> None:
    """All rows of a genus say the same of it."""
    first: dict[str, TaxonTable] = {}
    for table in tables:
        name = table.genus["name"]
        if name and not re.fullmatch(r"[A-Z][^\W\d_]+([ -][^\W\d_]+)*", name):
            problems.append(sheet.problem(table.row, "genus", f"“{name}” is no name of a genus."))
        other = first.setdefault(name, table)
        for key, column in (("family", "family"), ("order", "order"), ("species", "genus_species")):
            if table.genus.get(key) != other.genus.get(key):
                words = f"“{table.genus.get(key)}” differs from {other.row.place}: a genus has one {key}."
                problems.append(sheet.problem(table.row, column, words))
