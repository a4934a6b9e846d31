"""Our own taxa, written as a table and imported again: nothing is lost on the way."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fruitbody import funga
from fruitbody.funga.cells import parse_score, score_cell
from fruitbody.funga.csv_export import csv_text
from fruitbody.funga.files import read_files
from fruitbody.funga.genus_toml import genus_text
from fruitbody.funga.load import DATA, assemble
from fruitbody.funga.model import Funga, MeasureScore, StateScore
from fruitbody.funga.rows import Filled, genus_tables, taxon_tables
from fruitbody.funga.sheet import read_csv

KNOWN = funga.load()


@pytest.fixture(scope="module")
def back() -> Funga:
    """Our own taxa after export to CSV, import and the writing of TOML, read by our own reader."""
    bare = replace(KNOWN, taxa={}, genera={})
    sheet = read_csv("ours.csv", csv_text(KNOWN), KNOWN.characters)
    files = genus_tables(taxon_tables(sheet, bare, Filled()))
    written = {f"own/taxa/{genus}.toml": tomllib.loads(genus_text(content)) for genus, content in files.items()}
    ours = {name: content for name, content in read_files(DATA, []).items() if not name.startswith("taxa/")}
    problems: list[funga.Problem] = []
    found = assemble(ours, written, "", problems)
    assert problems == []
    return found


@pytest.mark.parametrize("key", KNOWN.taxa)
def test_a_taxon_of_ours_comes_back_from_the_table_as_it_went(back: Funga, key: str) -> None:
    assert replace(back.taxa[key], file="") == replace(KNOWN.taxa[key], file="")


def test_the_table_brings_back_every_taxon_and_no_other(back: Funga) -> None:
    assert set(back.taxa) == set(KNOWN.taxa)


def test_genera_come_back_with_their_family_order_and_numbers_of_species(back: Funga) -> None:
    assert {n: replace(g, file="") for n, g in back.genera.items()} == {
        n: replace(g, file="") for n, g in KNOWN.genera.items()
    }


COLOUR, WIDTH = KNOWN.characters["cap_colour"], KNOWN.characters["cap_width"]
STAGES = st.sampled_from([("",), ("young",), ("young", "mature"), ("young", "mature", "past")])


@st.composite
def state_scores(draw: st.DrawFn) -> dict[str, StateScore]:
    scores = {}
    for stage in draw(STAGES):
        states = draw(st.lists(st.sampled_from(COLOUR.state_ids), min_size=1, unique=True))
        words = draw(st.lists(st.sampled_from(["mostly", "at_times", "seldom", "never"]), min_size=len(states)))
        score = {w: tuple(s for s, v in zip(states, words, strict=False) if v == w) for w in dict.fromkeys(words)}
        scores[stage] = StateScore(**score)
    return scores


@given(state_scores())
def test_any_score_of_states_comes_back_from_its_cell(scores: dict[str, StateScore]) -> None:
    wrong: list[str] = []
    read = parse_score(score_cell(scores, COLOUR), COLOUR, wrong.append)
    staged = read if "" not in scores else {"": read}
    assert wrong == []
    assert {stage: StateScore(**{w: tuple(s) for w, s in part.items()}) for stage, part in staged.items()} == scores


@given(
    st.lists(st.floats(0.001, 1e6), min_size=4, max_size=4).map(sorted),
    st.sampled_from(["unstated", "5-95", "extremes"]),
    st.booleans(),
    st.booleans(),
)
def test_any_range_comes_back_from_its_cell(ends: list[float], convention: str, least: bool, most: bool) -> None:
    score = MeasureScore(ends[1], ends[2], ends[0] if least else None, ends[3] if most else None, convention)
    wrong: list[str] = []
    read = parse_score(score_cell({"": score}, WIDTH), WIDTH, wrong.append)
    assert wrong == []
    assert MeasureScore(**read) == score
