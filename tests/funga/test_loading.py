"""The data files: what a mistake in them is answered with."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from fruitbody import funga
from fruitbody.funga.load import DATA, read_folder


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    copy = tmp_path / "data"
    shutil.copytree(DATA, copy)
    return copy


def spoil(folder: Path, file: str, old: str, new: str) -> list[str]:
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return [str(problem) for problem in read_folder(folder)[1]]


def test_the_funga_that_comes_with_the_program_has_no_mistakes() -> None:
    assert read_folder(DATA)[1] == []


def test_it_holds_at_least_sixty_taxa() -> None:
    assert len(funga.load().taxa) >= 60


def test_a_broken_file_is_named_and_hides_no_other_mistake(folder: Path) -> None:
    (folder / "taxa" / "amanita.toml").write_text("[genus\n", encoding="utf-8")
    problems = spoil(folder, "taxa/lepiota.toml", 'rank = "species"', 'rank = "specees"')
    assert any(p.startswith("taxa/amanita.toml: the file cannot be read as TOML") for p in problems)
    assert any("no rank “specees”. The nearest known: species" in p for p in problems)


def test_an_unknown_state_names_file_taxon_character_and_the_nearest(folder: Path) -> None:
    problems = spoil(folder, "taxa/amanita.toml", 'mostly = ["cap-and-stem"]', 'mostly = ["cap-and-stemm"]')
    assert problems[0].startswith("taxa/amanita.toml: amanita-")
    assert "form, mostly: there is no state of “form” “cap-and-stemm”. The nearest known: cap-and-stem" in problems[0]


def test_a_range_that_runs_backwards_is_refused(folder: Path) -> None:
    path = folder / "taxa" / "amanita.toml"
    text = path.read_text(encoding="utf-8")
    start = text.index("spore_length")
    end = text.index("\n", start)
    path.write_text(text[:start] + "spore_length = { low = 11, high = 8 }" + text[end:], encoding="utf-8")
    problems = [str(p) for p in read_folder(folder)[1]]
    assert any("spore_length: the range must run upwards" in p for p in problems)


def test_a_number_outside_what_is_possible_is_refused(folder: Path) -> None:
    path = folder / "taxa" / "amanita.toml"
    text = path.read_text(encoding="utf-8")
    start = text.index("cap_width")
    end = text.index("\n", start)
    path.write_text(text[:start] + "cap_width = { low = 50, high = 9000 }" + text[end:], encoding="utf-8")
    assert any("lies outside what is possible" in str(p) for p in read_folder(folder)[1])


def test_never_without_two_published_sources_is_refused(folder: Path) -> None:
    path = folder / "taxa" / "amanita.toml"
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("never = [")]
    path.write_text("\n".join(lines), encoding="utf-8")
    assert any("needs two published sources in basis.never" in str(p) for p in read_folder(folder)[1])


def test_a_character_cannot_depend_on_one_that_comes_later(folder: Path) -> None:
    problems = spoil(folder, "characters/00-form.toml", "[stage]\n", '[stage]\ndepends_on = { hymenium = ["gills"] }\n')
    assert any("must stand in the files before its children" in p for p in problems)


def test_a_field_nobody_knows_is_named(folder: Path) -> None:
    problems = spoil(folder, "taxa/amanita.toml", "authority =", "autority =")
    assert any("there is no field “autority”. The nearest known: authority" in p for p in problems)


def test_a_taxon_without_hazard_and_without_words_is_refused(folder: Path) -> None:
    problems = spoil(folder, "taxa/trametes.toml", "hazard_words =", "# hazard_words =")
    assert any("there is no class “none”" in p for p in problems)


def test_loading_raises_with_every_mistake(folder: Path) -> None:
    spoil(folder, "taxa/amanita.toml", 'mostly = ["cap-and-stem"]', 'mostly = ["cap-and-stemm"]')
    with pytest.raises(funga.FungaError, match="cap-and-stemm"):
        funga.load_from(folder)
