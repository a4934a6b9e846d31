"""A checklist of names as a Darwin Core taxon file (terms: Darwin Core quick reference, TDWG), and what comes of it."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest

from fruitbody import funga
from fruitbody.funga.checklist import ListedName, parse_checklist, read_checklist
from fruitbody.funga.nomenclature import ChangeKind, NameChange, proposals, with_changes
from fruitbody.funga.problems import FungaError
from fruitbody.funga.search import find_taxon

KNOWN = funga.load()
HEAD = "taxonID\tscientificName\tscientificNameAuthorship\ttaxonRank\ttaxonomicStatus\tacceptedNameUsage\tacceptedNameUsageID\tfamily\tnameAccordingTo\n"  # noqa: E501


def row(
    name: str, status: str = "accepted", *, key: str = "", authority: str = "", accepted: str = "", points: str = "",
    family: str = "", according_to: str = "",
) -> str:  # fmt: skip
    return "\t".join((key, name, authority, "species", status, accepted, points, family, according_to)) + "\n"


def listed(*rows: str) -> list[ListedName]:
    return parse_checklist("list.tsv", (HEAD + "".join(rows)).encode())


def proposed(*rows: str) -> list[NameChange]:
    return proposals(KNOWN, listed(*rows), source="Checklist of 2026")


def mistake(content: str) -> str:
    with pytest.raises(FungaError) as caught:
        parse_checklist("list.tsv", content.encode())
    return str(caught.value)


# ---------------------------------------------------------------- reading


def test_a_name_and_its_authority_are_told_apart_with_and_without_a_column_for_it() -> None:
    one, two = listed(
        row("Paxillus involutus (Batsch) Fr.", authority="(Batsch) Fr."), row("Verpa bohemica (Krombh.) J. Schröt.")
    )
    assert (one.name, one.authority) == ("Paxillus involutus", "(Batsch) Fr.")
    assert (two.name, two.authority) == ("Verpa bohemica", "(Krombh.) J. Schröt.")


def test_a_synonym_finds_its_accepted_name_by_name_or_by_id() -> None:
    names = listed(
        row("Collybia nuda", key="1"),
        row("Lepista nuda", "synonym", accepted="Collybia nuda"),
        row("Clitocybe nuda", "homotypic synonym", points="1"),
    )
    assert [name.accepted for name in names] == ["Collybia nuda"] * 3


def test_commas_and_term_addresses_in_the_heading_are_read_too() -> None:
    head = "http://rs.tdwg.org/dwc/terms/scientificName,dwc:taxonomicStatus\n"
    (name,) = parse_checklist("list.csv", f"{head}Verpa bohemica,accepted\n".encode())
    assert (name.name, name.row) == ("Verpa bohemica", 2)


def test_the_taxon_table_of_an_archive_is_read(tmp_path: Path) -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("meta.xml", "<archive/>")
        archive.writestr("taxon.txt", HEAD + row("Verpa bohemica"))
    (tmp_path / "dwca.zip").write_bytes(packed.getvalue())
    assert [name.name for name in read_checklist(tmp_path / "dwca.zip")] == ["Verpa bohemica"]


def test_an_archive_without_a_taxon_table_is_refused() -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("occurrence.txt", "x")
    with pytest.raises(FungaError, match="no file whose name begins with “taxon”"):
        parse_checklist("dwca.zip", packed.getvalue())


def test_missing_columns_are_named_with_the_nearest_that_is_there() -> None:
    told = mistake("scientificname\tstatus\nVerpa bohemica\taccepted\n")
    assert "list.tsv: row 1: these columns are missing" in told
    assert "scientificName (perhaps “scientificname”)" in told
    assert "taxonomicStatus" in told


def test_an_empty_name_and_an_unknown_status_name_their_rows() -> None:
    told = mistake(HEAD + row("Verpa bohemica") + row("") + row("Verpa conica", "banana"))
    assert "row 3: scientificName is empty." in told
    assert "row 4: taxonomicStatus “banana” is not known. Known: accepted, synonym" in told


def test_a_synonym_of_nothing_is_refused() -> None:
    assert "neither acceptedNameUsage nor acceptedNameUsageID says of which name" in mistake(
        HEAD + row("Lepista nuda", "synonym", points="99")
    )


def test_an_empty_list_and_bytes_that_are_no_text_are_refused() -> None:
    assert "holds no names" in mistake(HEAD)
    with pytest.raises(FungaError, match="is not UTF-8"):
        parse_checklist("list.tsv", HEAD.encode() + b"\xff\xfe\n")


# ---------------------------------------------------------------- what it proposes


def test_a_list_that_agrees_proposes_nothing() -> None:
    assert proposed(*(row(t.name, family=t.family) for t in KNOWN.taxa.values() if t.rank == "species")) == []


def test_a_list_that_knows_none_of_our_names_proposes_nothing() -> None:
    assert proposed(row("Penicillium expansum", family="Aspergillaceae")) == []


def test_an_accepted_name_of_ours_that_became_a_synonym_is_to_be_renamed() -> None:
    (change,) = proposed(
        row("Kuehneromyces mutabilis", "synonym", accepted="Pholiota mutabilis"),
        row("Pholiota mutabilis", authority="(Schaeff.) P. Kumm.", family="Strophariaceae"),
    )
    assert (change.kind, change.names, change.authority) == (
        ChangeKind.RENAME,
        ("Pholiota mutabilis",),
        "(Schaeff.) P. Kumm.",
    )
    assert change.according_to == "Checklist of 2026"


def test_a_group_is_renamed_by_the_name_it_is_called_after() -> None:
    (change,) = proposed(row("Galerina marginata", "synonym", accepted="Galerina unicolor"))
    assert change.taxon == "galerina-marginata-group"
    assert with_changes(KNOWN, [change]).taxa[change.taxon].name == "Galerina unicolor group"


def test_a_name_that_was_split_is_to_stand_in_the_wide_sense() -> None:
    (change,) = proposed(
        row("Serpula lacrymans", "accepted"),
        row("Serpula lacrymans", "pro parte synonym", accepted="Serpula nova", according_to="Doe 2025"),
    )
    assert (change.kind, change.names) == (ChangeKind.SPLIT, ("Serpula lacrymans", "Serpula nova"))


def test_a_synonym_of_ours_that_is_a_kind_of_its_own_there_is_named() -> None:
    taxon = KNOWN.taxa["verpa-bohemica"]
    assert "Ptychoverpa bohemica" in taxon.synonyms
    (change,) = proposed(row("Verpa bohemica"), row("Ptychoverpa bohemica"))
    assert (change.kind, change.names) == (ChangeKind.APART, ("Ptychoverpa bohemica",))


def test_another_family_is_named() -> None:
    (change,) = proposed(row("Verpa bohemica", family="Helvellaceae"))
    assert (change.kind, change.family) == (ChangeKind.FAMILY, "Helvellaceae")


# ---------------------------------------------------------------- what acceptance does


def renamed() -> funga.Funga:
    changes = proposed(
        row("Kuehneromyces mutabilis", "synonym", accepted="Pholiota mutabilis"),
        row("Pholiota mutabilis", authority="(Schaeff.) P. Kumm.", family="Strophariaceae"),
    )
    return with_changes(KNOWN, changes)


def test_after_a_rename_both_names_find_the_taxon_and_the_old_one_says_how() -> None:
    hit = find_taxon(renamed(), "Kuehneromyces mutabilis")
    assert hit.taxon.name == "Pholiota mutabilis"
    assert hit.how == "“Kuehneromyces mutabilis” is an old or other name of Pholiota mutabilis."


def test_a_rename_leaves_id_scores_and_hazards_and_moves_the_genus() -> None:
    before, after = KNOWN.taxa["kuehneromyces-mutabilis"], renamed().taxa["kuehneromyces-mutabilis"]
    assert (after.id, after.scores, after.hazard) == (before.id, before.scores, before.hazard)
    assert (after.genus, after.according_to) == ("Pholiota", "Checklist of 2026")


def test_the_digest_tells_the_changed_funga_from_the_old() -> None:
    assert renamed().digest != KNOWN.digest
    assert with_changes(KNOWN, []) is KNOWN


def test_after_a_split_a_new_name_finds_the_wide_one_and_says_so() -> None:
    changes = proposed(row("Serpula lacrymans"), row("Serpula lacrymans", "pro parte synonym", accepted="Serpula nova"))
    split = with_changes(KNOWN, changes)
    hit = find_taxon(split, "Serpula nova")
    assert hit.how == "“Serpula nova” was split off from Serpula lacrymans, which stands here in the wide sense."
    assert split.taxa["serpula-lacrymans"].according_to.startswith("in the wide sense, before it was split into")


def test_a_change_whose_name_has_moved_on_is_passed_over() -> None:
    (change,) = proposed(row("Verpa bohemica", "synonym", accepted="Ptychoverpa bohemica"))
    once = with_changes(KNOWN, [change])
    assert with_changes(once, [change]) is once


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("Pholiota mutabilis", "Kuehneromyces mutabilis"),  # an old name
        ("Amanita faloides", "Amanita phalloides"),  # misspelt
        ("death cap", "Amanita phalloides"),  # in use
        ("oronja verde", "Amanita phalloides"),  # in use, Spanish
    ],
)
def test_any_name_finds_the_accepted_one_and_says_how(typed: str, name: str) -> None:
    hit = find_taxon(KNOWN, typed)
    assert hit.taxon.name == name
    assert typed in hit.how
