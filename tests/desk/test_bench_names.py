"""Names as typed, how a second reading stands to the first, and when what fits is folded."""

from __future__ import annotations

import pytest

from fruitbody.desk.bench.folding import folding
from fruitbody.desk.bench.names import find_names, name_parts, resolve
from fruitbody.desk.bench.notebook_errors import NamingError
from fruitbody.desk.bench.reading import Named, Outcome, compare
from fruitbody.funga import load
from fruitbody.report import joined

FUNGA = load()


@pytest.mark.parametrize(
    ("typed", "written", "rank", "taxon"),
    [
        ("Amanita phalloides", "Amanita phalloides", "species", "amanita-phalloides"),
        ("amanita phalloides", "Amanita phalloides", "species", "amanita-phalloides"),
        ("Agaricus", "Agaricus sp.", "genus", ""),
        ("Agaricus sp.", "Agaricus sp.", "genus", ""),
        ("Amanita cf. phalloides", "Amanita cf. phalloides", "species", "amanita-phalloides"),
        ("Agaricus campestris group", "Agaricus gr. campestris", "species group", "agaricus-campestris-group"),
        ("Amanitaceae", "Amanitaceae", "family", ""),
    ],
)
def test_a_name_is_written_as_the_funga_has_it(typed: str, written: str, rank: str, taxon: str) -> None:
    name = resolve(FUNGA, typed)
    assert joined(name_parts(name.name, name.rank, name.qualifier)) == written
    assert (name.rank, name.taxon) == (rank, taxon)


def test_a_vernacular_name_says_how_it_was_found() -> None:
    vernacular = next(n for n in FUNGA.taxa["amanita-phalloides"].vernacular["en"])
    name = resolve(FUNGA, vernacular)
    assert (name.name, name.taxon) == ("Amanita phalloides", "amanita-phalloides")
    assert "Amanita phalloides" in name.how
    assert name.according_to


def test_an_unknown_name_is_kept_only_with_its_rank_and_on_purpose() -> None:
    with pytest.raises(NamingError, match="Nearest: Amanita phalloides"):
        resolve(FUNGA, "Amanita faloides")
    kept = resolve(FUNGA, "Zzyzxia mirabilis", rank="species", as_typed=True)
    assert (kept.name, kept.taxon) == ("Zzyzxia mirabilis", "")


@pytest.mark.parametrize(
    ("typed", "rank", "qualifier"),
    [
        ("", "", ""),
        ("Agaricus campestris", "", "sp."),
        ("a gilled mushroom", "form", "cf."),
        ("Agaricus", "species!", ""),
    ],
)
def test_a_name_that_cannot_be_is_refused(typed: str, rank: str, qualifier: str) -> None:
    with pytest.raises(NamingError):
        resolve(FUNGA, typed, rank=rank, qualifier=qualifier)


def test_two_genera_stand_upright_at_the_or() -> None:
    name = resolve(FUNGA, "Agaricus or Amanita", rank="one of two genera")
    assert [part.italic for part in name_parts(name.name, name.rank, name.qualifier)] == [True, False, True]


def test_names_are_offered_with_how_they_were_found() -> None:
    assert [hit.name for hit in find_names(FUNGA, "phalloid")][:1] == ["Amanita phalloides"]
    assert any("death cap" in hit.how.lower() for hit in find_names(FUNGA, "death ca"))
    assert find_names(FUNGA, "q") == []


DEATH = Named("Amanita phalloides", "species", "", "amanita-phalloides")
DEATH_CF = Named("Amanita phalloides", "species", "cf.", "amanita-phalloides")
AMANITA = Named("Amanita", "genus", "sp.")
AGARICUS = Named("Agaricus", "genus", "sp.")
FAMILY = Named("Amanitaceae", "family")
FORM = Named("a gilled mushroom", "form")
BOTH = Named("Agaricus or Amanita", "one of two genera")


@pytest.mark.parametrize(
    ("first", "second", "outcome"),
    [
        (DEATH, DEATH, Outcome.SAME),
        (DEATH, AMANITA, Outcome.WIDER),
        (AMANITA, DEATH, Outcome.NARROWER),
        (FAMILY, DEATH, Outcome.NARROWER),
        (DEATH, FORM, Outcome.WIDER),
        (BOTH, AMANITA, Outcome.NARROWER),
        (AGARICUS, AMANITA, Outcome.DIFFERENT),
        (DEATH, DEATH_CF, Outcome.WIDER),
        (DEATH_CF, DEATH, Outcome.NARROWER),
        (DEATH, Named("Amanita citrina", "species"), Outcome.DIFFERENT),
        (AMANITA, Named("Xerula", "genus", "sp."), Outcome.DIFFERENT),
        (AMANITA, FAMILY, Outcome.WIDER),
    ],
)
def test_a_second_reading_against_the_first(first: Named, second: Named, outcome: Outcome) -> None:
    assert compare(FUNGA, first, second) is outcome


def test_turning_the_two_readings_round_turns_wider_and_narrower_round() -> None:
    turned = {Outcome.WIDER: Outcome.NARROWER, Outcome.NARROWER: Outcome.WIDER}
    names = [DEATH, DEATH_CF, AMANITA, AGARICUS, FAMILY, FORM, BOTH]
    for first in names:
        for second in names:
            outcome = compare(FUNGA, first, second)
            assert compare(FUNGA, second, first) is turned.get(outcome, outcome)


@pytest.mark.parametrize(
    ("reader", "drawn", "danger", "seen", "folded"),
    [
        (True, 0.9, False, False, True),
        (False, 0.9, False, False, False),
        (False, 0.1, False, False, True),
        (False, 0.9, True, False, True),
        (True, 0.1, True, True, False),
    ],
)
def test_what_fits_is_folded_by_wish_by_draw_and_by_danger(
    reader: bool, drawn: float, danger: bool, seen: bool, folded: bool
) -> None:
    said = folding(reader_folds=reader, drawn=drawn, share=0.2, danger=danger, seen=seen)
    assert said.folded is folded
    assert bool(said.why) is folded
