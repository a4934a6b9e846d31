"""Writes the funga as NEXUS: taxa, a matrix of standard characters, and notes for what a matrix cannot say.

Format: Maddison, D. R., Swofford, D. L. and Maddison, W. P. 1997. NEXUS: an extensible file format for systematic
information. Systematic Biology 46: 590–621. Several states in round brackets are all met with in the taxon; `-` is a
part that the taxon has not; `?` is not scored. Frequency words, stages and ranges stand in NOTES, in the words of
`cells.py`, wherever the matrix alone would say less than the funga.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import accumulate

from fruitbody.funga.cells import score_cell, scores_by_character
from fruitbody.funga.model import Character, CharacterKind, Funga, Score, StateScore
from fruitbody.funga.nexus_columns import SYMBOLS, Column, Entry, cell_of, columns_of, entries_of

HEAD = """#NEXUS
[Funga of Fruitbody, {digest}. Symbols in round brackets: all of them are met with. ?: not scored. -: a part that the
taxon has not. Sizes are classes; ranges, frequency words and stages stand in NOTES as “character = score”.
This does not say whether any mushroom is safe to eat.]
"""
Columns = Mapping[str, Sequence[Column]]
"""Character id -> its columns."""


def nexus_text(known: Funga) -> str:
    """Every taxon and every character but the stage, as one NEXUS file."""
    columns = {c.id: columns_of(c) for c in known.characters.values() if c.kind is not CharacterKind.STAGE}
    lines = [HEAD.format(digest=known.digest[:12]).rstrip(), *_taxa(known), *_characters(known, columns)]
    return "\n".join([*lines, *_notes(known, columns)]) + "\n"


def token(text: str) -> str:
    """A word as NEXUS has it: in single quotes where it holds more than letters, digits, points and underscores."""
    return text if re.fullmatch(r"[A-Za-z0-9_.]+", text) else "'" + text.replace("'", "''") + "'"


def _taxon_token(name: str) -> str:
    """Outside quotes a blank is written as an underscore, which NEXUS takes for the same."""
    return name.replace(" ", "_") if re.fullmatch(r"[A-Za-z0-9. ]+", name) else token(name)


def _taxa(known: Funga) -> Iterator[str]:
    yield "BEGIN TAXA;"
    yield f"  DIMENSIONS NTAX={len(known.taxa)};"
    yield "  TAXLABELS"
    yield from (f"    {_taxon_token(taxon.name)}" for taxon in known.taxa.values())
    yield "  ;"
    yield "END;"


def _characters(known: Funga, columns: Columns) -> Iterator[str]:
    flat = [column for of_one in columns.values() for column in of_one]
    yield "BEGIN CHARACTERS;"
    yield f"  DIMENSIONS NCHAR={len(flat)};"
    yield f'  FORMAT DATATYPE=STANDARD MISSING=? GAP=- SYMBOLS="{SYMBOLS}";'
    yield "  CHARSTATELABELS"
    for number, column in enumerate(flat, start=1):
        states = " ".join(token(state) for state in column.states)
        yield f"    {number} {token(column.label)} / {states}{',' if number < len(flat) else ''}"
    yield "  ;"
    yield "  MATRIX"
    for taxon in known.taxa.values():
        scores = scores_by_character(taxon)
        row = "".join(_symbols(known, character, scores, columns[character]) for character in columns)
        yield f"    {_taxon_token(taxon.name)} {row}"
    yield "  ;"
    yield "END;"


def _symbols(known: Funga, character: str, scores: Mapping[str, Mapping[str, Score]], columns: Sequence[Column]) -> str:
    if character in scores:
        return "".join(_symbol(entry) for entry in entries_of(columns, scores[character]))
    return ("-" if inapplicable(known, known.characters[character], scores) else "?") * len(columns)


def _symbol(entry: Entry) -> str:
    if entry is None:
        return "?"
    symbols = "".join(SYMBOLS[index] for index in sorted(entry))
    return symbols if len(symbols) == 1 else f"({symbols})"


def inapplicable(known: Funga, character: Character, scores: Mapping[str, Mapping[str, Score]]) -> bool:
    """Whether a character cannot be asked of a taxon, because what it depends on never enables it there."""
    if not character.parent:
        return False
    if character.parent not in scores:
        return inapplicable(known, known.characters[character.parent], scores)
    parents = [score for score in scores[character.parent].values() if isinstance(score, StateScore)]
    possible = {state for score in parents for state in (*score.mostly, *score.at_times, *score.seldom)}
    return bool(possible) and not possible & set(character.enabled_by)


def _notes(known: Funga, columns: Columns) -> Iterator[str]:
    """A note wherever the matrix read alone would give another score than the funga holds."""
    ends = accumulate(len(of_one) for of_one in columns.values())
    first = {character: end - len(columns[character]) + 1 for character, end in zip(columns, ends, strict=True)}
    yield "BEGIN NOTES;"
    for number, taxon in enumerate(known.taxa.values(), start=1):
        for character, stages in scores_by_character(taxon).items():
            cell = score_cell(stages, known.characters[character])
            if character in columns and cell != cell_of(columns[character], entries_of(columns[character], stages)):
                words = f"{character} = {cell}".replace("–", "-").replace("µ", "u")
                yield f"  TEXT TAXON={number} CHARACTER={first[character]} TEXT={token(words)};"
    yield "END;"
