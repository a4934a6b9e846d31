"""NEXUS of others, read without a guess; what is refused is named with its line."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fruitbody import funga
from fruitbody.cli.main import main
from fruitbody.funga import matrix
from fruitbody.funga.model import MeasureScore
from fruitbody.funga.nexus_read import read_nexus
from fruitbody.funga.rows import Filled, taxon_tables
from fruitbody.funga.sheet import Sheet, joined, read_csv
from tests.funga.small import small_funga

KNOWN = funga.load()


FOREIGN = """#NEXUS
[made by hand [with a comment inside]]
begin taxa;
  dimensions ntax=2;
  taxlabels Exampla_ficta 'Exampla secunda';
end;
begin characters;
  dimensions nchar=3;
  format datatype=standard missing=? gap=- symbols="01";
  charstatelabels
    1 'kind of body' / 'cap-and-stem' shelf,
    2 hymenium / gills pores,
    3 'cap surface: scaly' / absent present;
  matrix
    Exampla_ficta     0(01)1
    'Exampla secunda' 1?-
  ;
end;
begin characters;
  dimensions nchar=1;
  format datatype=continuous items=(min max);
  charstatelabels 1 cap_width;
  matrix
    Exampla_ficta (20 40.5)
    'Exampla secunda' ?
  ;
end;
"""


def read(text: str) -> Sheet:
    return read_nexus("own.nex", text, KNOWN.characters)


def mistake(text: str) -> str:
    """The single mistake of a text."""
    with pytest.raises(funga.FungaError) as caught:
        read(text)
    (problem,) = caught.value.problems
    return str(problem)


def test_states_polymorphism_marks_and_ranges_of_another_matrix_become_cells() -> None:
    assert read(FOREIGN).rows[0].scores == {
        "form": "cap-and-stem", "hymenium": "gills|pores", "cap_surface": "scaly", "cap_width": "20–40.5 [extremes]",
    }  # fmt: skip


def test_missing_and_inapplicable_are_not_scored() -> None:
    assert read(FOREIGN).rows[1].scores == {"form": "shelf"}


def test_an_interleaved_matrix_is_read_as_the_same() -> None:
    woven = FOREIGN.replace('symbols="01"', 'symbols="01" interleave').replace(
        "Exampla_ficta     0(01)1\n    'Exampla secunda' 1?-",
        "Exampla_ficta 0(01)\n 'Exampla secunda' 1?\n Exampla_ficta 1\n 'Exampla secunda' -",
    )
    assert woven != FOREIGN
    assert [row.scores for row in read(woven).rows] == [row.scores for row in read(FOREIGN).rows]


def test_a_note_says_more_than_the_matrix() -> None:
    note = "begin notes;\n text taxon=1 character=2 text='hymenium = gills; seldom: pores';\nend;\n"
    assert read(FOREIGN + note).rows[0].scores["hymenium"] == "gills; seldom: pores"


def test_a_note_for_readers_is_passed_over() -> None:
    note = "begin notes;\n text taxon=1 text='Seen once, in the rain.';\nend;\n"
    assert read(FOREIGN + note).rows == read(FOREIGN).rows


def test_what_nexus_cannot_hold_is_filled_with_what_claims_nothing() -> None:
    (table, _) = taxon_tables(read(FOREIGN), KNOWN, Filled(family="Exemplaceae", region="na-pacific"))
    assert table.taxon["hazard_words"] == "unknown"
    assert table.taxon["according_to"] == "not stated in own.nex"
    assert table.taxon["months"] == list(range(1, 13))
    assert "basis" not in table.taxon


def test_without_a_region_and_a_family_every_line_asks_for_them() -> None:
    with pytest.raises(funga.FungaError) as caught:
        taxon_tables(read(FOREIGN), KNOWN, Filled())
    told = [str(problem) for problem in caught.value.problems]
    assert told == [
        f"own.nex: line {line}, field “{field}”: {words}"
        for line in (15, 16)
        for field, words in (
            ("family", "“family” is missing. Say --family, or give a table --beside."),
            ("regions", "at least one region must be given. Say --region, or give a table --beside."),
        )
    ]


def test_fields_from_a_table_beside_win_over_what_is_filled_in() -> None:
    beside = read_csv("beside.csv", "name,months\nExampla ficta,9\nExampla secunda,10\n", KNOWN.characters)
    assert [row.fields["months"] for row in joined(read(FOREIGN), beside).rows] == ["9", "10"]


def test_a_taxon_without_a_row_beside_and_a_row_without_a_taxon_are_both_named() -> None:
    beside = read_csv("beside.csv", "name,months\nExampla ficta,9\nExampla tertia,10\n", KNOWN.characters)
    with pytest.raises(funga.FungaError) as caught:
        joined(read(FOREIGN), beside)
    one, two = map(str, caught.value.problems)
    assert one.startswith("own.nex: line 16: Exampla secunda has no row in beside.csv.")
    assert two == "beside.csv: row 3: Exampla tertia stands in no row of own.nex."


# ---------------------------------------------------------------- what is refused, with its line


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("'kind of body'", "'kind of bodi'", "line 11, character “kind of bodi”: there is no such character"),
        ("gills pores", "gills poores", "line 12, character “hymenium”: There is no state of “what is underneath”"),
        ("absent present", "present absent", "line 13, character “cap surface: scaly”: There is no state"),
        ("surface: scaly", "surface: scalier", "line 13, character “cap surface: scalier”: There is no state"),
        ("0(01)1", "0(02)1", "line 15: Exampla ficta: “2” is none of the symbols 01"),
        ("0(01)1", "0(01)", "line 15: “Exampla ficta” has 2 entries; NCHAR says 3"),
        ("'cap-and-stem' shelf", "'cap-and-stem'", "line 16, character “form”: symbol number 2 stands for no state"),
        ("'Exampla secunda' 1?-", "'Exampla secund' 1?-", "line 16: “Exampla secund” is no label of TAXLABELS"),
        ("2 hymenium / gills pores", "2 form / cap-and-stem shelf", "line 12, character “form”: it has a column"),
        ("ntax=2", "ntax=3", "line 5: NTAX says 3 taxa, TAXLABELS names 2"),
        ("'Exampla secunda';", "Exampla_ficta;", "line 5: “Exampla ficta” stands twice in TAXLABELS"),
        ("  dimensions nchar=3;\n", "", "line 7: the block CHARACTERS does not say NCHAR in DIMENSIONS"),
        ("nchar=3", "nchar=4", "line 10: character 4 has no label"),
        ("2 hymenium /", "two hymenium /", "line 12: “two” must be the number of a character"),
        ("2 hymenium /", "2 under side /", "line 12: character 2 needs one label before “/”"),
        ("datatype=standard", "datatype=dna", "line 9: DATATYPE=DNA is not read"),
        ("gap=-", "gap=- equate=(x=0)", "line 9: EQUATE is not read"),
        (" items=(min max)", "", "line 21: a continuous matrix needs ITEMS=(MIN MAX)"),
        ("(20 40.5)", "(20 30 40)", "line 24: Exampla ficta: “20 30 40” must be a pair"),
        ("inside]]", "inside]", "line 2: a comment begins here that no “]” ends"),
        ("'Exampla secunda' ?\n", "'Exampla secunda ?\n", "line 25: a text in quotes begins here that no ' ends"),
        ("begin taxa;", "begin;", "line 3: write “BEGIN” with the name of one block"),
        ("#NEXUS\n", "#NEXUS\nmatrix;\n", "line 2: “MATRIX” stands in no block"),
    ],
)  # fmt: skip
def test_a_broken_matrix_is_named_with_its_line(old: str, new: str, words: str) -> None:
    assert old in FOREIGN
    assert words in mistake(FOREIGN.replace(old, new, 1))


def test_a_block_that_does_not_end_is_named_by_its_first_line() -> None:
    assert "line 19: the block characters has no “END;”" in mistake(FOREIGN.rstrip().removesuffix("end;"))


def test_a_block_within_a_block_is_named() -> None:
    assert "line 6: a block begins before “END;” of the one in line 3" in mistake(FOREIGN.replace("end;\n", "", 1))


def test_a_command_cut_off_is_named() -> None:
    assert "has no semicolon at its end" in mistake(FOREIGN.rstrip().removesuffix(";"))


def test_a_file_without_a_matrix_is_named() -> None:
    assert mistake("#NEXUS\nbegin trees; end;\n") == "own.nex: it holds no block CHARACTERS or DATA with a matrix."


def test_a_note_that_contradicts_the_matrix_is_named() -> None:
    note = "begin notes;\n text taxon=1 character=1 text='form = shelf';\nend;\n"
    assert "line 29, character “form”: the note and the matrix name different states" in mistake(FOREIGN + note)


def test_a_note_on_a_taxon_that_is_not_there_is_named() -> None:
    note = "begin notes;\n text taxon=9 text='form = shelf';\nend;\n"
    assert "line 29: the note speaks of “9”, which is no taxon here" in mistake(FOREIGN + note)


def test_size_classes_without_a_note_are_no_range() -> None:
    classes = FOREIGN.replace("2 hymenium / gills pores", "2 cap_width / small large")
    assert "character “cap_width”: a size class is no range" in mistake(
        classes.split("begin characters;\n  dimensions nchar=1")[0]
    )


def files_named(text: str) -> set[str]:
    """The files that the mistakes of a text are told with; none where there is no mistake."""
    try:
        taxon_tables(read(text), KNOWN, Filled(family="Exemplaceae", region="na-pacific"))
    except funga.FungaError as error:
        return {problem.file for problem in error.problems}
    return set()


BODY = FOREIGN.removeprefix("#NEXUS")


@given(st.integers(0, len(BODY)), st.integers(0, 40), st.text(alphabet="();[]'\"/,=?-01 \nab_:", max_size=6))
def test_however_a_file_is_spoilt_it_is_read_or_refused_with_its_name(start: int, cut: int, put: str) -> None:
    assert files_named("#NEXUS" + BODY[:start] + put + BODY[start + cut :]) <= {"own.nex"}


# ---------------------------------------------------------------- the terminal


def test_the_terminal_imports_nexus(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    ours = small_funga(tmp_path)
    monkeypatch.setattr(matrix, "DATA", ours)
    path = tmp_path / "own.nex"
    path.write_text(FOREIGN, encoding="utf-8")
    words = ["funga", "import", str(path), "--into", str(tmp_path / "clinic"), "--family", "Exemplaceae"]
    assert main([*words, "--order", "Agaricales", "--region", "na-pacific"]) == 0
    assert "exampla-ficta: the basis of “range” is missing" in capsys.readouterr().out
    known = funga.load_from(ours, (tmp_path / "clinic",))
    assert known.taxa["exampla-ficta"].scores["cap_width", ""] == MeasureScore(20, 40.5, convention="extremes")
