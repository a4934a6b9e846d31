"""Import of a character matrix from our CSV layout: what it takes and what it refuses."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fruitbody import funga
from fruitbody.cli.main import main
from fruitbody.funga import matrix
from fruitbody.funga.layout import FIELDS
from fruitbody.funga.matrix import plan_import, read_sheet, write
from fruitbody.funga.model import CharacterKind
from fruitbody.funga.rows import Filled, TaxonTable, taxon_tables
from fruitbody.funga.sheet import read_csv
from tests.funga.small import small_funga

KNOWN = funga.load()
GOOD = {
    "name": "Exampla ficta", "authority": "Exemplar", "family": "Exemplaceae", "order": "Agaricales",
    "according_to": "Exemplar 2026", "regions": "na-pacific: common", "months": "9-11",
    "way_of_life": "soil saprotroph", "hazard_words": "unknown", "what:en": "A made-up kind.",
    "what:es": "Una especie inventada.", "basis:names": "from memory", "form": "cap-and-stem", "hymenium": "gills",
    "cap_width": "20–40",
}  # fmt: skip


def table(*rows: dict[str, str]) -> str:
    """CSV with these rows; headings in the order in which they first come."""
    headings = list(dict.fromkeys(key for row in rows for key in row))
    written = io.StringIO()
    sheet = csv.DictWriter(written, headings, restval="", lineterminator="\n")
    sheet.writeheader()
    sheet.writerows(rows)
    return written.getvalue()


def tables(*rows: dict[str, str], filled: Filled = Filled()) -> list[TaxonTable]:  # noqa: B008
    return taxon_tables(read_csv("own.csv", table(*rows), KNOWN.characters), KNOWN, filled)


def taken(**changes: str) -> TaxonTable:
    """What comes of the good row with these changes."""
    (found,) = tables({**GOOD, **changes})
    return found


def mistakes(*rows: dict[str, str]) -> list[str]:
    with pytest.raises(funga.FungaError) as caught:
        tables(*rows)
    return [str(problem) for problem in caught.value.problems]


def mistake(**changes: str) -> str:
    """The single mistake of the good row with these changes; it must not set off others."""
    (found,) = mistakes({**GOOD, **changes})
    return found


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return small_funga(tmp_path_factory.mktemp("ours"))


@pytest.fixture
def ours(small: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A small funga in place of the whole, for the commands that read all files."""
    monkeypatch.setattr(matrix, "DATA", small)
    return small


@pytest.fixture
def own(tmp_path: Path) -> Path:
    path = tmp_path / "own.csv"
    path.write_text(table(GOOD), encoding="utf-8")
    return path


# ---------------------------------------------------------------- what people may write


@pytest.mark.parametrize("text", ["(4–) 6–12 (–15)", "(4-)6-12(-15) mm", "(4 –) 6 – 12 (– 15)  mm"])
def test_a_range_is_read_with_any_dash_and_with_or_without_its_unit(text: str) -> None:
    assert taken(cap_width=text).taxon["scores"]["cap_width"] == {"min": 4, "low": 6, "high": 12, "max": 15}


def test_frequency_words_are_read_and_the_first_states_are_mostly() -> None:
    score = taken(cap_colour="white|cream; at times: yellow; seldom: pink").taxon["scores"]["cap_colour"]
    assert score == {"mostly": ["white", "cream"], "at_times": ["yellow"], "seldom": ["pink"]}


def test_a_score_by_stage_is_read() -> None:
    score = taken(gill_colour="young: white // mature: brown; at times: pink").taxon["scores"]["gill_colour"]
    assert score == {"young": {"mostly": ["white"]}, "mature": {"mostly": ["brown"], "at_times": ["pink"]}}


def test_characters_and_states_may_be_called_by_their_plain_names() -> None:
    renamed = {"kind of body" if key == "form" else key: cell for key, cell in GOOD.items()}
    (found,) = tables({**renamed, "kind of body": KNOWN.characters["form"].states[0].plain})
    assert found.taxon["scores"]["form"] == {"mostly": [KNOWN.characters["form"].states[0].id]}


def test_an_empty_cell_is_not_scored() -> None:
    assert "cap_colour" not in taken(cap_colour=" ").taxon["scores"]


def test_months_may_run_over_the_turn_of_the_year() -> None:
    assert taken(months="11-2").taxon["months"] == [11, 12, 1, 2]


def test_a_pair_is_read_with_its_characters_and_its_note() -> None:
    (pair,) = taken(taken_for="amanita-phalloides: volva+smell = No sac at the foot.").taxon["taken_for"]
    assert pair == {"taxon": "amanita-phalloides", "settle": ["volva", "smell"], "note": "No sac at the foot."}


def test_an_id_and_a_genus_are_made_of_the_name() -> None:
    found = taken(rank="species group", name="Exampla ficta group")
    assert (found.taxon["id"], found.genus["name"]) == ("exampla-ficta-group", "Exampla")


def test_a_genus_of_ours_brings_its_family_and_order() -> None:
    (found,) = tables({k: v for k, v in GOOD.items() if k not in ("family", "order")} | {"name": "Amanita ficta"})
    assert (found.genus["family"], found.genus["order"]) == ("Amanitaceae", "Agaricales")


def test_region_and_family_may_be_filled_in_by_the_call() -> None:
    row = {key: cell for key, cell in GOOD.items() if key not in ("family", "regions")}
    (found,) = tables(row, filled=Filled(family="Exemplaceae", region="na-pacific"))
    assert (found.genus["family"], found.taxon["regions"]) == ("Exemplaceae", {"na-pacific": "occasional"})


def test_a_table_of_semicolons_or_tabs_is_read_too(tmp_path: Path) -> None:
    path = tmp_path / "own.tsv"
    path.write_bytes("\ufeffname\tmonths\nExampla ficta\t9\n".encode())
    assert read_sheet(path, KNOWN.characters).rows[0].fields == {"name": "Exampla ficta", "months": "9"}


def test_the_character_called_like_a_field_has_a_heading_of_its_own() -> None:
    assert taken(**{"character:rot": "white"}).taxon["scores"]["rot"] == {"mostly": ["white"]}


# ---------------------------------------------------------------- what is refused, with row and column


@pytest.mark.parametrize(
    ("column", "cell", "words"),
    [
        ("cap_colour", "white|creme", "no state of “colour of the cap” called “creme”. Nearest known: cream"),
        ("cap_colour", "white; sometime: pink", "“sometime” is no word of a score. Use mostly, at times"),
        ("cap_colour", "white|; seldom: pink", "a state is missing before or after"),
        ("cap_colour", "white; seldom: white", "“white” stands twice"),
        ("gill_colour", "young: white // brown", "“brown” must begin with its stage"),
        ("cap_width", "40–20", "the range must run upwards from above zero"),
        ("cap_width", "2–4 cm", "“cm” is not the unit of “width of the cap”: give it in mm"),
        ("cap_width", "2,5–4", "Write decimals with a point"),
        ("cap_width", "about 4", "“about 4” is no range. Write it like 6–12"),
        ("cap_width", "20–99999", "lies outside what is possible"),
        ("cap_width", "20–40 [5-59]", "there is no convention “5-59”. The nearest known: 5-95"),
        ("regions", "na-pacifik: common", "there is no region “na-pacifik”. The nearest known: na-pacific"),
        ("regions", "na-pacific: comon", "there is no frequency class “comon”. The nearest known: common"),
        ("regions", "na-pacific", "must be written like “na-pacific: common”"),
        ("months", "9-13", "“9-13” is no month"),
        ("rank", "specees", "there is no rank “specees”. The nearest known: species"),
        ("way_of_life", "soil saprotrof", "The nearest known: soil saprotroph"),
        ("says", "people-amatoxins", "there is no sentence “people-amatoxins”. The nearest known: people-amatoxin"),
        ("basis:range", "nobody-1900", "there is no source “nobody-1900”"),
        ("taken_for", "amanita-phalloides", "must be written like “amanita-citrina: volva+smell”"),
        ("taken_for", "amanita-phalloides: volvo", "there is no character “volvo”. The nearest known: volva"),
        ("id", "Exampla ficta", "“Exampla ficta” is no id"),
        ("genus_species", "north-america: many", "“many” is no whole number of species"),
        ("genus", "../exampla", "“../exampla” is no name of a genus"),
        ("according_to", "", "“according_to” is missing"),
        ("family", "", "“family” is missing"),
    ],
)  # fmt: skip
def test_a_wrong_cell_is_named_with_row_and_column(column: str, cell: str, words: str) -> None:
    found = mistake(**{column: cell})
    assert found.startswith(f"own.csv: row 2, column “{column}”: ")
    assert words in found


def test_never_without_two_published_sources_is_refused() -> None:
    assert "“never” of cap_colour needs two published sources in basis.never" in mistake(cap_colour="never: white")


def test_a_hazard_and_the_words_for_none_exclude_one_another() -> None:
    assert "there is no class “none”" in mistake(hazard=next(iter(KNOWN.hazard_groups)))


def test_every_mistake_of_a_table_is_named_at_once() -> None:
    found = mistakes({**GOOD, "cap_width": "9–3"}, {**GOOD, "name": "Exampla secunda", "form": "cap and stemm"})
    assert [line.split(":")[1] for line in found] == [" row 2, column “cap_width”", " row 3, column “form”"]


def test_two_rows_of_one_id_are_refused() -> None:
    assert mistakes(GOOD, GOOD) == ["own.csv: row 3, column “id”: “exampla-ficta” stands in row 2 already."]


def test_two_families_of_one_genus_are_refused() -> None:
    found = mistakes(GOOD, {**GOOD, "name": "Exampla secunda", "family": "Otheraceae"})
    assert found == ["own.csv: row 3, column “family”: “Otheraceae” differs from row 2: a genus has one family."]


def test_half_the_columns_wrong_names_each_with_the_nearest_that_is_right() -> None:
    right = ("name", "regions", "months", "cap_width")
    found = mistakes({key if key in right else f"{key}x": cell for key, cell in GOOD.items()})
    assert len(found) == len(GOOD) - len(right)
    assert found[0].startswith(
        "own.csv: row 1, column 2: “authorityx” is neither a field nor a character. The nearest known: authority"
    )


def test_a_column_that_stands_twice_is_refused() -> None:
    (found,) = mistakes({**GOOD, "cap colour": "white", "cap_colour": "white"})
    assert "stands for cap_colour, which has a column already" in found


def test_missing_columns_are_named_together() -> None:
    (found,) = mistakes({"name": "Exampla ficta", "form": "cap-and-stem"})
    assert found == (
        "own.csv: row 1: these columns are missing: according_to, regions, months, hazard or hazard_words."
    )


def test_a_cell_under_no_heading_is_refused() -> None:
    with pytest.raises(funga.FungaError, match="row 2, column 2: “Exemplar” stands under no heading"):
        read_csv("own.csv", "name\nExampla ficta,Exemplar\n", KNOWN.characters)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "it is empty"),
        (b"\n \n", "it is empty"),
        (b"name,months\n", "it holds no taxa below its headings"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "it is no text"),
        (b"PK\x03\x04\x14\x00\x06\x00", "it is no text"),
        ("name\nExampla ñandú\n".encode("latin-1"), "is not UTF-8"),
        (b'name,months\n"Exampla ficta,9\n', "it cannot be read as CSV"),
    ],
)
def test_a_file_that_is_no_table_is_refused(tmp_path: Path, content: bytes, words: str) -> None:
    path = tmp_path / "own.csv"
    path.write_bytes(content)
    with pytest.raises(funga.FungaError, match=words):
        read_sheet(path, KNOWN.characters)


def files_named(text: str) -> set[str]:
    """The files that the mistakes of a text are told with; none where there is no mistake."""
    try:
        taxon_tables(read_csv("own.csv", text, KNOWN.characters), KNOWN, Filled())
    except funga.FungaError as error:
        return {problem.file for problem in error.problems}
    return set()


TWO_ROWS = table(GOOD, {**GOOD, "name": "Exampla secunda", "cap_colour": "white; seldom: pink"})


@given(st.integers(0, len(TWO_ROWS)), st.integers(0, 40), st.text(alphabet=',;:|"/–-()\n =a9', max_size=6))
def test_however_a_table_is_spoilt_it_is_read_or_refused_with_its_name(start: int, cut: int, put: str) -> None:
    assert files_named(TWO_ROWS[:start] + put + TWO_ROWS[start + cut :]) <= {"own.csv"}


# ---------------------------------------------------------------- the whole way


def test_the_files_that_an_import_writes_are_read_on_top_of_ours(ours: Path, own: Path, tmp_path: Path) -> None:
    write(plan_import(own, tmp_path / "clinic"))
    known = funga.load_from(ours, (tmp_path / "clinic",))
    assert set(known.taxa) - set(KNOWN.taxa) == {"exampla-ficta"}


def test_a_taxon_of_ours_is_not_to_be_replaced(ours: Path, tmp_path: Path) -> None:
    path = tmp_path / "own.csv"
    path.write_text(table({**GOOD, "id": "amanita-phalloides", "name": "Amanita phalloides"} | {
        "family": "Amanitaceae"}), encoding="utf-8")  # fmt: skip
    with pytest.raises(funga.FungaError, match=r"“amanita-phalloides” stands in taxa/amanita\.toml already"):
        plan_import(path, tmp_path / "clinic")


def test_a_pair_with_a_kind_that_is_not_there_is_named_by_its_row(ours: Path, tmp_path: Path) -> None:
    path = tmp_path / "own.csv"
    path.write_text(table({**GOOD, "taken_for": "amanita-phaloides: volva"}), encoding="utf-8")
    with pytest.raises(funga.FungaError, match="row 2, column “taken_for”: taken for “amanita-phaloides”"):
        plan_import(path, tmp_path / "clinic")


def run(capsys: pytest.CaptureFixture[str], *words: str | Path) -> tuple[int, str, str]:
    code = main(["funga", *map(str, words)])
    out, err = capsys.readouterr()
    return code, out, err


def test_a_table_with_mistakes_writes_nothing_and_ends_with_1(
    ours: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "own.csv"
    path.write_text(table(GOOD, {**GOOD, "name": "Exampla secunda", "cap_width": "9–3"}), encoding="utf-8")
    code, _, err = run(capsys, "import", path, "--into", tmp_path / "clinic")
    assert code == 1
    assert "own.csv: row 3, column “cap_width”: the range must run upwards" in err
    assert err.endswith("Nothing was written.\n")
    assert not (tmp_path / "clinic").exists()


def test_a_text_that_praises_is_refused_by_row_and_column(
    ours: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "own.csv"
    path.write_text(table({**GOOD, "what:es": "Un hongo comestible."}), encoding="utf-8")
    code, _, err = run(capsys, "import", path, "--into", tmp_path / "clinic")
    assert code == 1
    assert "row 2, column “what:es”: “comestible” may stand in no text here" in err
    assert not (tmp_path / "clinic").exists()


def test_what_the_checks_miss_is_said_and_the_files_are_written(
    ours: Path, own: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = run(capsys, "import", own, "--into", tmp_path / "clinic")
    assert code == 0
    assert "exampla-ficta: the basis of “range” is missing" in out
    assert "only 3 characters are scored" in out
    assert f"FRUITBODY_FUNGA={tmp_path / 'clinic'}" in out
    assert (tmp_path / "clinic/taxa/exampla.toml").exists()


def test_a_second_import_needs_leave_to_replace(
    ours: Path, own: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write(plan_import(own, tmp_path / "clinic"))
    code, _, err = run(capsys, "import", own, "--into", tmp_path / "clinic")
    assert code == 1
    assert "exampla.toml is there already. Move it away, or say --replace" in err
    assert run(capsys, "import", own, "--into", tmp_path / "clinic", "--replace")[0] == 0


def test_a_file_that_is_not_there_is_answered_with_a_sentence(
    ours: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, _, err = run(capsys, "import", tmp_path / "none.csv", "--into", tmp_path / "clinic")
    assert code == 2
    assert "none.csv" in err


def test_the_exported_table_opens_with_the_fields_and_every_character(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = run(capsys, "export", "--as", "csv", "--out", tmp_path / "ours.csv")
    assert (code, out) == (0, f"{tmp_path / 'ours.csv'} is written.\n")
    headings = next(csv.reader([(tmp_path / "ours.csv").read_text(encoding="utf-8-sig").split("\n", 1)[0]]))
    told = [c.id for c in KNOWN.characters.values() if c.kind is not CharacterKind.STAGE]
    assert headings == [*FIELDS, *("character:rot" if c == "rot" else c for c in told)]
