"""Ranks, certainty, roles and the prepared answer, in the languages a report is written in. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fruitbody.report import KindReport, Question, joined
from fruitbody.report.compose import shown_label

Words = Mapping[str, str]

RANKS: Mapping[str, Words] = {
    "species": {"en": "named to species", "es": "nombrado hasta la especie"},
    "species group": {"en": "named to a group of species", "es": "nombrado hasta un grupo de especies"},
    "section": {"en": "named to section", "es": "nombrado hasta la sección"},
    "genus": {"en": "named to genus", "es": "nombrado hasta el género"},
    "one of two genera": {"en": "narrowed to one of two genera", "es": "reducido a uno de dos géneros"},
    "family": {"en": "named to family", "es": "nombrado hasta la familia"},
    "form": {"en": "described by its form only", "es": "descrito solo por su forma"},
    "thing": {"en": "named: it is no fungus", "es": "nombrado: no es un hongo"},
    "not named": {"en": "could not be named on this material", "es": "no se pudo nombrar con este material"},
}
CERTAINTY: Mapping[str, Words] = {
    "certain": {"en": "certain on what came", "es": "cierto con lo recibido"},
    "likely": {"en": "likely, not certain", "es": "probable, no cierto"},
    "open": {"en": "open: other kinds fit as well", "es": "abierto: otras especies también encajan"},
}
ROLES: Mapping[str, Words] = {
    "client": {"en": "client", "es": "cliente"},
    "submitter": {"en": "submitter", "es": "remitente"},
    "recipient": {"en": "recipient", "es": "destinatario"},
}
ORIGINS: Mapping[str, str] = {
    "web": "announced on the web form",
    "walk-in": "brought to the desk",
    "paper": "announced on paper",
    "e-mail": "announced by e-mail",
    "telephone": "announced by telephone",
    "agent": "brought in an agent's box",
}
TOPIC: Mapping[Question, str] = {
    Question.TREE: "tree",
    Question.LAWN: "lawn",
    Question.HOUSE: "house",
    Question.CHILD: "people",
    Question.ANIMAL: "animals",
}
"""Which text of *what it means* answers the question asked."""

_NAMED: Words = {"en": "{label} is {name}, {rank}.", "es": "{label} es {name}, {rank}."}
_UNNAMED: Words = {
    "en": "{label} could not be named on this material.",
    "es": "{label} no se pudo nombrar con este material.",
}
_HELD: Words = {
    "en": "{label} has no name yet: we have asked another laboratory to confirm.",
    "es": "{label} todavía no tiene nombre: hemos pedido la confirmación de otro laboratorio.",
}
_QUOTED: Words = {"en": "“{}”", "es": "«{}»"}


def in_language(words: Mapping[str, Words], key: str, language: str) -> str:
    """The words for a key; the key itself where there are none."""
    return words.get(key, {}).get(language, key)


def prepared_answer(question: Question, kinds: Sequence[tuple[KindReport, str]], language: str) -> str:
    """The answer to the question asked, ready to be changed: the names, and the text that the question is about.

    kinds: each with its text on the topic asked for. Empty for the question that we do not answer.
    """
    if question is Question.EATING:
        return ""
    lines = [_named(kind, language) for kind, _ in kinds]
    lines += dict.fromkeys(text for kind, text in kinds if text and not kind.on_hold)
    return " ".join(lines)


def _named(kind: KindReport, language: str) -> str:
    label = shown_label(kind)
    label = _QUOTED[language].format(label) if label else kind.clinic_number
    if kind.on_hold:
        return _HELD[language].format(label=label)
    if not kind.name:
        return _UNNAMED[language].format(label=label)
    return _NAMED[language].format(label=label, name=joined(kind.name), rank=kind.rank)
