"""A clinic's own folder, named by FRUITBODY_FUNGA, on top of what comes with the program."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from fruitbody import funga
from fruitbody.cli.main import main
from fruitbody.funga.kept import digest_of
from fruitbody.funga.load import DATA, read_folder
from tests.funga.small import small_funga

KNOWN = funga.load()
TAXON = """
[genus]
name = "{genus}"
family = "{family}"
order = "Agaricales"

[[taxon]]
id = "{id}"
name = "{genus} ficta"
according_to = "Exemplar 2026"
regions = {{ na-pacific = "common" }}
months = [9]
hazard = []
hazard_words = "unknown"

[taxon.scores]
form = {{ mostly = ["cap-and-stem"] }}
{more}
"""
PAIR = """
[[taxon.taken_for]]
taxon = "amanita-phalloides"
settle = ["form"]
note = "Made up."
"""


def clinic(
    folder: Path, *, genus: str = "Exampla", family: str = "Exemplaceae", key: str = "exampla-ficta", more: str = ""
) -> Path:
    """A folder with one made-up taxon."""
    path = folder / "taxa" / f"{genus.lower()}.toml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(TAXON.format(genus=genus, family=family, id=key, more=more), encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def ours(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return small_funga(tmp_path_factory.mktemp("ours"))


def told(ours: Path, *folders: Path) -> list[str]:
    """What is wrong with ours and these folders together."""
    return [str(problem) for problem in read_folder(ours, folders)[1]]


def test_load_reads_the_folders_that_the_variable_names(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    one, two = clinic(tmp_path / "one"), clinic(tmp_path / "two", genus="Altera", key="altera-ficta")
    monkeypatch.setenv("FRUITBODY_FUNGA", os.pathsep.join((str(one), str(two))))
    monkeypatch.setenv("FRUITBODY_CACHE", str(tmp_path / "cache"))
    assert set(funga.load().taxa) - set(KNOWN.taxa) == {"exampla-ficta", "altera-ficta"}


def test_without_the_variable_ours_are_all_there_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("FRUITBODY_FUNGA", raising=False)
    assert funga.load().digest == KNOWN.digest == digest_of(DATA)


def test_a_byte_more_in_a_clinics_file_changes_the_digest(tmp_path: Path) -> None:
    folder = clinic(tmp_path)
    before = digest_of(DATA, folder)
    with (folder / "taxa/exampla.toml").open("a", encoding="utf-8") as file:
        file.write("# one word more\n")
    assert len({before, digest_of(DATA, folder), digest_of(DATA)}) == 3


def test_a_folder_that_moves_keeps_its_digest(tmp_path: Path) -> None:
    assert digest_of(DATA, clinic(tmp_path / "here")) == digest_of(DATA, clinic(tmp_path / "there"))


def test_a_source_of_the_clinics_own_may_be_a_basis(ours: Path, tmp_path: Path) -> None:
    folder = clinic(tmp_path, more='\n[taxon.basis]\nnames = ["exemplar-2026"]')
    (folder / "sources").mkdir()
    source = '[exemplar-2026]\ncitation = "Exemplar, E. (2026) A list."\nkind = "flora"\n'
    (folder / "sources/own.toml").write_text(source, encoding="utf-8")
    assert told(ours, folder) == []


def test_an_id_of_ours_is_refused_with_the_clinics_file(ours: Path, tmp_path: Path) -> None:
    folder = clinic(tmp_path, genus="Amanita", family="Amanitaceae", key="amanita-phalloides")
    assert told(ours, folder) == [
        f"{folder}/taxa/amanita.toml: amanita-phalloides: this id stands in taxa/amanita.toml already; "
        "a kind of your own needs an id of its own."
    ]


def test_an_id_in_two_folders_is_refused_with_the_second_file(ours: Path, tmp_path: Path) -> None:
    one, two = clinic(tmp_path / "one"), clinic(tmp_path / "two")
    assert told(ours, one, two) == [f"{two}/taxa/exampla.toml: exampla-ficta: this id stands twice."]


def test_a_kind_of_a_genus_of_ours_leaves_the_genus_as_it_is(ours: Path, tmp_path: Path) -> None:
    folder = clinic(tmp_path, genus="Amanita", family="Amanitaceae", key="amanita-ficta")
    known = funga.load_from(ours, (folder,))
    assert known.genera["Amanita"] == KNOWN.genera["Amanita"]
    assert known.taxa["amanita-ficta"].genus == "Amanita"


def test_another_family_for_a_genus_of_ours_is_refused(ours: Path, tmp_path: Path) -> None:
    folder = clinic(tmp_path, genus="Amanita", family="Exemplaceae", key="amanita-ficta")
    assert told(ours, folder) == [
        f"{folder}/taxa/amanita.toml: genus: the family of Amanita is Amanitaceae here, not “Exemplaceae”."
    ]


def test_what_a_clinics_kind_is_taken_for_names_it_back(ours: Path, tmp_path: Path) -> None:
    known = funga.load_from(ours, (clinic(tmp_path, more=PAIR),))
    (pair,) = [p for p in known.taxa["amanita-phalloides"].taken_for if p.taxon == "exampla-ficta"]
    assert pair.settle == ("form",)
    assert len(known.taxa["amanita-phalloides"].taken_for) == len(KNOWN.taxa["amanita-phalloides"].taken_for) + 1


def test_a_mistake_names_the_clinics_file(ours: Path, tmp_path: Path) -> None:
    folder = clinic(tmp_path)
    path = folder / "taxa/exampla.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("cap-and-stem", "cap-and-stemm"), encoding="utf-8")
    (problem,) = [p for p in told(ours, folder) if "no state" in p]
    assert problem.startswith(f"{path}: exampla-ficta, form, mostly: there is no state of “form” “cap-and-stemm”.")


def test_a_file_that_is_no_toml_names_itself(ours: Path, tmp_path: Path) -> None:
    folder = clinic(tmp_path)
    (folder / "taxa/broken.toml").write_bytes(b"\xff[genus")
    (problem,) = told(ours, folder)
    assert problem.startswith(f"{folder}/taxa/broken.toml: the file cannot be read as TOML")


@pytest.mark.parametrize(("made", "words"), [(False, "there is no such folder."), (True, "it holds neither taxa/")])
def test_a_folder_that_holds_nothing_is_named(ours: Path, tmp_path: Path, made: bool, words: str) -> None:
    folder = tmp_path / "clinic"
    if made:
        folder.mkdir()
    (problem,) = told(ours, folder)
    assert problem.startswith(f"{folder}: {words}")


def test_the_terminal_finds_and_checks_a_clinics_kind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("FRUITBODY_FUNGA", str(clinic(tmp_path)))
    monkeypatch.setenv("FRUITBODY_CACHE", "")
    assert main(["funga", "show", "Exampla", "ficta"]) == 0
    assert main(["funga", "check"]) == 1
    assert f"{tmp_path}/taxa/exampla.toml: exampla-ficta: a species needs the authority of its name." in (
        capsys.readouterr().out
    )
