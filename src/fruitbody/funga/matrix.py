"""Import of a character matrix: a clinic adds its region's taxa from a table, without touching code or our files.

A table in our CSV layout or a NEXUS file becomes TOML files, one per genus, in a folder of the clinic's own. Either
everything is in order and all of it is written, or every mistake is named and nothing is.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from fruitbody.funga.files import own_folders, read_files, read_own
from fruitbody.funga.genus_toml import genus_text
from fruitbody.funga.load import DATA, assemble
from fruitbody.funga.model import Character, Funga
from fruitbody.funga.nexus_read import is_nexus, read_nexus
from fruitbody.funga.problems import FungaError, Problem
from fruitbody.funga.reading import Table
from fruitbody.funga.rows import Filled, TaxonTable, genus_tables, taxon_tables
from fruitbody.funga.sheet import Sheet, decoded, joined, read_csv


@dataclass(frozen=True, slots=True)
class Plan:
    """An import without mistakes, not written yet. texts: what each file will hold; known: ours with the new taxa."""

    sheet: Sheet
    tables: tuple[TaxonTable, ...]
    texts: Mapping[Path, str]
    known: Funga

    @property
    def taxa(self) -> tuple[str, ...]:
        return tuple(table.taxon["id"] for table in self.tables)

    def concerning(self, remarks: Iterable[Problem]) -> list[Problem]:
        """Those of the remarks that speak of a new taxon."""
        files = set(map(str, self.texts))
        return [r for r in remarks if r.file in files or any(taxon in r.words for taxon in self.taxa)]


def plan_import(
    path: Path, into: Path, *, filled: Filled | None = None, beside: Path | None = None, replace: bool = False
) -> Plan:
    """What would come of a CSV or NEXUS file: `into`/taxa, a file per genus. Nothing is written.

    filled: what rows that do not say it are filled with. beside: a CSV file in our layout with the fields that NEXUS
    cannot hold. replace: whether files that are there already may be replaced. Raises FungaError naming every mistake.
    """
    ours, own, known = _before(into)
    sheet = read_sheet(path, known.characters, beside=beside)
    tables = taxon_tables(sheet, known, filled or Filled())
    texts = {into / "taxa" / file_name(genus): genus_text(table) for genus, table in genus_tables(tables).items()}
    _check_new(sheet, tables, known, set(texts), replace=replace)
    problems: list[Problem] = []
    new = {str(target): tomllib.loads(text) for target, text in texts.items()}
    targets = {target.resolve() for target in texts}
    kept = {name: table for name, table in own.items() if Path(name).resolve() not in targets}
    merged = assemble(ours, {**kept, **new}, "not kept", problems)
    if problems:
        raise FungaError(_by_row(sheet, tables, new, problem) for problem in problems)
    return Plan(sheet, tuple(tables), texts, merged)


def write(plan: Plan) -> None:
    """Write the files of a plan: all beside their places first, then each into its place. Raises OSError."""
    halves = {target: target.with_name(f".{target.name}.half") for target in plan.texts}
    try:
        for target, half in halves.items():
            target.parent.mkdir(parents=True, exist_ok=True)
            half.write_text(plan.texts[target], encoding="utf-8")
        for target, half in halves.items():
            half.replace(target)
    finally:
        for half in halves.values():
            half.unlink(missing_ok=True)


def read_sheet(path: Path, characters: Mapping[str, Character], *, beside: Path | None = None) -> Sheet:
    """The rows of a file in our CSV layout or in NEXUS. Raises FungaError where it is neither."""
    text = decoded(path.name, path.read_bytes())
    sheet = (read_nexus if is_nexus(text) else read_csv)(path.name, text, characters)
    if beside is None:
        return sheet
    return joined(sheet, read_csv(beside.name, decoded(beside.name, beside.read_bytes()), characters))


def file_name(genus: str) -> str:
    """The name of the file of a genus."""
    return f"{genus.casefold().replace(' ', '-')}.toml"


def _before(into: Path) -> tuple[dict[str, Table], dict[str, Table], Funga]:
    """Our files, the clinic's files, and the funga that they make before the import."""
    problems: list[Problem] = []
    here = {folder.resolve() for folder in own_folders()}
    folders = [*own_folders(), *([into] if into.resolve() not in here and (into / "taxa").is_dir() else [])]
    ours, own = read_files(DATA, problems), read_own(folders, problems)
    known = assemble(ours, own, "not kept", problems)
    if problems:
        raise FungaError(problems)
    return ours, own, known


def _check_new(sheet: Sheet, tables: list[TaxonTable], known: Funga, targets: set[Path], *, replace: bool) -> None:
    """No taxon takes an id that is taken, no file is replaced unasked."""
    files = {target.resolve() for target in targets}
    problems = []
    for table in tables:
        there = known.taxa.get(table.taxon["id"])
        if there and Path(there.file).resolve() not in files:
            words = f"“{there.id}” stands in {there.file} already; a kind of your own needs an id of its own."
            problems.append(sheet.problem(table.row, "id", words))
    for target in sorted(targets):
        if target.exists() and not replace:
            words = f"{target} is there already. Move it away, or say --replace to write it anew."
            problems.append(Problem(sheet.file, "", words))
    if problems:
        raise FungaError(problems)


def _by_row(sheet: Sheet, tables: list[TaxonTable], new: Mapping[str, Table], problem: Problem) -> Problem:
    """A problem of a file that is not written yet, told by the row that it comes from."""
    rows = {table.taxon["id"]: table.row for table in tables}
    taxon = problem.where.split(", ")[0]
    if problem.file not in new:
        return problem
    if taxon in rows:
        return sheet.problem(rows[taxon], "taken_for" if problem.words.startswith("taken for") else "", problem.words)
    return Problem(sheet.file, problem.where, problem.words)
