"""The report's own headings and short words in English and Spanish, and how sizes, dates and moments are written."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from fruitbody.report.content import Question

QUESTIONS: Final[dict[Question, dict[str, str]]] = {
    Question.CURIOUS: {"en": "What is it?", "es": "¿Qué es?"},
    Question.TREE: {"en": "What does it mean for the tree?", "es": "¿Qué significa para el árbol?"},
    Question.LAWN: {"en": "What does it mean for the lawn?", "es": "¿Qué significa para el césped?"},
    Question.CHILD: {"en": "A child was near it: what is it?", "es": "Un niño estuvo cerca: ¿qué es?"},
    Question.ANIMAL: {"en": "An animal was near it: what is it?", "es": "Un animal estuvo cerca: ¿qué es?"},
    Question.HOUSE: {"en": "What does it mean for the house?", "es": "¿Qué significa para la casa?"},
    Question.SALE: {"en": "What is it? It matters for a sale.", "es": "¿Qué es? Importa para una venta."},
    Question.DISPUTE: {"en": "What is it? It matters in a dispute.", "es": "¿Qué es? Importa en un conflicto."},
    Question.EATING: {"en": "Can it be eaten?", "es": "¿Se puede comer?"},
}

WORDS: Final[dict[str, dict[str, str]]] = {
    "title": {"en": "Naming report", "es": "Informe de identificación"},
    "report": {"en": "Report", "es": "Informe"},
    "version": {"en": "version", "es": "versión"},
    "page": {"en": "page", "es": "página"},
    "of": {"en": "of", "es": "de"},
    "to": {"en": "To", "es": "Para"},
    "you_asked": {"en": "You asked", "es": "Usted preguntó"},
    "your_label": {"en": "You marked it", "es": "Usted lo marcó"},
    "quoted": {"en": "“{}”", "es": "«{}»"},
    "clinic_number": {"en": "Clinic number", "es": "Número de la clínica"},
    "unnamed": {"en": "Not named", "es": "Sin nombre"},
    "not_named_yet": {"en": "Not named yet", "es": "Todavía sin nombre"},
    "also_called": {"en": "also called", "es": "también llamado"},
    "according_to": {"en": "Name according to", "es": "Nombre según"},
    "size": {"en": "Size of what came", "es": "Tamaño de lo recibido"},
    "lawn": {"en": "Lawn", "es": "Césped"},
    "tree": {"en": "Tree", "es": "Árbol"},
    "house": {"en": "House", "es": "Casa"},
    "people": {"en": "People", "es": "Personas"},
    "animals": {"en": "Animals", "es": "Animales"},
    "not_excluded": {"en": "What we could not exclude", "es": "Lo que no pudimos excluir"},
    "further": {"en": "further dangerous groups", "es": "otros grupos peligrosos"},
    "further_count": {
        "en": "{} that fit less well were not ruled out one by one; the pages of evidence name them",
        "es": "{} que encajan peor no se descartaron uno a uno; las páginas de indicios los nombran",
    },
    "also_not_excluded": {
        "en": "Also not ruled out, though they fit less well",
        "es": "Tampoco descartados, aunque encajan peor",
    },
    "not_excluded_line": {"en": "We could not exclude: {}.", "es": "No pudimos excluir: {}."},
    "not_answered": {"en": "We do not answer this: {}", "es": "No respondemos a esto: {}"},
    "first": {"en": "First of all", "es": "Antes que nada"},
    "please_note": {"en": "Please note", "es": "Tenga en cuenta"},
    "changed": {"en": "This version replaces {}", "es": "Esta versión reemplaza a {}"},
    "what_changed": {"en": "What changed", "es": "Qué cambió"},
    "why": {"en": "Why", "es": "Por qué"},
    "called": {"en": "We called {to} about it on {when} ({by}).", "es": "Llamamos a {to} por esto el {when} ({by})."},
    "will_call": {
        "en": "We will call you the same day that this report is issued.",
        "es": "Le llamaremos el mismo día de emisión de este informe.",
    },
    "issued_by": {"en": "Issued by", "es": "Emitido por"},
    "none": {"en": "none", "es": "ninguno"},
    "evidence": {"en": "What we saw", "es": "Lo que vimos"},
    "ev_character": {"en": "Finding", "es": "Hallazgo"},
    "ev_value": {"en": "Value", "es": "Valor"},
    "ev_on": {"en": "Seen on", "es": "Visto en"},
    "ev_by": {"en": "By", "es": "Por"},
    "not_seen": {"en": "Cannot be seen on this material", "es": "No se puede ver en este material"},
    "strips": {
        "en": "Measures against the range of the name given",
        "es": "Medidas frente al intervalo del nombre dado",
    },
    "strip_alt": {
        "en": "{what}: the usual range of the name given is {low} to {high} {unit}; found: {found} {unit}.",
        "es": "{what}: el intervalo habitual del nombre dado es {low} a {high} {unit}; hallado: {found} {unit}.",
    },
    "strip_key": {
        "en": "Bar: usual range. Thin line: extremes, where known. Mark: what we found, with its uncertainty (k = 2).",
        "es": "Barra: intervalo habitual. Línea fina: extremos, si se conocen. Marca: lo hallado, con su incertidumbre "
        "(k = 2).",
    },
    "photos": {"en": "Photos", "es": "Fotos"},
    "photo_lost": {"en": "The photo “{}” could not be read.", "es": "No se pudo leer la foto «{}»."},
    "opinions": {"en": "Opinions and interpretations", "es": "Opiniones e interpretaciones"},
    "opinion_note": {
        "en": "A name is an opinion of the person named, on the findings listed.",
        "es": "Un nombre es una opinión de la persona indicada, sobre los hallazgos enumerados.",
    },
    "named_by": {"en": "named by {who}", "es": "nombrado por {who}"},
    "rests_on": {"en": "rests on", "es": "se apoya en"},
    "told": {
        "en": "What the client told us (the client answers for it)",
        "es": "Lo que nos dijo el cliente (bajo su responsabilidad)",
    },
    "formal": {"en": "About this report", "es": "Sobre este informe"},
    "recipients": {"en": "Also sent to", "es": "Enviado también a"},
    "marks": {"en": "Characters that could not be printed", "es": "Caracteres que no se pudieron imprimir"},
    "mark_line": {"en": "{mark} stands for {names}", "es": "{mark} está en lugar de {names}"},
    "end": {"en": "End of report {code}, version {version}.", "es": "Fin del informe {code}, versión {version}."},
    "digest": {"en": "Digest of the content (SHA-256)", "es": "Resumen criptográfico del contenido (SHA-256)"},
    "whole": {
        "en": "Please pass this report on only as a whole.",
        "es": "Por favor, entregue este informe a otros solo completo.",
    },
}

_MONTHS = {
    "en": [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ],
    "es": [
        "enero",
        "febrero",
        "marzo",
        "abril",
        "mayo",
        "junio",
        "julio",
        "agosto",
        "septiembre",
        "octubre",
        "noviembre",
        "diciembre",
    ],
}


def word(key: str, language: str) -> str:
    return WORDS[key][language]


def quoted(text: str, language: str) -> str:
    """Words that are not ours, in the quotation marks of the language; '' stays ''."""
    return WORDS["quoted"][language].format(text) if text else ""


def day(value: date, language: str) -> str:
    """'5 May 2026', '5 de mayo de 2026'."""
    join = " de " if language == "es" else " "
    return join.join((str(value.day), _MONTHS[language][value.month - 1], str(value.year)))


def moment(value: datetime, zone: str, language: str) -> str:
    """Date and time in a zone, with its name and its offset from UTC then. Raises ValueError for a naive moment."""
    if value.utcoffset() is None:
        raise ValueError("A moment in a report needs a time zone. Give an aware date and time.")
    value = value.astimezone(ZoneInfo(zone))
    offset = value.utcoffset() or timedelta()
    minutes = round(offset / timedelta(minutes=1))
    shown = f"UTC{'−' if minutes < 0 else '+'}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"
    return f"{day(value, language)}, {value:%H:%M} ({zone}, {shown})"


def size_in_words(low_mm: float, high_mm: float, language: str) -> str:
    """A size as people say it: 'about 6 cm', 'about 4 to 6 cm', 'about 3 mm'.

    Under 1 cm to the millimetre, under 3 cm to half a centimetre, under 1 m to the centimetre, else to 10 cm. Two ends
    that read the same are one. Raises ValueError for lengths that are not positive or not in order.
    """
    if not 0 < low_mm <= high_mm < float("inf"):
        raise ValueError("A size needs a positive smaller and larger end, in this order, in millimetres.")
    (low, low_unit), (high, high_unit) = _rounded(low_mm, language), _rounded(high_mm, language)
    about, to = ("unos", "a") if language == "es" else ("about", "to")
    if (low, low_unit) == (high, high_unit):
        return f"{about} {high} {high_unit}"
    shown_low = low if low_unit == high_unit else f"{low} {low_unit}"
    return f"{about} {shown_low} {to} {high} {high_unit}"


def _rounded(mm: float, language: str) -> tuple[str, str]:
    # Halves go up, as people round; the tiny term undoes 6.5 held as 6.4999…
    def step(value: float, unit: float) -> float:
        return int(value / unit + 0.5 + 1e-9) * unit

    if mm < 9.5:
        return f"{max(1.0, step(mm, 1)):g}", "mm"
    if mm < 975:
        value, unit = (step(mm / 10, 0.5) if mm < 30 else step(mm / 10, 1)), "cm"
    else:
        value, unit = round(step(mm / 1000, 0.1), 1), "m"
    shown = f"{value:g}"
    return (shown.replace(".", ",") if language == "es" else shown), unit
