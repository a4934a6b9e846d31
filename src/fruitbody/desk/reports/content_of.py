"""A submission as the report tells it: from rows to `ReportContent`. Reads, changes nothing."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict, replace
from datetime import datetime
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.utils import timezone

from fruitbody.desk.bench.models import Determination
from fruitbody.desk.people.models import User
from fruitbody.desk.records.in_force import load
from fruitbody.desk.reports.came_of import came, letterhead, party_line
from fruitbody.desk.reports.facts import Facts, facts_of
from fruitbody.desk.reports.formal_of import formal
from fruitbody.desk.reports.kind_of import kind_report, person
from fruitbody.desk.reports.letter import LetterWords, read_letter
from fruitbody.desk.reports.models import ReportVersion
from fruitbody.desk.reports.parties import addressees, client_of
from fruitbody.desk.reports.words import TOPIC, prepared_answer
from fruitbody.funga.texts import means_of
from fruitbody.report import Call, KindReport, Party, ReportContent


def content_of(report: ReportVersion, *, at: datetime, by: User, facts: Facts | None = None) -> ReportContent:
    """What this version says if this person issues it at this moment. facts: where they are gathered already.

    Every prepared text that nobody typed over is made anew, so that it follows the name.
    """
    facts = facts or facts_of(report.submission)
    words, funga, language = read_letter(report.letter), load(), facts.language
    topic = TOPIC.get(facts.question, "")
    kinds = tuple(kind_report(funga, one, words.of(one.kind.pk), topic=topic, language=language) for one in facts.kinds)
    arrived, client = came(facts), client_of(facts.parties)
    given = [one.name for one in facts.kinds if one.name]
    return ReportContent(
        clinic=letterhead(facts.clinic),
        code=report.submission.code,
        version=report.version,
        language=language,
        zone=facts.clinic.time_zone,
        issued_at=timezone.localtime(at),
        issued_by=person(by),
        submission=arrived,
        client=party_line(client, language, contact=True) if client else Party(role="client", name="not told"),
        recipients=tuple(party_line(a.party, language) for a in addressees(facts.parties) if a.party != client),
        answer=_answer(words, facts, kinds),
        does_not_answer=words.does_not_answer.strip(),
        kinds=kinds,
        formal=formal(funga, facts.kinds, arrived.received_at.date()),
        call=_call(report),
        listed_names=tuple(vernacular for name in given for vernacular in _vernaculars(name)),
        **_change(report, words),
    )


def prepared(report: ReportVersion, *, by: User, facts: Facts) -> ReportContent:
    """The content with nothing typed: what stands in the fields of the draft until somebody writes over it."""
    bare = ReportVersion(submission=report.submission, version=1)
    return content_of(bare, at=timezone.now(), by=by, facts=facts)


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


def _answer(words: LetterWords, facts: Facts, kinds: Sequence[KindReport]) -> str:
    """What was typed, else the names and the funga's text on what was asked."""
    if words.answer is not None:
        return words.answer.strip()
    topic, funga = TOPIC.get(facts.question, ""), load()
    texts = []
    for one, told in zip(facts.kinds, kinds, strict=True):
        taxon = funga.taxa.get(one.name.taxon) if one.name else None
        known = means_of(funga, taxon, facts.language) if taxon else {}
        texts.append((told, "" if words.of(one.kind.pk).means.get(topic) else known.get(topic, "")))
    return prepared_answer(facts.question, texts, facts.language)


def _call(report: ReportVersion) -> Call | None:
    """The last talk that reached somebody since the version before was issued; a talk is tied to the one then valid."""
    talks = report.submission.spoken.filter(reached=True, report=report.supersedes).select_related("by")
    last = talks.order_by("-at", "-pk").first()
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
