"""`funga check`: every rule, shown to speak when it is broken."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from fruitbody.funga.check import check
from fruitbody.funga.load import DATA, read_folder

Spoil = Callable[[str, str, str], list[str]]
GALERINA = "taxa/galerina.toml"
WHOLE = '(?ms)id = "galerina-marginata-group".*?'


@pytest.fixture
def spoil(tmp_path: Path) -> Spoil:
    folder = tmp_path / "data"
    shutil.copytree(DATA, folder)

    def spoilt(file: str, pattern: str, new: str) -> list[str]:
        path = folder / file
        text, done = re.subn(pattern, new, path.read_text(encoding="utf-8"), count=1)
        assert done, "the text to spoil is not there"
        path.write_text(text, encoding="utf-8")
        known, problems = read_folder(folder)
        return [str(remark) for remark in (problems or check(known))]

    return spoilt


def one(remarks: list[str]) -> str:
    """The single remark; the mistake must not set off others."""
    (remark,) = remarks
    return remark


@pytest.mark.parametrize(
    ("pattern", "new", "words"),
    [
        ('name = "Galerina marginata group"', 'name = "Pholiota marginata group"', "does not begin with its genus"),
        ('what = \\{ en = ".*?", es = "', 'what = { en = "", es = "', "“what” is missing in English"),
        (', es = "Setas[^"]*" \\}', ' }', "“what” is missing in Spanish"),
        ('"people-amatoxin", ', "", "does not tell what it does to people"),
        ('"people-call", ', "", "sends nobody to the poison centre"),
        (', "animals-vet-now"', "", "sends nobody to a vet"),
        ('says = \\["lawn-buried-wood", (.*)\\]', 'says = [\\1, "lawn-buried-wood"]', "in the order lawn, tree, house"),
        ("spore_q = \\{.*?\\}", "spore_q = { low = 2.6, high = 3.2 }", "cannot come from these lengths and widths"),
        ('habitat = \\["beaty[^\\n]*\\n', "", "the basis of “habitat” is missing"),
        ("\nform = [^\\n]*", "", "“form” is not scored"),
    ],
)  # fmt: skip
def test_a_broken_rule_is_named_with_its_taxon(spoil: Spoil, pattern: str, new: str, words: str) -> None:
    remarks = spoil(GALERINA, pattern, new)
    assert any(r.startswith(f"{GALERINA}: galerina-marginata-group: ") and words in r for r in remarks), remarks


def test_a_kind_that_is_not_named_back_is_named(spoil: Spoil) -> None:
    pattern = r'(?ms)\[\[taxon\.taken_for\]\]\ntaxon = "galerina-marginata-group".*?(?=\n\[)'
    remarks = spoil("taxa/kuehneromyces.toml", pattern, "")
    assert "taken for kuehneromyces-mutabilis, which does not name it back." in one(remarks)


def test_a_settling_character_that_neither_is_scored_for_is_named(spoil: Spoil) -> None:
    remarks = spoil(GALERINA, r'settle = \["deposit_colour", "spore_ornament"\]', 'settle = ["tooth_length"]')
    assert "tooth_length is said to settle it against" in one(remarks)


def test_nothing_settles_and_something_settles_cannot_both_be_said(spoil: Spoil) -> None:
    remarks = spoil(GALERINA, r"(settle = \[.*?\])", r'\1\nnot_here = "without a sequence"')
    assert "something settles it, and yet it says that nothing here does" in one(remarks)


def test_a_name_claimed_twice_is_named(spoil: Spoil) -> None:
    remarks = spoil("taxa/kuehneromyces.toml", r"synonyms = \[", 'synonyms = ["Galerina autumnalis", ')
    assert "the name “galerina autumnalis” is also claimed by" in one(remarks)


def test_no_reports_cannot_be_claimed_in_a_genus_whose_dangerous_group_it_looks_like(spoil: Spoil) -> None:
    remarks = spoil(
        GALERINA, r'hazard = \["small-brown-amatoxin"\]', 'hazard = []\nhazard_words = "no reports found by us"'
    )
    assert any("belongs to the hazard group small-brown-amatoxin and its form fits it" in r for r in remarks)


def test_a_group_of_one_and_a_group_of_strangers_are_named(spoil: Spoil) -> None:
    group = '\n[[group]]\nid = "two-group"\nname = "Galerina two group"\nmembers = [{}]\nwhy = "alike"\n\n[[taxon]]'
    remarks = spoil(GALERINA, r"\n\[\[taxon\]\]", group.format('"galerina-marginata-group", "amanita-phalloides"'))
    assert "amanita-phalloides belongs to another genus" in one(remarks)


def test_a_group_that_holds_itself_is_refused_with_the_way_round(spoil: Spoil) -> None:
    group = (
        '\n[[group]]\nid = "{0}-group"\nname = "Galerina {0} group"\n'
        'members = ["{1}-group", "galerina-marginata-group"]\nwhy = "alike"\n'
    )
    remarks = spoil(GALERINA, r"\n\[\[taxon\]\]", group.format("a", "b") + group.format("b", "a") + "\n[[taxon]]")
    assert "group a-group: it holds itself: a-group → b-group → a-group." in remarks[0]


def test_a_group_of_nobody_known_names_the_nearest(spoil: Spoil) -> None:
    group = (
        '\n[[group]]\nid = "x-group"\nname = "Galerina x group"\n'
        'members = ["galerina-marginatta-group"]\nwhy = "alike"\n\n[[taxon]]'
    )
    remarks = spoil(GALERINA, r"\n\[\[taxon\]\]", group)
    assert "no taxon or group “galerina-marginatta-group”. The nearest known: galerina-marginata-group" in one(remarks)


def test_a_sentence_without_its_spanish_is_refused(spoil: Spoil) -> None:
    remarks = spoil("sentences.toml", r'(?m)^es = "Vive de materia muerta.*$', "")
    assert "sentences.toml: lawn-dead-grass: “es” is missing." in one(remarks)


def test_an_unknown_sentence_names_the_nearest(spoil: Spoil) -> None:
    remarks = spoil(GALERINA, '"people-amatoxin"', '"people-amatoxins"')
    assert "no sentence “people-amatoxins”. The nearest known: people-amatoxin" in one(remarks)
