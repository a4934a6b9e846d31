"""Names with qualifiers.

Outside check: Sigovini, Keppel & Tagliapietra 2016, Methods in Ecology and Evolution 7: 1217–1225,
doi 10.1111/2041-210X.12594. Meanings of aff., cf. and ? and the place of aff. and cf. between genus and epithet were
read in a published data standard for bees that quotes that paper's definitions; the place of gr. and ? and the use of
sp. and spp. are common practice.
"""

from __future__ import annotations

import pytest

from fruitbody.report import MEANING, NamePart, Qualifier, QualifierError, compose_name, joined

# name, qualifier, what is printed, with _italic_ parts
TABLE = [
    ("Amanita phalloides", "", "_Amanita_ _phalloides_"),
    ("Amanita phalloides", "cf.", "_Amanita_ cf. _phalloides_"),
    ("Amanita phalloides", "aff.", "_Amanita_ aff. _phalloides_"),
    ("Armillaria mellea", "gr.", "_Armillaria_ gr. _mellea_"),
    ("Amanita phalloides", "?", "_Amanita_ _?phalloides_"),
    ("Amanita", "sp.", "_Amanita_ sp."),
    ("Amanita", "spp.", "_Amanita_ spp."),
    ("Amanita", "cf.", "cf. _Amanita_"),
    ("Amanita", "?", "_?Amanita_"),
    ("Amanita sect. Phalloideae", "", "_Amanita_ sect. _Phalloideae_"),
    ("Amanita sect. Phalloideae", "sp.", "_Amanita_ sect. _Phalloideae_ sp."),
    ("Hymenopellis radicata var. alba", "cf.", "_Hymenopellis_ _radicata_ var. cf. _alba_"),
]


def _shown(parts: tuple[NamePart, ...]) -> str:
    return " ".join(f"_{part.text}_" if part.italic else part.text for part in parts)


@pytest.mark.parametrize(("name", "qualifier", "printed"), TABLE)
def test_a_qualifier_stands_upright_before_what_it_qualifies(name: str, qualifier: str, printed: str) -> None:
    assert _shown(compose_name(name, qualifier=qualifier)) == printed


def test_a_qualifier_of_the_genus_stands_before_the_genus() -> None:
    assert _shown(compose_name("Amanita phalloides", qualifier="cf.", at="genus")) == "cf. _Amanita_ _phalloides_"


def test_family_names_are_italic_like_all_names() -> None:
    # International Code of Nomenclature for algae, fungi, and plants (Shenzhen), preface: names of any rank in italics.
    assert compose_name("Amanitaceae") == (NamePart("Amanitaceae", italic=True),)


@pytest.mark.parametrize(
    ("name", "qualifier"),
    [
        ("", ""),
        ("Amanita phalloides", "sp."),
        ("Amanita", "gr."),
        ("Amanita phalloides", "near"),
        ("Amanita cf. pan", "cf."),
    ],
)
def test_a_name_that_cannot_stand_is_refused_with_a_sentence(name: str, qualifier: str) -> None:
    with pytest.raises(QualifierError, match=r"\.$"):
        compose_name(name, qualifier=qualifier)


def test_the_plain_text_of_a_name_joins_its_parts() -> None:
    assert joined(compose_name("Galerina marginata", qualifier="gr.")) == "Galerina gr. marginata"


def test_every_qualifier_has_its_meaning_in_both_languages() -> None:
    assert set(MEANING) == set(Qualifier)
    assert all(meaning["en"] and meaning["es"] for meaning in MEANING.values())
