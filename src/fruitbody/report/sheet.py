"""A report as plain JSON for the template: every word already chosen, nothing left to decide, no markup."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

from fruitbody.report.cautions import caution
from fruitbody.report.compose import compose, masked
from fruitbody.report.content import Evidence, KindReport, Photo, ReportContent, Strip
from fruitbody.report.formal import formal_items, shown_person
from fruitbody.report.qualifiers import NamePart
from fruitbody.report.words import WORDS, day, quoted, word

_ALT_LIMIT = 1000  # characters; PDF strings end at 32,767 bytes


def sheet(content: ReportContent) -> dict[str, Any]:
    """The report for `report.typ`; photos as indices into `photos_of(content)`, in the same order."""
    letter, language, clinic = compose(content), content.language, content.clinic
    return {
        "language": language,
        "words": {key: texts[language] for key, texts in WORDS.items()},
        "title": f"{word('report', language)} {content.code}, {word('version', language)} {content.version}",
        "heading": content.formal.title or word("title", language),
        "code": content.code,
        "version": content.version,
        "clinic": {"name": clinic.name, "address": clinic.address, "ways": _ways(content)},
        "to": {"name": content.client.name, "contact": content.client.contact},
        "urgent": letter.urgent,
        "called": letter.called,
        "replaces": letter.replaces,
        "changed": letter.changed,
        "why": letter.why,
        "asked": letter.asked,
        "answer": letter.answer,
        "kinds": [
            {
                "label": kind.label,
                "clinic_number": kind.clinic_number,
                "name": _parts(kind.name),
                "vernacular": kind.vernacular,
                "status": kind.status,
                "according_to": kind.according_to,
                "what": kind.what,
                "size": kind.size,
                "answer": kind.answer,
                "means": kind.means,
                "not_excluded": kind.not_excluded,
            }
            for kind in letter.kinds
        ],
        "cautions": letter.cautions,
        "signed": letter.signed,
        "evidence": [_evidence(masked(kind), content) for kind in content.kinds],
        "told": [(what, quoted(said, language)) for what, said in content.submission.told],
        "recipients": [f"{party.name} ({party.role})" if party.role else party.name for party in content.recipients],
        "formal": [{"letter": i.letter, "heading": i.heading, "lines": i.lines} for i in formal_items(content)],
        "standing": clinic.accreditation or caution("not_accredited", language),
        "end": word("end", language).format(code=content.code, version=content.version),
        "digest": content_digest(content),
    }


def photos_of(content: ReportContent) -> tuple[Photo, ...]:
    """All photos in the order of the report."""
    return tuple(photo for kind in content.kinds for photo in kind.photos)


def content_digest(content: ReportContent) -> str:
    """SHA-256, in hex, of everything that the report says and shows, photos by their bytes."""
    return hashlib.sha256(json.dumps(content, default=_canonical, sort_keys=True).encode()).hexdigest()


def photo_bytes(image: bytes | Path) -> bytes:
    """The picture's bytes; none where its file cannot be read: the report then says so in its place."""
    try:
        return image.read_bytes() if isinstance(image, Path) else image
    except OSError:
        return b""


def _canonical(value: Any) -> Any:
    if isinstance(value, bytes | Path):
        return hashlib.sha256(photo_bytes(value)).hexdigest()
    if hasattr(value, "isoformat"):
        return value.isoformat()
    return {name: getattr(value, name) for name in value.__dataclass_fields__}


def _ways(content: ReportContent) -> list[str]:
    clinic = content.clinic
    return [way for way in (clinic.phone, clinic.email, clinic.web) if way]


def _parts(name: tuple[NamePart, ...]) -> list[dict[str, Any]]:
    return [{"text": part.text, "italic": part.italic} for part in name]


def _evidence(kind: KindReport, content: ReportContent) -> dict[str, Any]:
    language = content.language
    determiner = shown_person(kind.determined_by) if kind.determined_by else ""
    on = f", {day(kind.determined_on, language)} ({content.zone})" if kind.determined_on else ""
    return {
        "label": quoted(kind.finder_label, language),
        "clinic_number": kind.clinic_number,
        "name": _parts(kind.name) or _parts((NamePart(word("unnamed", language)),)),
        "named_by": word("named_by", language).format(who=determiner + on),
        "rows": [_row(row, language) for row in kind.evidence],
        "not_seen": [f"{unseen.character}: {unseen.why}" for unseen in kind.not_seen],
        "also_not_excluded": "; ".join(kind.also_not_excluded),
        "strips": [_strip(strip, language) for strip in kind.strips],
        "photos": [
            {
                "view": photo.view,
                "caption": photo.caption,
                "alt": (photo.alt or ". ".join(filter(None, (photo.view, photo.caption))) or word("photos", language))[
                    :_ALT_LIMIT
                ],
            }
            for photo in kind.photos
        ],
        "opinions": [
            {"text": opinion.text, "by": shown_person(opinion.by), "basis": opinion.basis} for opinion in kind.opinions
        ],
    }


def _row(row: Evidence, language: str) -> dict[str, str]:
    unit = f" {row.unit}" if row.unit else ""
    doubt = "" if row.uncertainty is None else f" ± {_number(row.uncertainty, language)}"
    value = row.value.replace(".", ",") if language == "es" and row.unit else row.value
    count = "" if row.n is None else f"n = {row.n}"
    return {
        "organ": row.organ,
        "character": row.character,
        "value": f"{value}{doubt}{unit}",
        "count": count,
        "seen_on": row.seen_on,
        "by": row.by,
    }


def _strip(strip: Strip, language: str) -> dict[str, Any]:
    """The strip's numbers, its axis (left, right) with a margin of a twelfth, and its words for who cannot see it."""
    doubt = strip.uncertainty or 0.0
    ends = (
        *(end for end in (strip.least, strip.most) if end is not None),
        *(strip.low, strip.high, strip.found[0] - doubt, strip.found[1] + doubt),
    )
    margin = (max(ends) - min(ends) or 1.0) / 12
    low, high, first, last = (_number(v, language) for v in (strip.low, strip.high, *strip.found))
    found = (first if first == last else f"{first} – {last}") + (f" ± {_number(doubt, language)}" if doubt else "")
    what = word("strip_alt", language).format(what=strip.character, low=low, high=high, found=found, unit=strip.unit)
    return {
        "character": strip.character,
        "unit": strip.unit,
        "axis": [min(ends) - margin, max(ends) + margin],
        "low": strip.low,
        "high": strip.high,
        "least": strip.low if strip.least is None else strip.least,
        "most": strip.high if strip.most is None else strip.most,
        "found": strip.found,
        "doubt": doubt,
        "shown": {"low": low, "high": high, "found": f"{found} {strip.unit}"},
        "count": "" if strip.n is None else f"n = {strip.n}",
        "alt": what[:_ALT_LIMIT],
    }


def _number(value: float, language: str) -> str:
    shown = f"{value:.4g}"
    return shown.replace(".", ",") if language == "es" else shown
