"""The terminal as a person or a program meets it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from fruitbody.cli.main import main


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(list(words))
    out, err = capsys.readouterr()
    return code, out, err


def case(tmp_path: Path, text: str, name: str = "case.toml") -> str:
    file = tmp_path / name
    file.write_text(text, encoding="utf-8")
    return str(file)


def test_characters_are_listed_with_the_keys_of_the_contract(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "funga", "characters", "--json")
    entries: list[dict[str, Any]] = json.loads(out)
    assert code == 0
    for entry in entries:
        assert set(entry) >= {
            "id", "organ", "kind", "unit", "states", "synonyms", "needs", "depends_on", "excludes",
        }  # fmt: skip
        assert all(set(state) >= {"id", "plain", "synonyms"} for state in entry["states"])


def test_taxa_are_listed_with_the_keys_of_the_contract(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "funga", "taxa", "--json")
    entries: list[dict[str, Any]] = json.loads(out)
    assert code == 0
    assert len(entries) >= 60
    for entry in entries:
        assert set(entry) >= {
            "id", "name", "authority", "rank", "genus", "family", "synonyms", "vernacular", "hazard_groups",
            "way_of_life", "rot", "months", "basis", "scores",
        }  # fmt: skip


def test_one_taxon_is_shown_by_an_old_name(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "funga", "show", "Galerina", "autumnalis")
    assert code == 0
    assert "Galerina marginata" in out
    assert "does not say whether any mushroom is safe to eat" in out


def test_an_unknown_name_is_answered_with_a_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = run(capsys, "funga", "show", "Nonsensia", "absurda")
    assert code == 2
    assert "There is no taxon called “Nonsensia absurda”" in err


def test_the_funga_check_is_clean(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "funga", "check")
    assert (code, out.strip().endswith("clean.")) == (0, True)


def test_json_and_toml_files_say_the_same(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    toml = case(tmp_path, 'month = 9\n[[finding]]\ncharacter = "ring"\nvalue = "hanging"\n')
    plain = case(tmp_path, '{"month": 9, "finding": [{"character": "ring", "value": "hanging"}]}', "case.json")
    answers = [run(capsys, "identify", file, "--json")[1] for file in (toml, plain)]
    assert answers[0] == answers[1]


def test_a_terminal_answer_in_words_ends_with_the_caution(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = case(tmp_path, '[[finding]]\ncharacter = "ring"\nvalue = "hanging"\n')
    code, out, _ = run(capsys, "identify", file)
    assert code == 0
    assert out.rstrip().endswith("Do not eat any wild mushroom because of it.")


def test_an_unknown_term_is_an_error_that_names_the_nearest(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = case(tmp_path, '[[finding]]\ncharacter = "rinng"\nvalue = "hanging"\n')
    code, _, err = run(capsys, "identify", file)
    assert code == 2
    assert "Finding 1: There is no character called “rinng”. Nearest known: ring" in err


def test_lenient_lists_what_it_set_aside(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = case(tmp_path, '[[finding]]\ncharacter = "rinng"\nvalue = "hanging"\n')
    code, out, _ = run(capsys, "identify", file, "--json", "--lenient")
    assert code == 0
    assert "rinng" in json.loads(out)["set_aside"][0]["because"]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("month = 13\n", "“month” is a number from 1 to 12"),
        ("mnth = 3\n", "There is no field “mnth”. Did you mean month"),
        ("month = \n", "cannot be read"),
        ("finding = 3\n", "“finding” is a list of tables"),
        ('finding = ["ring"]\n', "A finding is a table"),
        ('[[finding]]\ncharacter = "ring"\nvalue = "none"\nnot = "no"\n', "“not” is true or false"),
        ('conditions = "cooked"\n', "“conditions” is a list of words"),
        ('fruit_bodies = "two"\n', "a whole number from 1"),
        ('conditions = ["cut-above-grond"]\n', "Nearest known: cut-above-ground"),
        ('[[finding]]\ncharacter = "cap width"\nvalue = 9000\n', "9000 mm cannot be"),
        ('[[finding]]\ncharacter = "spore length"\nvalue = -1\n', "-1 µm cannot be"),
    ],
)
def test_bad_input_is_answered_with_a_sentence(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, text: str, sentence: str
) -> None:
    code, out, err = run(capsys, "identify", case(tmp_path, text))
    assert (code, out) == (2, "")
    assert sentence in err
    assert "Traceback" not in err


def test_a_missing_file_is_answered_with_a_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = run(capsys, "identify", "nowhere.toml")
    assert code == 2
    assert "There is no file nowhere.toml" in err


def test_a_region_nobody_knows_is_said_and_not_fatal(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, out, _ = run(capsys, "identify", case(tmp_path, 'region = "XX-YY"\n'), "--json")
    assert code == 0
    assert "belongs to no region" in json.loads(out)["set_aside"][0]["because"]


BUTTON = """
month = 9
region = "US-NY"
conditions = ["cut-above-ground", "cling-film"]
fruit_bodies = 1
[[finding]]
character = "form"
value = "cap-and-stem"
[[finding]]
character = "stage"
value = "button"
[[finding]]
character = "hymenium"
value = "gills"
[[finding]]
character = "cap colour"
value = "white"
[[finding]]
character = "volva"
value = "none"
"""


def test_a_white_button_without_its_foot_keeps_the_death_caps_standing_first(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Story 4: 'volva none' of a stem cut above ground is no evidence, and no name below a genus pair is proposed."""
    _, out, _ = run(capsys, "identify", case(tmp_path, BUTTON), "--json")
    data = json.loads(out)
    assert [s["character"] for s in data["set_aside"]] == ["volva"]
    assert "cannot be seen on this material" in data["set_aside"][0]["because"]
    first = [s["group"] for s in data["not_excluded"] if s["listed"] == "first"]
    assert "amanita-phalloideae" in first[:3]
    assert data["excluded"] == []
    assert data["proposal"]["rank"] not in ("species", "species group")


def test_every_score_has_the_shape_of_the_contract_even_where_stages_differ(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, "funga", "taxa", "--json")
    taxa = {entry["id"]: entry for entry in json.loads(out)}
    for taxon in taxa.values():
        for score in taxon["scores"].values():
            assert {"mostly", "at_times", "seldom", "never"} <= set(score) or {"min", "low", "high", "max"} <= set(
                score
            )
    gills = taxa["chlorophyllum-molybdites"]["scores"]["gill_colour"]
    assert gills["by_stage"]["young"] != gills["by_stage"]["mature"]


def test_a_checklist_only_proposes_changes_of_names(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    checklist = tmp_path / "names.csv"
    checklist.write_text(
        "scientificName,taxonomicStatus,acceptedNameUsage\nVerpa bohemica,synonym,Ptychoverpa bohemica\n"
    )
    code, out, _ = run(capsys, "funga", "names", str(checklist))
    assert code == 0
    assert "rename  Verpa bohemica is now called Ptychoverpa bohemica." in out
    assert "1 changes of names proposed; nothing was changed." in out


def test_a_checklist_without_its_columns_ends_with_a_sentence(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    checklist = tmp_path / "names.csv"
    checklist.write_text("name,state\nVerpa bohemica,synonym\n")
    code, _, err = run(capsys, "funga", "names", str(checklist))
    assert code == 2
    assert "names.csv: row 1: these columns are missing: scientificName, taxonomicStatus" in err
