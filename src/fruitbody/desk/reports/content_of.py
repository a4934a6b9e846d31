"""A submission as the report tells it: from rows to `ReportContent`. Reads, changes nothing."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from datetime import datetime
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.utils import timezone

from fruitbody.desk.bench.engine import current_rows
from fruitbody.desk.bench.models import Determination, Finding, Kind
from fruitbody.desk.people.clinic import current_clinic
from fruitbody.desk.people.models import User
from fruitbody.desk.reports.came_of import came, letterhead, party_line
from fruitbody.desk.reports.formal_of import formal
from fruitbody.desk.reports.kind_of import kind_report, person
from fruitbody.desk.reports.letter import LetterWords, read_letter
from fruitbody.desk.reports.models import ReportVersion
from fruitbody.desk.reports.parties import addressees, client_of
from fruitbody.desk.reports.words import TOPIC, prepared_answer
from fruitbody.desk.submissions.models import Submission
from fruitbody.funga import load
from fruitbody.report import LANGUAGES, Call, KindReport, Party, Question, ReportContent

Names = dict[Kind, Determination | None]
"""Every kind of a submission with the name that stands, in the order in which they came."""


def standing_names(submission: Submission) -> Names:
    """Every kind that was not merged into another, with its name: the last one that was not a second reading.

    A second reader's name becomes the report's only when the first reader writes it as their own.
    """
    kinds = submission.kinds.filter(merged_into__isnull=True).select_related("bag", "submission").order_by("pk")
    names = Determination.objects.filter(kind__in=kinds, blind=False).select_related("by").order_by("pk")
    last = {name.kind_id: name for name in names}
    return {kind: last.get(kind.pk) for kind in kinds}


def rests_on(submission: Submission) -> dict[str, Any]:
    """What a report of this moment rests on, by id: names, findings, open holds, and the material's condition."""
    names = standing_names(submission)
    replaced = Finding.objects.filter(kind__in=names, replaces__isnull=False).values("replaces_id")
    findings = Finding.objects.filter(kind__in=names).exclude(pk__in=replaced).order_by("pk")
    return {
        "determinations": {str(kind.pk): name.pk if name else None for kind, name in names.items()},
        "findings": list(findings.values_list("pk", flat=True)),
        "holds": list(submission.holds.filter(released_at__isnull=True).values_list("pk", flat=True)),
        "conditions": {str(kind.pk): [kind.material, *kind.conditions] for kind in names},
    }


def content_of(report: ReportVersion, *, at: datetime, by: User) -> ReportContent:
    """What this version says if this person issues it at this moment.

    Every prepared text that nobody typed over is made anew, so that it follows the name.
    """
    submission, words, funga, clinic = report.submission, read_letter(report.letter), load(), current_clinic()
    language, question = language_of(submission), Question(submission.question)
    names = standing_names(submission)
    rows = {kind.pk: current_rows(kind) for kind in names}
    topic = TOPIC.get(question, "")
    kinds = tuple(
        kind_report(funga, kind, rows[kind.pk], name, words.of(kind.pk), topic=topic, language=language)
        for kind, name in names.items()
    )
    arrived, client = came(submission, list(names), rows), client_of(submission.parties.all())
    given = [name for name in names.values() if name]
    every = [row for some in rows.values() for row in some]
    return ReportContent(
        clinic=letterhead(clinic),
        code=submission.code,
        version=report.version,
        language=language,
        zone=clinic.time_zone,
        issued_at=timezone.localtime(at),
        issued_by=person(by),
        submission=arrived,
        client=party_line(client, language, contact=True) if client else Party(role="client", name="not told"),
        recipients=tuple(party_line(a.party, language) for a in addressees(submission) if a.party != client),
        answer=_answer(words, question, names, kinds, language),
        does_not_answer=words.does_not_answer.strip(),
        kinds=kinds,
        formal=formal(funga, list(names), every, given, arrived.received_at.date()),
        call=_call(report),
        listed_names=tuple(vernacular for name in given for vernacular in _vernaculars(name)),
        **_change(report, words),
    )


def language_of(submission: Submission) -> str:
    """The language of the report: the finder's, where reports are written in it."""
    return submission.language if submission.language in LANGUAGES else "en"


def prepared(report: ReportVersion, *, by: User) -> ReportContent:
    """The content with nothing typed: what stands in the fields of the draft until somebody writes over it."""
    bare = ReportVersion(submission=report.submission, version=1)
    return content_of(bare, at=timezone.now(), by=by)


def plain_content(content: ReportContent) -> dict[str, Any]:
    """The content as JSON values; a picture is kept as the SHA-256 of its bytes."""
    kinds = tuple(
        replace(kind, photos=tuple(replace(p, image=_digest(p.image).encode()) for p in kind.photos))
        for kind in content.kinds
    )
    plain: dict[str, Any] = json.loads(json.dumps(asdict(replace(content, kinds=kinds)), cls=_Encoder))
    return plain


class _Encoder(DjangoJSONEncoder):
    def default(self, o: Any) -> Any:
        return o.decode() if isinstance(o, bytes) else super().default(o)


def _digest(image: object) -> str:
    return hashlib.sha256(image).hexdigest() if isinstance(image, bytes) else str(image)


def _vernaculars(name: Determination) -> list[str]:
    """Names in every language, which may promise food: they are spared as names."""
    taxon = load().taxa.get(name.taxon)
    return [vernacular for names in taxon.vernacular.values() for vernacular in names] if taxon else []


def _answer(words: LetterWords, question: Question, names: Names, kinds: Sequence[KindReport], language: str) -> str:
    """What was typed, else the names and the funga's text on what was asked."""
    if words.answer is not None:
        return words.answer.strip()
    topic, taxa = TOPIC.get(question, ""), load().taxa
    texts = []
    for (kind, name), told in zip(names.items(), kinds, strict=True):
        taxon = taxa.get(name.taxon) if name else None
        known: Mapping[str, str] = taxon.means if taxon else {}
        texts.append((told, "" if words.of(kind.pk).means.get(topic) else known.get(topic, "")))
    return prepared_answer(question, texts, language)


def _call(report: ReportVersion) -> Call | None:
    """The last talk that reached somebody about this version: since the version before was issued."""
    talks = report.submission.spoken.filter(reached=True).select_related("by")
    if report.supersedes is not None and report.supersedes.issued_at:
        talks = talks.filter(at__gte=report.supersedes.issued_at)
    last = talks.order_by("-at").first()
    return Call(at=timezone.localtime(last.at), to=last.to_name, by=last.by.full_name) if last else None


def _change(report: ReportVersion, words: LetterWords) -> dict[str, Any]:
    before = report.supersedes
    if before is None:
        return {}
    issued = f" of {timezone.localtime(before.issued_at):%Y-%m-%d}" if before.issued_at else ""
    return {
        "supersedes": f"version {before.version}{issued}",
        "changed": tuple(line.strip() for line in words.changed.splitlines() if line.strip()),
        "why": words.why.strip(),
    }
