"""What the funga says, against practice: every fact here has its source named or is marked common practice."""

from __future__ import annotations

import math

import pytest

from fruitbody import funga
from fruitbody.funga.check import check
from fruitbody.funga.model import MeasureScore, StateScore
from fruitbody.funga.search import find_taxon
from fruitbody.funga.terms import UnknownTermError, find_character, find_state
from fruitbody.report.banned import banned_words

KNOWN = funga.load()
DEADLY = [t for t in KNOWN.taxa.values() if any(KNOWN.hazard_groups[g].grade == "deadly" for g in t.hazard)]


def test_the_checks_find_nothing_to_mend() -> None:
    assert [str(remark) for remark in check(KNOWN)] == []


MUST_BE_NAMED = [
    "Chlorophyllum molybdites", "Chlorophyllum rachodes", "Chlorophyllum brunneum", "Agaricus xanthodermus",
    "Amanita muscaria", "Amanita pantherina", "Amanita thiersii", "Amanita phalloides", "Amanita smithiana",
    "Omphalotus", "Volvopluteus gloiocephalus", "Hypholoma fasciculare", "Panaeolus foenisecii",
    "Panaeolus cinctulus", "Gymnopilus", "Psilocybe cyanescens", "Psilocybe ovoideocystidiata",
    "Coprinopsis atramentaria", "Entoloma sinuatum", "Scleroderma", "Leucocoprinus birnbaumii", "Turbinellus",
    "Rubroboletus", "Tricholoma equestre", "Pleurocybella porrigens", "Hapalopilus rutilans",
    "Trichoderma cornu-damae", "Verpa", "Morchella", "Laetiporus", "Galerina marginata", "Pholiotina rugosa",
    "Lepiota subincarnata", "Gyromitra esculenta", "Paxillus involutus", "Clitocybe rivulosa", "Cortinarius",
    "Inocybe", "Kretzschmaria deusta", "Meripilus", "Grifola", "Bondarzewia", "Phaeolus",
    "Pseudoinonotus dryadeus", "Inonotus hispidus", "Perenniporia fraxinophila", "Ganoderma",
    "Desarmillaria caespitosa", "Climacodon", "Heterobasidion", "Porodaedalea", "Chondrostereum",
    "Biscogniauxia", "Serpula lacrymans", "Meruliporia incrassata", "Coniophora", "Gloeophyllum",
    "Neolentinus lepideus", "Peziza", "Coprinellus", "Fuligo",
    "Lepiota castanea", "Lepiota helveola", "Inosperma", "Mallocybe", "Pseudosperma", "Paralepistopsis",
    "Ampulloclitocybe clavipes", "Onnia", "Fomes fomentarius", "Fomitopsis", "Phellinus", "Fistulina",
    "Rigidoporus ulmarius", "Laetiporus cincinnatus", "Inonotus obliquus", "Fibroporia", "Tapinella panuoides",
    "Lycogala", "Nostoc", "Sphaerobolus", "Gymnosporangium", "Exobasidium", "Ustilago", "Apiosporina",
    "Agroathelia", "Claviceps", "Epifagus", "Conopholis", "Monotropa", "Cladonia",
]  # fmt: skip


@pytest.mark.parametrize("name", MUST_BE_NAMED)
def test_a_kind_that_every_desk_must_know_stands_in_the_funga(name: str) -> None:
    """The list of docs/funga.md (common practice; poisoning reports of the North American Mycological Association)."""
    assert any(taxon.name.startswith(name) for taxon in KNOWN.taxa.values())


OLD_NAMES = {
    "Galerina autumnalis": "Galerina marginata",
    "Lepiota josserandii": "Lepiota subincarnata",
    "Conocybe filaris": "Pholiotina rugosa",
    "Armillaria tabescens": "Desarmillaria caespitosa",
    "Clitocybe dealbata": "Clitocybe rivulosa",
}


@pytest.mark.parametrize("old", OLD_NAMES)
def test_an_old_name_still_used_in_reports_finds_the_accepted_taxon_and_says_how(old: str) -> None:
    hit = find_taxon(KNOWN, old)
    assert hit.taxon.name.startswith(OLD_NAMES[old])
    assert old in hit.how


def test_a_misspelt_name_finds_its_taxon() -> None:
    assert find_taxon(KNOWN, "Amanita faloides").taxon.id == "amanita-phalloides"


@pytest.mark.parametrize("typed", ["Amanita proxima", "Pluteus salicinus"])
def test_a_name_that_is_not_ours_is_not_taken_for_a_kind_of_the_same_genus(typed: str) -> None:
    with pytest.raises(UnknownTermError):
        find_taxon(KNOWN, typed)


def test_a_vernacular_name_finds_its_taxon() -> None:
    assert find_taxon(KNOWN, "death cap").taxon.id == "amanita-phalloides"


def test_a_name_like_nothing_is_answered_with_a_sentence() -> None:
    with pytest.raises(UnknownTermError, match="There is no taxon called"):
        find_taxon(KNOWN, "qqqq zzzz")


@pytest.mark.parametrize(
    ("character", "term", "state"),
    [
        ("growth habit", "joined at base", "joined-base"),
        ("growth-habit", "cespitose", "tufted"),
        ("attachment", "decurrent", "running-down"),
        ("spore print", "rusty brown", "rust"),
        ("annulus", "membranous", "hanging"),
        ("volva", "saccate", "sac"),
        ("amyloidity", "dextrinoid", "red-brown"),
    ],
)
def test_terms_of_the_trade_are_understood(character: str, term: str, state: str) -> None:
    assert find_state(find_character(KNOWN, character), term) == state


@pytest.mark.parametrize("taxon", DEADLY, ids=lambda t: t.id)
def test_a_deadly_kind_names_what_it_is_taken_for_and_what_settles_it(taxon: funga.Taxon) -> None:
    assert taxon.taken_for
    # Two deadly kinds may be told apart by a sequence alone; a deadly one and any other must be settled at the bench.
    deadly = {t.id for t in DEADLY}
    assert all(pair.settle for pair in taxon.taken_for if pair.taxon not in deadly)


@pytest.mark.parametrize("taxon", DEADLY, ids=lambda t: t.id)
def test_a_deadly_kind_rests_on_a_published_source(taxon: funga.Taxon) -> None:
    published = {s for part in taxon.basis.values() for s in part} - {"from memory"}
    assert published


@pytest.mark.parametrize("taxon", KNOWN.taxa.values(), ids=lambda t: t.id)
def test_every_kind_is_scored_deeply_enough_to_be_compared(taxon: funga.Taxon) -> None:
    assert len({character for character, _ in taxon.scores}) >= 12


@pytest.mark.parametrize("taxon", KNOWN.taxa.values(), ids=lambda t: t.id)
def test_spore_quotients_follow_from_length_and_width(taxon: funga.Taxon) -> None:
    scores = [taxon.scores.get((c, "")) for c in ("spore_length", "spore_width", "spore_q")]
    if all(isinstance(s, MeasureScore) for s in scores):
        length, width, q = scores
        assert isinstance(length, MeasureScore)
        assert isinstance(width, MeasureScore)
        assert isinstance(q, MeasureScore)
        middle = math.sqrt(length.low * length.high / (width.low * width.high))
        assert q.low / 1.2 <= middle <= q.high * 1.2


# Facts that every published account agrees on; a slip here would be a severe bug.
DECISIVE = [
    ("amanita-phalloides", "deposit_colour", "white"),
    ("amanita-phalloides", "volva", "sac"),
    ("amanita-phalloides", "spore_iodine", "blue-black"),
    ("amanita-phalloides", "gill_attachment", "free"),
    ("amanita-bisporigera-group", "volva", "sac"),
    ("galerina-marginata-group", "deposit_colour", "rust"),
    ("galerina-marginata-group", "spore_ornament", "warty"),
    ("chlorophyllum-molybdites", "deposit_colour", "green"),
    ("volvopluteus-gloiocephalus", "deposit_colour", "pink"),
    ("volvopluteus-gloiocephalus", "volva", "sac"),
    ("hypholoma-fasciculare", "deposit_colour", "purple-brown"),
    ("kretzschmaria-deusta", "rot", "soft"),
    ("serpula-lacrymans", "rot", "brown"),
    ("gyromitra-esculenta-group", "head_surface", "folds"),
    ("morchella-group", "head_surface", "pits"),
    ("leucocoprinus-birnbaumii", "substrate", "pot"),
]


@pytest.mark.parametrize(("taxon", "character", "state"), DECISIVE)
def test_a_decisive_character_is_scored_right(taxon: str, character: str, state: str) -> None:
    scores = [s for (c, stage), s in KNOWN.taxa[taxon].scores.items() if c == character and stage in ("", "mature")]
    assert scores
    for score in scores:
        assert isinstance(score, StateScore)
        assert state in (*score.mostly, *score.at_times)


def test_no_word_anywhere_in_the_data_praises_or_clears_for_eating() -> None:
    """Names that promise food are names; nothing else may hold such a word (common practice of poison prevention)."""
    banned = ("edible", "choice ", "delicious", "non-toxic", "harmless", "comestible", "inofensiv", "safe to")
    for taxon in KNOWN.taxa.values():
        words = [*taxon.what.values(), taxon.perishes_note, *(p.note for p in taxon.taken_for)]
        assert not [w for w in words for b in banned if b in w.lower()], taxon.id


def test_no_fixed_sentence_praises_or_clears_in_either_language() -> None:
    found = [
        (s.id, banned_words(words, language=language))
        for s in KNOWN.sentences.values()
        for language, words in s.words.items()
    ]
    assert not [(key, words) for key, words in found if words]


def test_what_a_kind_is_speaks_neither_of_eating_nor_of_a_trees_safety() -> None:
    told = [
        (t.id, banned_words(words, language=language))
        for t in KNOWN.taxa.values()
        for language, words in t.what.items()
    ]
    assert not [(key, words) for key, words in told if words]


# Coverage


def usual_substrates(taxon: funga.Taxon) -> set[str]:
    scores = [s for (c, _), s in taxon.scores.items() if c == "substrate" and isinstance(s, StateScore)]
    return {state for score in scores for state in score.mostly}


def test_the_funga_holds_two_hundred_and_fifty_kinds_and_more() -> None:
    assert len(KNOWN.taxa) >= 250


def test_sixty_kinds_and_more_of_lawns_mulch_and_pots() -> None:
    assert sum(bool(usual_substrates(t) & {"grass", "mulch", "pot"}) for t in KNOWN.taxa.values()) >= 60


def test_ninety_kinds_and_more_on_wood_and_in_houses() -> None:
    on_wood = {"living-tree", "roots", "dead-wood", "timber", "wall", "buried-wood"}
    lives = {"wood saprotroph", "parasite of living trees", "weak parasite of trees"}
    kinds = [t for t in KNOWN.taxa.values() if set(t.way_of_life) & lives and usual_substrates(t) & on_wood]
    assert len(kinds) >= 90


def test_eighty_kinds_and_more_live_with_the_roots_of_trees_and_name_their_hosts() -> None:
    partners = [t for t in KNOWN.taxa.values() if "mycorrhizal" in t.way_of_life]
    assert len(partners) >= 80
    assert [t.id for t in partners if ("host", "") not in t.scores] == []


def test_every_syndrome_has_a_kind() -> None:
    caused = {KNOWN.hazard_groups[g].syndrome for t in KNOWN.taxa.values() for g in t.hazard}
    assert set(KNOWN.syndromes) - caused == set()


def test_every_kind_says_in_both_languages_what_it_is() -> None:
    assert [t.id for t in KNOWN.taxa.values() if set(t.what) != {"en", "es"}] == []
