"""What a kind means, in plain words: its own sentence on what it is, and fixed sentences that it shares with others.

Hazards and cautions are never free text: a taxon names ids of `sentences.toml`, where each meaning has one wording in
each language.
"""

from __future__ import annotations

from collections.abc import Mapping

from fruitbody.funga.model import Funga, Sentence, Taxon
from fruitbody.funga.problems import Problem
from fruitbody.funga.reading import Reader, Table

TOPICS = ("lawn", "tree", "house", "people", "animals")
KINDS = ("means", "hazard", "do", "do-not")


def read_sentences(table: Table, problems: list[Problem]) -> dict[str, Sentence]:
    """Read `sentences.toml`; every sentence must stand in English and in Spanish."""
    sentences: dict[str, Sentence] = {}
    for key, entry in table.items():
        reader = Reader("sentences.toml", key, entry, problems)
        sentences[key] = Sentence(
            id=key,
            topic=reader.word("topic", TOPICS, kind="topic"),
            kind=reader.word("kind", KINDS, kind="kind of sentence"),
            words={language: reader.text(language, required=True) for language in ("en", "es")},
        )
        reader.done()
    return sentences


def means_of(funga: Funga, taxon: Taxon, language: str = "en") -> Mapping[str, str]:
    """What the taxon means, by topic (lawn, tree, house, people, animals); only topics with something to say.

    language: "en" or "es"; any other reads as English.
    """
    told: dict[str, list[str]] = {}
    for key in taxon.says:
        sentence = funga.sentences[key]
        told.setdefault(sentence.topic, []).append(sentence.words.get(language, sentence.words["en"]))
    return {topic: " ".join(told[topic]) for topic in TOPICS if topic in told}


def what_of(taxon: Taxon, language: str = "en") -> str:
    """What it is, in one or two plain sentences; the English one where the language has none; '' where nothing is."""
    return taxon.what.get(language) or taxon.what.get("en", "")
