"""A description composed from scores: what is said plainly, what with its word, what by stage."""

from __future__ import annotations

import pytest

from fruitbody.funga import load
from fruitbody.funga.composed import clause_of, describe, listed, score_phrase
from fruitbody.funga.model import CharacterKind, MeasureScore, StateScore
from fruitbody.funga.phrases import PHRASES, UNSAID

KNOWN = load()


@pytest.mark.parametrize(
    ("character", "score", "words"),
    [
        ("cap_width", MeasureScore(50, 140, min=40), "(40–) 50–140 mm wide"),
        ("cap_shape", StateScore(mostly=("convex", "flat")), "gently domed to flat"),
        ("cap_colour", StateScore(("olive", "yellow"), at_times=("white",)), "olive or yellow, at times white"),
        ("cap_margin", StateScore(at_times=("inrolled",)), "edge at times rolled in"),
        ("base_marks", StateScore(at_times=("white-cords",)), "at times with white cords"),
        ("cap_umbo", StateScore(("none",), seldom=("broad",)), "without a hump, seldom with a low broad hump"),
        (
            "face_cystidia",
            StateScore(("thin",), at_times=("none",)),
            "cystidia on the gill face thin-walled, at times none",
        ),
        ("deposit_colour", StateScore(("white",), never=("black",)), "white, never black"),
        ("host", StateScore(("tilia", "fagus")), "with linden/basswood or beech"),
        ("gill_attachment", StateScore(("stemless",)), ""),
    ],
)
def test_a_score_reads_as_in_a_flora(character: str, score: StateScore | MeasureScore, words: str) -> None:
    assert score_phrase(KNOWN.characters[character], score) == words


def test_stages_that_differ_are_each_said() -> None:
    stages = {"young": StateScore(("white",)), "mature": StateScore(("pink",))}
    assert clause_of(KNOWN.characters["gill_colour"], stages) == "when young white, in its prime pink"


def test_stages_that_agree_are_said_once() -> None:
    stages = {"young": StateScore(("white",)), "mature": StateScore(("white",))}
    assert clause_of(KNOWN.characters["gill_colour"], stages) == "white"


def test_what_stands_before_the_words_is_said_once_for_all_stages() -> None:
    stages = {"young": StateScore(("white",)), "mature": StateScore(("powder",))}
    words = clause_of(KNOWN.characters["ball_inside"], stages)
    assert words == "halved: when young white and even throughout, in its prime powder"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["a"], "a"),
        (["a", "b"], "a or b"),
        (["a", "b", "c"], "a, b or c"),
        (["a, torn", "b", "c"], "a, torn or b or c"),
    ],
)
def test_a_list_keeps_apart_what_holds_commas(words: list[str], told: str) -> None:
    assert listed(words) == told


def test_spores_are_told_as_length_by_width_in_one_clause() -> None:
    (spores,) = [d.words for d in describe(KNOWN, KNOWN.taxa["amanita-phalloides"]) if d.organ == "spores"]
    assert spores.startswith("(7–) 8–10.5 (–12) × (5.8–) 6–8.5 (–9.5) µm, (1–) 1.05–1.35 (–1.5) times as long as wide;")


@pytest.mark.parametrize("taxon", sorted(KNOWN.taxa))
def test_every_organ_with_a_score_has_a_whole_sentence(taxon: str) -> None:
    known = KNOWN.taxa[taxon]
    scored = {KNOWN.characters[c].organ for c, _ in known.scores}
    described = describe(KNOWN, known)
    assert {d.organ for d in described} == scored
    assert all(d.words.endswith(".") and d.words[0] == d.words[0].upper() and "  " not in d.words for d in described)


def test_phrases_speak_of_characters_and_states_that_exist() -> None:
    for name, phrase in PHRASES.items():
        states = {state.id for state in KNOWN.characters[name].states}
        assert {*phrase.words, *phrase.whole} <= states | {s.id for s in KNOWN.characters["cap_colour"].states}, name
    assert all(states <= set(KNOWN.characters[name].state_ids) for name, states in UNSAID.items())


def test_every_character_that_is_scored_has_its_phrase() -> None:
    left_plain = {"form", "spore_shape", "branching", "gill_spacing", "head_join", "stinkhorn_build"}
    scored = {c.id for c in KNOWN.characters.values() if c.kind is not CharacterKind.STAGE}
    assert scored - set(PHRASES) - {"spore_length", "spore_width", "spore_q"} <= left_plain
