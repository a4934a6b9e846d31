"""A table of taxa before its cells are read: rows of field cells and score cells, and where each of them stood.

Reads our CSV layout; `nexus_read.py` makes the same from NEXUS.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from fruitbody.funga.layout import CHARACTER, FIELDS
from fruitbody.funga.model import Character
from fruitbody.funga.problems import FungaError, Problem
from fruitbody.funga.terms import character_terms, nearest, plain_key

MOST_BYTES = 50_000_000


@dataclass(frozen=True, slots=True)
class Row:
    """One taxon. place: where it stands, like 'row 3'; fields: cells by column; scores: cells by character id."""

    place: str
    fields: Mapping[str, str]
    scores: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Sheet:
    """All rows of a file. word: what a part of a row is called there; shown: field or character id as headed there."""

    file: str
    word: str
    rows: tuple[Row, ...]
    columns: frozenset[str] = frozenset()
    shown: Mapping[str, str] = field(default_factory=dict)

    def problem(self, row: Row, column: str, words: str) -> Problem:
        """What is wrong with a cell, with file, row and column; of a row as a whole where column is ''."""
        word = "field" if self.word == "character" and column in FIELDS else self.word
        at = f", {word} “{self.shown.get(column, column)}”" if column else ""
        return Problem(self.file, row.place + at, words)


def decoded(file: str, content: bytes) -> str:
    """The text of a file. Raises FungaError where it is none."""
    if len(content) > MOST_BYTES:
        raise FungaError([Problem(file, "", f"it is larger than {MOST_BYTES // 1_000_000} MB.")])
    if b"\0" in content:
        raise FungaError([Problem(file, "", "it is no text. Save the table as CSV in UTF-8, or give a NEXUS file.")])
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        words = f"byte {error.start} is not UTF-8. Save the file as UTF-8 text and try again."
        raise FungaError([Problem(file, "", words)]) from error
    if not text.strip():
        raise FungaError([Problem(file, "", "it is empty.")])
    return text


def read_csv(file: str, text: str, characters: Mapping[str, Character]) -> Sheet:
    """The rows of a table in our layout. Raises FungaError naming every heading and row that does not fit it."""
    try:
        records = list(csv.reader(io.StringIO(text), delimiter=_separator(text), strict=True))
    except csv.Error as error:
        raise FungaError([Problem(file, "", f"it cannot be read as CSV: {error}.")]) from error
    problems: list[Problem] = []
    headings = [heading.strip() for heading in records[0]]
    columns = _columns(file, headings, characters, problems)
    if problems:
        raise FungaError(problems)
    rows = [
        _row(file, number, record, columns, problems)
        for number, record in enumerate(records[1:], start=2)
        if any(cell.strip() for cell in record)
    ]
    if not rows:
        problems.append(Problem(file, "", "it holds no taxa below its headings."))
    if problems:
        raise FungaError(problems)
    shown = {name: headings[index] for index, (_, name) in columns.items()}
    return Sheet(file, "column", tuple(rows), frozenset(shown), shown)


def _separator(text: str) -> str:
    first = text.split("\n", 1)[0]
    return max(",;\t", key=first.count)


def _columns(
    file: str, headings: Sequence[str], characters: Mapping[str, Character], problems: list[Problem]
) -> dict[int, tuple[str, str]]:
    """Index of a column -> ('field' or 'score', field or character id). Columns without a heading are passed over."""
    fields = {plain_key(name): name for name in FIELDS}
    terms = character_terms(characters)
    found: dict[int, tuple[str, str]] = {}
    for index, heading in enumerate(headings):
        key = plain_key(heading)
        bare = plain_key(heading.removeprefix(CHARACTER))
        where = f"row 1, column {index + 1}"
        if not heading:
            continue
        if key in fields:
            found[index] = ("field", fields[key])
        elif bare in terms:
            found[index] = ("score", terms[bare])
        else:
            close = nearest(heading, (*fields, *terms))
            hint = f" The nearest known: {', '.join(close)}." if close else ""
            problems.append(Problem(file, where, f"“{heading}” is neither a field nor a character.{hint}"))
            continue
        if list(found.values()).count(found[index]) > 1:
            problems.append(
                Problem(file, where, f"“{heading}” stands for {found[index][1]}, which has a column already.")
            )
    return found


def _row(
    file: str, number: int, record: Sequence[str], columns: Mapping[int, tuple[str, str]], problems: list[Problem]
) -> Row:
    cells: dict[str, dict[str, str]] = {"field": {}, "score": {}}
    for index, cell in enumerate(record):
        if not cell.strip():
            continue
        if index in columns:
            kind, name = columns[index]
            cells[kind][name] = cell.strip()
        else:
            words = f"“{cell.strip()}” stands under no heading. Is a separator too many, or a quote missing?"
            problems.append(Problem(file, f"row {number}, column {index + 1}", words))
    return Row(f"row {number}", cells["field"], cells["score"])


def joined(scores: Sheet, beside: Sheet) -> Sheet:
    """Scores from one file, fields from another, matched by name or id. Raises FungaError naming every taxon alone."""
    fields = {plain_key(row.fields.get(by, "")): row for by in ("name", "id") for row in beside.rows}
    fields.pop("", None)
    rows, used, problems = [], set(), []
    for row in scores.rows:
        found = fields.get(plain_key(row.fields["name"])) or fields.get(plain_key(row.fields.get("id", "")))
        if found is None:
            close = nearest(row.fields["name"], fields)
            hint = f" The nearest there: {', '.join(close)}." if close else ""
            problems.append(Problem(scores.file, row.place, f"{row.fields['name']} has no row in {beside.file}.{hint}"))
            continue
        used.add(found.place)
        own = {
            name: cell
            for name, cell in row.fields.items()
            if not (name == "hazard_words" and found.fields.get("hazard"))
        }
        rows.append(replace(row, fields={**own, **found.fields}, scores={**row.scores, **found.scores}))
    for row in beside.rows:
        if row.place not in used:
            name = row.fields.get("name") or row.fields.get("id", "")
            problems.append(Problem(beside.file, row.place, f"{name} stands in no row of {scores.file}."))
    if problems:
        raise FungaError(problems)
    return replace(scores, rows=tuple(rows), columns=scores.columns | beside.columns)
