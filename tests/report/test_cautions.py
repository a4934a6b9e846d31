"""The fixed sentences and the words that no text of ours may use."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fruitbody.report import BANNED, CAUTIONS, LANGUAGES, banned_words, caution

# The list of practice.md B2 and B7, per language, as it stands there.
LISTED = {
    "en": (
        "edible",
        "choice",
        "delicious",
        "non-toxic",
        "harmless",
        "safe",
        "can stay",
        "must be felled",
        "low risk",
    ),
    "es": ("comestible", "inofensivo"),
}


@pytest.mark.parametrize("key", CAUTIONS)
def test_every_fixed_sentence_stands_in_both_languages(key: str) -> None:
    assert set(CAUTIONS[key]) == set(LANGUAGES)
    assert all(text.strip() == text and len(text) > 10 for text in CAUTIONS[key].values())


@pytest.mark.parametrize("key", CAUTIONS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_no_fixed_sentence_trips_the_banned_words(key: str, language: str) -> None:
    assert banned_words(CAUTIONS[key][language], language=language) == ()


def test_the_two_sentences_on_every_report_keep_the_words_of_the_design() -> None:
    assert caution("not_eating", "en") == (
        "This report does not say whether any mushroom is safe to eat. Do not eat any wild mushroom because of it."
    )
    assert caution("these_pieces", "en") == (
        "This names the pieces we examined. Other mushrooms from the same place may be another kind."
    )


def test_the_tree_sentence_keeps_the_words_of_the_design() -> None:
    assert caution("tree", "en") == "We name the fungus. We have not inspected the tree and do not rate its safety."


def test_the_poison_centre_number_stands_in_both_languages() -> None:
    assert all("1-800-222-1222" in CAUTIONS["poisoning_people"][language] for language in LANGUAGES)


def test_an_unknown_fixed_sentence_is_refused_with_the_known_ones() -> None:
    with pytest.raises(KeyError, match="not_eating"):
        caution("all_clear", "en")


@pytest.mark.parametrize(("language", "word"), [(lang, w) for lang, words in LISTED.items() for w in words])
def test_every_listed_word_is_found_in_a_sentence(language: str, word: str) -> None:
    found = banned_words(f"We think: {word.capitalize()}, indeed.", language=language)
    assert [hit.word for hit in found] == [word]


@pytest.mark.parametrize(
    "text",
    [
        "It is inedible.",
        "unsafe to eat",
        "non\u2011toxic",
        "nontoxic",
        "NON TOXIC",
        "not poisonous",
        "sa\u00adfe",
        "Ｓａｆｅ",
    ],
)
def test_kin_and_disguised_forms_are_judged_too(text: str) -> None:
    assert banned_words(text, language="en")


@pytest.mark.parametrize("text", ["inofensivas", "no es tóxico", "apto para el consumo", "COMESTIBLES", "deliciosa"])
def test_spanish_kin_are_judged_too(text: str) -> None:
    assert banned_words(text, language="es")


@pytest.mark.parametrize(
    "text", ["Lactarius deliciosus", "Gyromitra esculenta", "a safety-pin", "choices", "vouchsafed"]
)
def test_only_whole_words_are_judged(text: str) -> None:
    hits = [hit.word for hit in banned_words(text, language="en")]
    assert hits == (["safety"] if "safety" in text else [])


def test_a_listed_name_is_spared_as_a_whole() -> None:
    text = "The delicious milk cap was in the bag."
    assert banned_words(text, language="en")
    assert banned_words(text, language="en", names=["Delicious milk cap"]) == ()


def test_a_listed_name_spares_no_other_word() -> None:
    found = banned_words("A delicious milk cap is delicious.", language="en", names=["delicious milk cap"])
    assert len(found) == 1


def test_a_name_that_is_only_a_banned_word_is_not_spared() -> None:
    assert banned_words("It is safe.", language="en", names=["safe"])


def test_a_fixed_sentence_spares_only_itself() -> None:
    text = caution("not_eating", "en") + " It is safe."
    assert [hit.word for hit in banned_words(text, language="en")] == ["safe"]


def test_an_unknown_language_is_refused() -> None:
    with pytest.raises(KeyError, match="en, es"):
        banned_words("text", language="fr")


@given(st.text(max_size=40), st.sampled_from(sorted(LISTED["en"])), st.text(max_size=40))
def test_a_listed_word_between_any_two_texts_is_found(before: str, word: str, after: str) -> None:
    assert banned_words(f"{before} {word} {after}", language="en")


def test_every_language_of_the_fixed_sentences_has_a_list() -> None:
    assert set(BANNED) == set(LANGUAGES)
