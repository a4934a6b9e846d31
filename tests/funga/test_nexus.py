"""NEXUS: written by us and read by two libraries that know nothing of us, and read back without loss.

Format: Maddison, Swofford and Maddison 1997, Systematic Biology 46: 590–621.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from io import StringIO
from typing import Any

import dendropy
import pytest
from Bio.Nexus.Nexus import Nexus
from hypothesis import given
from hypothesis import strategies as st

from fruitbody import funga
from fruitbody.cli.main import main
from fruitbody.funga.cells import parse_score, scores_by_character
from fruitbody.funga.csv_export import csv_text
from fruitbody.funga.model import CharacterKind, MeasureScore, StateScore
from fruitbody.funga.nexus import inapplicable, nexus_text
from fruitbody.funga.nexus_columns import SYMBOLS, cell_of, columns_of, entries_of
from fruitbody.funga.nexus_read import read_nexus
from fruitbody.funga.rows import Filled, taxon_tables
from fruitbody.funga.sheet import joined, read_csv

KNOWN = funga.load()
TEXT = nexus_text(KNOWN)
DEATH_CAP = KNOWN.taxa["amanita-phalloides"]
COLUMNS = [column for c in KNOWN.characters.values() if c.kind is not CharacterKind.STAGE for column in columns_of(c)]


def place(label: str) -> int:
    """Where the column of this label stands, from 0."""
    return [column.label for column in COLUMNS].index(label)


# ---------------------------------------------------------------- read by others


@cache
def by_dendropy() -> dict[str, list[set[str]]]:
    matrix = dendropy.StandardCharacterMatrix.get(data=TEXT, schema="nexus")
    return {
        taxon.label: [
            {state.symbol} if state.symbol else {s.symbol for s in state.member_states} for state in matrix[taxon]
        ]
        for taxon in matrix
    }


@cache
def by_biopython() -> Any:
    return Nexus(StringIO(TEXT))


def test_both_find_every_taxon() -> None:
    names = [taxon.name for taxon in KNOWN.taxa.values()]
    assert list(by_dendropy()) == names
    assert [name.replace("_", " ").strip("'") for name in by_biopython().taxlabels] == names


def test_both_find_as_many_characters_as_there_are_columns() -> None:
    assert {len(row) for row in by_dendropy().values()} == {len(COLUMNS)}
    assert by_biopython().nchar == len(COLUMNS)


def test_labels_of_characters_and_states_are_read_as_ours() -> None:
    read = by_biopython()
    assert [read.charlabels[n] for n in range(read.nchar)] == [column.label for column in COLUMNS]
    assert [tuple(read.statelabels[n]) for n in range(read.nchar)] == [column.states for column in COLUMNS]


@pytest.mark.parametrize("taxon", KNOWN.taxa.values(), ids=lambda t: t.id)
def test_the_symbols_that_another_library_reads_stand_for_our_states(taxon: funga.Taxon) -> None:
    row = by_dendropy()[taxon.name]
    for key, stages in scores_by_character(taxon).items():
        character = KNOWN.characters[key]
        if character.kind is not CharacterKind.STATES or len(character.states) > len(SYMBOLS):
            continue
        possible = {
            state
            for score in stages.values()
            if isinstance(score, StateScore)
            for state in (*score.mostly, *score.at_times, *score.seldom)
        }
        symbols = {SYMBOLS[character.state_ids.index(state)] for state in possible}
        assert row[place(key)] == (symbols or {"?"}), key


def test_both_read_the_same_symbols() -> None:
    for name, row in by_biopython().matrix.items():
        symbols = [set(entry.strip("()")) for entry in re.findall(r"\(\w+\)|.", str(row))]
        assert by_dendropy()[name.replace("_", " ").strip("'")] == symbols


def test_a_mark_is_a_column_of_its_own() -> None:
    mark = next(c for c in KNOWN.characters.values() if c.kind is CharacterKind.MARKS)
    assert [column.label for column in COLUMNS if column.character is mark] == [
        f"{mark.id}: {state}" for state in mark.state_ids
    ]


def test_what_is_not_scored_is_a_question_mark_and_what_cannot_be_there_a_gap() -> None:
    scores = scores_by_character(DEATH_CAP)
    for character in KNOWN.characters.values():
        if character.kind is not CharacterKind.STAGE and character.id not in scores:
            wanted = "-" if inapplicable(KNOWN, character, scores) else "?"
            assert by_dendropy()[DEATH_CAP.name][place(columns_of(character)[0].label)] == {wanted}


def test_pores_are_a_gap_in_a_kind_with_gills() -> None:
    assert by_dendropy()[DEATH_CAP.name][place("pore_shape")] == {"-"}


def test_a_size_class_holds_the_size() -> None:
    column = columns_of(KNOWN.characters["spore_length"])[0]
    assert len(column.states) <= len(SYMBOLS)
    for low, high, labels in ((9.0, 9.5, ["8-10 um"]), (8.0, 10.0, ["8-10 um"]), (7.0, 9.0, ["6.3-8 um", "8-10 um"])):
        (entry,) = entries_of([column], {"": MeasureScore(low, high)})
        assert [column.states[index] for index in sorted(entry or ())] == labels


@pytest.mark.parametrize("key", [c.id for c in KNOWN.characters.values() if c.kind is CharacterKind.MEASURE])
def test_no_measure_has_more_size_classes_than_there_are_symbols(key: str) -> None:
    assert 2 <= len(columns_of(KNOWN.characters[key])[0].states) <= len(SYMBOLS)


# ---------------------------------------------------------------- there and back


@cache
def back() -> dict[str, Any]:
    """Taxon id -> its table, after export to NEXUS with a table of the fields beside it, and import."""
    fields = read_csv("ours.csv", csv_text(KNOWN), KNOWN.characters)
    beside = replace(fields, rows=tuple(replace(row, scores={}) for row in fields.rows))
    sheet = joined(read_nexus("ours.nex", TEXT, KNOWN.characters), beside)
    return {
        table.taxon["id"]: table.taxon for table in taxon_tables(sheet, replace(KNOWN, taxa={}, genera={}), Filled())
    }


@cache
def through_csv() -> dict[str, Any]:
    sheet = read_csv("ours.csv", csv_text(KNOWN), KNOWN.characters)
    return {t.taxon["id"]: t.taxon for t in taxon_tables(sheet, replace(KNOWN, taxa={}, genera={}), Filled())}


@pytest.mark.parametrize("key", KNOWN.taxa)
def test_a_taxon_of_ours_comes_back_from_nexus_as_it_went(key: str) -> None:
    """As from the CSV table, of which test_matrix_back.py shows that it loses nothing."""
    assert back()[key] == through_csv()[key]


def test_a_note_is_written_only_where_the_matrix_says_less() -> None:
    notes = set(re.findall(r"TAXON=(\d+) CHARACTER=\d+ TEXT='(\w+) = ", TEXT))
    for number, taxon in enumerate(KNOWN.taxa.values(), start=1):
        for key, stages in scores_by_character(taxon).items():
            plain = [
                s for s in stages.values() if isinstance(s, StateScore) and not (s.at_times or s.seldom or s.never)
            ]
            if (
                "" in stages
                and plain
                and KNOWN.characters[key].kind is CharacterKind.STATES
                and len(plain[0].mostly) == 1
            ):
                assert (str(number), key) not in notes


COLOUR = KNOWN.characters["cap_colour"]


@given(st.lists(st.sampled_from(COLOUR.state_ids), min_size=1, unique=True))
def test_states_that_are_all_usual_need_no_note(states: list[str]) -> None:
    columns = columns_of(COLOUR)
    score = StateScore(mostly=tuple(s for s in COLOUR.state_ids if s in states))
    cell = cell_of(columns, entries_of(columns, {"": score}))
    assert parse_score(cell, COLOUR, pytest.fail) == {"mostly": list(score.mostly)}


# ---------------------------------------------------------------- the terminal


def test_the_terminal_prints_nexus(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["funga", "export", "--as", "nexus"]) == 0
    assert capsys.readouterr().out == TEXT
