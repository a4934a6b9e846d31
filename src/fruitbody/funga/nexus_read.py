"""Reads a character matrix in NEXUS into rows: labels must be words of ours, so that nothing is guessed.

Blocks TAXA, CHARACTERS (or DATA) with DATATYPE=STANDARD or CONTINUOUS, and NOTES. A note “character = score” says more
than its place in the matrix and must agree with it. Several symbols in brackets are states that are all met with.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from fruitbody.funga.cells import parse_score
from fruitbody.funga.model import Character, CharacterKind, StateScore
from fruitbody.funga.nexus_columns import YES_NO, Column, Entry, cell_of, columns_of, entries_of
from fruitbody.funga.nexus_matrix import Matrix, read_matrix_block
from fruitbody.funga.nexus_tokens import Block, Token, blocks, mistake, options
from fruitbody.funga.problems import FungaError, Problem
from fruitbody.funga.sheet import Row, Sheet
from fruitbody.funga.terms import UnknownTermError, character_terms, find_state, nearest, plain_key

BLOCKS = ("CHARACTERS", "DATA")


@dataclass(frozen=True, slots=True)
class Note:
    """A score in the words of `cells.py`, from a NOTES block."""

    character: str
    cell: str
    line: int


@dataclass(frozen=True, slots=True)
class _Reading:
    """What one file is read with, and what was found wrong with it so far."""

    file: str
    characters: Mapping[str, Character]
    terms: Mapping[str, str]
    problems: list[Problem]

    def complain(self, line: int, words: str, *, character: str = "") -> None:
        at = f", character “{character}”" if character else ""
        self.problems.append(Problem(self.file, f"line {line}{at}", words))

    def near(self, term: str, known: Iterable[str], where: str) -> str:
        close = nearest(term, known)
        return f" The nearest {where}: {', '.join(close)}." if close else ""


def is_nexus(text: str) -> bool:
    return text.lstrip().upper().startswith("#NEXUS")


def read_nexus(file: str, text: str, characters: Mapping[str, Character]) -> Sheet:
    """The rows of a NEXUS file. Raises FungaError naming line and character of every mistake."""
    reading = _Reading(file, characters, character_terms(characters), [])
    found = blocks(file, text)
    taxa = _taxa(file, found)
    matrices = [read_matrix_block(file, block, taxa) for block in found if block.name in BLOCKS]
    if not matrices:
        raise FungaError([Problem(file, "", "it holds no block CHARACTERS or DATA with a matrix.")])
    labels = taxa or list(matrices[0].rows)
    notes = _notes(reading, found, labels)
    rows = {name: _Scores(reading) for name in labels}
    seen: set[str] = set()
    for matrix in matrices:
        _take(reading, matrix, rows, seen)
    sheet_rows = []
    for name, scores in rows.items():
        line = next((m.lines[name] for m in matrices if name in m.lines), 1)
        cells = scores.cells(notes.get(name, {}))
        sheet_rows.append(Row(f"line {line}", {"name": name, **_honest(file, name)}, cells))
    if reading.problems:
        raise FungaError(reading.problems)
    return Sheet(file, "character", tuple(sheet_rows))


def _honest(file: str, name: str) -> dict[str, str]:
    """What NEXUS cannot say, as little as the files need; `funga check` names what is missing beyond it."""
    rank = {"rank": "species group"} if name.endswith(" group") else {"rank": "genus"} if " " not in name else {}
    return {"according_to": f"not stated in {file}", "months": "1-12", "hazard_words": "unknown", **rank}


def _taxa(file: str, found: Sequence[Block]) -> list[str]:
    block = next((block for block in found if block.name == "TAXA"), None)
    command = block.command("TAXLABELS") if block else None
    if block is None or command is None:
        return []
    names = [word.name for word in command.words]
    count = options(block.command("DIMENSIONS")).get("NTAX", str(len(names)))
    if count != str(len(names)):
        raise mistake(file, command.line, f"NTAX says {count} taxa, TAXLABELS names {len(names)}.")
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise mistake(file, command.line, f"“{twice[0]}” stands twice in TAXLABELS.")
    return names


def _notes(reading: _Reading, found: Sequence[Block], labels: Sequence[str]) -> dict[str, dict[str, Note]]:
    """The notes that are scores, by taxon and character; others are for readers and passed over."""
    notes: dict[str, dict[str, Note]] = {}
    commands = [c for block in found if block.name == "NOTES" for c in block.commands if c.name == "TEXT"]
    for command in commands:
        given = options(command)
        character, equals, cell = given.get("TEXT", "").partition(" = ")
        if not equals or character not in reading.characters:
            continue
        taxon = given.get("TAXON", "")
        if taxon.isdecimal() and 1 <= int(taxon) <= len(labels):
            taxon = labels[int(taxon) - 1]
        if taxon in labels:
            notes.setdefault(taxon, {})[character] = Note(character, cell, command.line)
        else:
            reading.complain(command.line, f"the note speaks of “{taxon}”, which is no taxon here.")
    return notes


def _take(reading: _Reading, matrix: Matrix, rows: Mapping[str, _Scores], seen: set[str]) -> None:
    """Hand every entry of a matrix to the scores of its taxon. seen: labels of the columns so far."""
    columns = [_column(reading, label, states) for label, states in matrix.columns]
    for (label, _), column in zip(matrix.columns, columns, strict=True):
        if column is not None and column.label in seen:
            reading.complain(label.line, "it has a column already.", character=label.text)
        elif column is not None:
            seen.add(column.label)
    for name, entries in matrix.rows.items():
        if name not in rows:
            hint = reading.near(name, rows, "there")
            reading.complain(matrix.lines[name], f"“{name}” is no label of TAXLABELS.{hint}")
            continue
        for column, entry in zip(columns, entries, strict=True):
            if column is not None and entry is not None:
                rows[name].add(column, entry, matrix.lines[name])


def _column(reading: _Reading, label: Token, states: Sequence[Token]) -> Column | None:
    """The column that a label and its state labels stand for, its states in the order of the file."""
    terms = reading.terms
    head, _, state = label.name.partition(":")
    found = terms.get(plain_key(label.name)) or terms.get(plain_key(head))
    if found is None:
        hint = reading.near(label.name, terms, "known")
        reading.complain(label.line, f"there is no such character.{hint}", character=label.text)
        return None
    character = reading.characters[found]
    if character.kind is CharacterKind.MEASURE:
        return columns_of(character)[0]
    try:
        if state and plain_key(label.name) not in terms:
            return _yes_no(character, state, states)
        return Column(character, tuple(find_state(character, word.name) for word in states))
    except UnknownTermError as error:
        reading.complain(label.line, str(error), character=label.text)
        return None


def _yes_no(character: Character, state: str, states: Sequence[Token]) -> Column:
    """A column that asks for one state: 'host: oak' with the states absent and present, in this order."""
    for word, wanted in zip(states, YES_NO, strict=False):
        if plain_key(word.text) != wanted:
            raise UnknownTermError(f"state of “{character.plain}: {state}”", word.text, YES_NO)
    return Column(character, YES_NO, find_state(character, state))


class _Scores:
    """Gathers the columns of one taxon, then says what its cells are."""

    def __init__(self, reading: _Reading) -> None:
        self.reading, self.characters = reading, reading.characters
        self.seen: dict[str, list[tuple[Column, Entry]]] = {}
        self.ranges: dict[str, str] = {}
        self.line = 1

    def add(self, column: Column, entry: frozenset[int] | str, line: int) -> None:
        """An entry of a matrix: indices of states, or a range in the words of a cell."""
        self.line = line
        if isinstance(entry, str):
            self.ranges[column.character.id] = entry
            return
        if max(entry) >= len(column.states):
            words = f"symbol number {max(entry) + 1} stands for no state; only {len(column.states)} are labelled."
            self.reading.complain(line, words, character=column.character.id)
            return
        self.seen.setdefault(column.character.id, []).append((column, entry))

    def cells(self, notes: Mapping[str, Note]) -> dict[str, str]:
        """Character id -> cell: the note where there is one, else the range, else what the matrix says."""
        cells = {}
        for character, pairs in self.seen.items():
            said = cell_of([column for column, _ in pairs], [entry for _, entry in pairs])
            measure = self.characters[character].kind is CharacterKind.MEASURE
            if measure and character not in notes and character not in self.ranges:
                words = "a size class is no range. Give it as DATATYPE=CONTINUOUS with ITEMS=(MIN MAX), or in a note."
                self.reading.complain(self.line, words, character=character)
            if character in notes and not measure:
                self._compare(notes[character], pairs)
            cells[character] = said
        cells |= self.ranges
        cells |= {character: note.cell for character, note in notes.items()}
        return {character: cell for character, cell in cells.items() if cell}

    def _compare(self, note: Note, pairs: Sequence[tuple[Column, Entry]]) -> None:
        """A note may say more than the matrix, nothing else."""
        wrong: list[str] = []
        table = parse_score(note.cell, self.characters[note.character], wrong.append)
        if wrong:
            return  # The cell is read again with its row, and its mistakes are named there.
        staged = table if table and all(isinstance(part, dict) for part in table.values()) else {"": table}
        scores = {stage: StateScore(**{w: tuple(s) for w, s in part.items()}) for stage, part in staged.items()}
        told = entries_of([column for column, _ in pairs], scores)
        if any(said is not None and entry != said for said, (_, entry) in zip(told, pairs, strict=True)):
            self.reading.complain(note.line, "the note and the matrix name different states.", character=note.character)
