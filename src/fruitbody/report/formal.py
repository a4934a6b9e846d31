"""The formal items of a report, by their letters in ISO/IEC 17025:2017, 7.8.2.1; headings and words are our own.

Read with them: 7.8.2.2 (what the client supplied), 7.8.7 (opinions), 7.8.8 (amendments). Following the list does not
make a report an accredited one, and the report says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from fruitbody.report.cautions import caution
from fruitbody.report.content import Party, Person, ReportContent
from fruitbody.report.words import day, moment, quoted, word

_HEADINGS: Final[dict[str, dict[str, str]]] = {
    "a": {"en": "Kind of report", "es": "Tipo de informe"},
    "b": {"en": "Laboratory", "es": "Laboratorio"},
    "c": {"en": "Where the work was done", "es": "Dónde se hizo el trabajo"},
    "d": {"en": "Number of the report", "es": "Número del informe"},
    "e": {"en": "Client", "es": "Cliente"},
    "f": {"en": "How it was examined", "es": "Cómo se examinó"},
    "g": {"en": "What was examined", "es": "Qué se examinó"},
    "h": {"en": "Collected and received", "es": "Recogido y recibido"},
    "i": {"en": "Examined on", "es": "Examinado el"},
    "j": {"en": "Issued", "es": "Emitido"},
    "k": {"en": "How the pieces were chosen", "es": "Cómo se eligieron los ejemplares"},
    "l": {"en": "What the results hold for", "es": "Para qué valen los resultados"},
    "m": {"en": "Results and units", "es": "Resultados y unidades"},
    "n": {"en": "Departures from the usual way", "es": "Desviaciones del modo habitual"},
    "o": {"en": "Authorised by", "es": "Autorizado por"},
    "p": {"en": "Results from others", "es": "Resultados de terceros"},
}

_DEFAULTS: Final[dict[str, dict[str, str]]] = {
    "c": {"en": "At the clinic’s address.", "es": "En la dirección de la clínica."},
    "k": {
        "en": "The sender chose the pieces; the clinic took no sample.",
        "es": "El remitente eligió los ejemplares; la clínica no tomó muestras.",
    },
    "m": {
        "en": "Under “What we saw”, with units; uncertainties are expanded (k = 2).",
        "es": "En «Lo que vimos», con unidades; las incertidumbres son expandidas (k = 2).",
    },
}


@dataclass(frozen=True, slots=True)
class FormalItem:
    """One item: its letter in 7.8.2.1, our heading, and the lines under it."""

    letter: str
    heading: str
    lines: tuple[str, ...]


def formal_items(content: ReportContent) -> tuple[FormalItem, ...]:
    """Items a to p in order, each with at least one line."""
    language = content.language
    return tuple(
        FormalItem(letter, heading[language], _lines(letter, content)) for letter, heading in _HEADINGS.items()
    )


def _lines(letter: str, content: ReportContent) -> tuple[str, ...]:
    language, formal, came = content.language, content.formal, content.submission
    version = f"{word('version', language)} {content.version}"
    first, last = (day(moment_, language) for moment_ in formal.performed)
    performed = first if first == last else f"{first} – {last}"
    collected = (day(came.collected_on, language),) if came.collected_on else ()
    lines: dict[str, tuple[str, ...]] = {
        "a": (formal.title or word("title", language),),
        "b": (content.clinic.name, *content.clinic.address),
        "c": (formal.location or _DEFAULTS["c"][language],),
        "d": (f"{content.code}, {version}",),
        "e": _party(content.client),
        "f": formal.methods,
        "g": _items(content),
        "h": (*collected, moment(came.received_at, content.zone, language)),
        "i": (f"{performed} ({content.zone})",),
        "j": (moment(content.issued_at, content.zone, language),),
        "k": (formal.sampling or _DEFAULTS["k"][language],),
        "l": (caution("only_items", language), caution("these_pieces", language)),
        "m": (_DEFAULTS["m"][language],),
        "n": formal.deviations,
        "o": (shown_person(content.issued_by),),
        "p": formal.external,
    }
    return lines[letter] or (word("none", language),)


def shown_person(person: Person) -> str:
    return f"{person.name}, {person.title}" if person.title else person.name


def _party(party: Party) -> tuple[str, ...]:
    return (f"{party.name} ({party.role})" if party.role else party.name, *party.contact)


def _items(content: ReportContent) -> tuple[str, ...]:
    came, language = content.submission, content.language
    number, label = word("clinic_number", language), word("your_label", language)
    kinds = (
        f"{number} {kind.clinic_number} ({label}: {quoted(kind.finder_label, language)})" for kind in content.kinds
    )
    return (f"{came.code}: {came.condition}; {came.how_it_came}", *kinds)
