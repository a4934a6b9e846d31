"""Labels at true size: the finder's parcel label with a slip per kind, and the small labels of the bench.

Sizes are in millimetres and hold when printed at 100 %; each sheet carries a line of 100 mm to check it by.
"""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, Final

import segno

from fruitbody.report.pdf import paper_name, typeset
from fruitbody.report.words import day

_TEMPLATE: Final = Path(__file__).with_name("labels.typ")
QR_MM: Final = 22.0  # side of the symbol without its quiet zone, on slips and parcel labels
BAG_QR_MM: Final = 20.0
LABEL_LIMIT: Final = 160  # characters of a finder's label that are printed

_WORDS: Final[dict[str, dict[str, str]]] = {
    "to": {"en": "To", "es": "Para"},
    "parcel": {"en": "Stick this on the parcel", "es": "Pegue esto en el paquete"},
    "slip": {"en": "Put this into the bag with this kind", "es": "Ponga esto en la bolsa con esta especie"},
    "yours": {"en": "You marked it", "es": "Usted lo marcó"},
    "asked": {"en": "You asked", "es": "Usted preguntó"},
    "contents": {
        "en": "Mushrooms for naming. Perishable: keep cool. Do not eat.",
        "es": "Hongos para identificar. Perecedero: mantener fresco. No comer.",
    },
    "not_food": {"en": "Do not eat.", "es": "No comer."},
    "code": {"en": "Code", "es": "Código"},
    "kind": {"en": "kind {i} of {n}", "es": "especie {i} de {n}"},
    "check": {
        "en": "Print at 100 %: this line is 100 mm long.",
        "es": "Imprima al 100 %: esta línea mide 100 mm.",
    },
    "title": {"en": "Labels for {}", "es": "Etiquetas para {}"},
    "received": {"en": "received {}", "es": "recibido {}"},
    "qr": {"en": "QR code of {}", "es": "Código QR de {}"},
}


@dataclass(frozen=True, slots=True)
class Slip:
    """What the finder prints for one kind. `url` is the private link that the QR code holds; empty: the code itself.

    question: the question asked, in words; code: the submission's code, the same on each slip of a parcel.
    """

    code: str
    finder_label: str
    clinic_name: str
    clinic_address: tuple[str, ...]
    url: str = ""
    question: str = ""
    language: str = "en"


@dataclass(frozen=True, slots=True)
class BagLabel:
    """A small label of the bench for one bag or kind; its QR code holds the clinic number. `kind`: 'B1' or words."""

    clinic_number: str
    kind: str
    finder_label: str
    received_on: date
    language: str = "en"


def label_sheet(slips: Sequence[Slip], *, paper: str = "letter") -> bytes:
    """PDF of a parcel label (190 × 76 mm) and one slip of 95 × 56 mm per kind, with cut lines. paper: 'letter', 'a4'.

    Raises ValueError when there is no slip or the paper is unknown.
    """
    if not slips:
        raise ValueError("There is no kind to print a slip for. Add at least one.")
    first = slips[0]
    symbols, files = _symbols([slip.url or slip.code for slip in slips])
    words = {key: texts[first.language] for key, texts in _WORDS.items()}
    data = {
        "layout": "sheet",
        "language": first.language,
        "title": words["title"].format(first.code),
        "paper": paper_name(paper),
        "qr_mm": QR_MM,
        "words": words,
        "parcel": {"clinic": first.clinic_name, "address": first.clinic_address, "code": first.code},
        "parcel_qr": {"file": symbols[0], "alt": words["qr"].format(first.code)},
        "slips": [
            {
                "label": shortened(slip.finder_label),
                "code": slip.code,
                "clinic": slip.clinic_name,
                "question": shortened(slip.question),
                "which": words["kind"].format(i=i, n=len(slips)),
                "qr": {"file": symbol, "alt": words["qr"].format(slip.code)},
            }
            for i, (slip, symbol) in enumerate(zip(slips, symbols, strict=True), start=1)
        ],
    }
    return typeset(_TEMPLATE, data, files=files)


def bag_label(labels: Sequence[BagLabel], *, size_mm: tuple[float, float] = (62.0, 29.0)) -> bytes:
    """PDF with one page of `size_mm` (width, height) per label, for a label printer. At least 45 by 25 mm.

    Raises ValueError when there is no label or the size is too small for the code of 20 mm.
    """
    if not labels:
        raise ValueError("There is no label to print. Choose at least one bag or kind.")
    width, height = size_mm
    if width < 45 or height < 25:
        raise ValueError("The label is too small for its code. Choose a size of at least 45 by 25 mm.")
    symbols, files = _symbols([label.clinic_number for label in labels])
    data = {
        "layout": "bag",
        "language": labels[0].language,
        "title": _WORDS["title"][labels[0].language].format(labels[0].clinic_number),
        "size_mm": [width, height],
        "qr_mm": BAG_QR_MM,
        "labels": [
            {
                "number": label.clinic_number,
                "kind": label.kind,
                "label": shortened(label.finder_label, 60),
                "received": _WORDS["received"][label.language].format(day(label.received_on, label.language)),
                "qr": {"file": symbol, "alt": _WORDS["qr"][label.language].format(label.clinic_number)},
            }
            for label, symbol in zip(labels, symbols, strict=True)
        ],
    }
    return typeset(_TEMPLATE, data, files=files)


def shortened(text: str, limit: int = LABEL_LIMIT) -> str:
    """One line of at most `limit` characters, '…' where something is left out; very long words may break anywhere."""
    line = " ".join(text.split())
    line = line if len(line) <= limit else line[: limit - 1].rstrip() + "…"
    return re.sub(r"(\S{16})(?=\S{4})", "\\1\u200b", line)


def _symbols(texts: Sequence[str]) -> tuple[list[str], dict[str, bytes]]:
    """The file name of the symbol of each text, and the files: one per different text, error level M or better."""
    files: dict[str, bytes] = {}
    names: dict[str, str] = {}
    for text in texts:
        if text not in names:
            names[text] = f"qr-{len(names)}.svg"
            files[names[text]] = _svg(text)
    return ["/" + names[text] for text in texts], files


def _svg(text: str) -> bytes:
    out = io.BytesIO()
    options: dict[str, Any] = {"border": 0, "xmldecl": False, "svgns": True, "omitsize": True, "dark": "#000"}
    segno.make_qr(text, error="m").save(out, kind="svg", **options)
    return out.getvalue()
