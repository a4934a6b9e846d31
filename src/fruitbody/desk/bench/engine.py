"""From the rows of a kind to the engine and back: no science here.

A row that the funga no longer understands is set aside with a sentence, never dropped in silence.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from django.utils import timezone

from fruitbody.desk.bench.models import Finding as FindingRow
from fruitbody.desk.bench.models import Kind
from fruitbody.examine.finding import Finding, FindingError
from fruitbody.examine.parse import parse_finding
from fruitbody.funga.model import Funga
from fruitbody.funga.terms import UnknownTermError
from fruitbody.identify.identify import Case, Identification, SetAside, identify

MOST = 12
UNCOUNTED = 10_000
"""Fruit bodies taken for there while nobody has counted: then nothing is excluded for a whole lot."""


@dataclass(frozen=True, slots=True)
class Fitting:
    """What the engine says of a kind now, and the case it was asked."""

    case: Case
    found: Identification


def current_rows(kind: Kind) -> list[FindingRow]:
    """The findings of a kind that nothing replaces, with their observers. One query."""
    rows = FindingRow.objects.filter(kind=kind).select_related("by", "photo").order_by("pk")
    everything = list(rows)
    replaced = {row.replaces_id for row in everything}
    return [row for row in everything if row.pk not in replaced]


def as_entry(row: FindingRow) -> dict[str, Any]:
    """The row as the fields that the core reads."""
    entry: dict[str, Any] = {
        "character": row.character,
        "value": row.value,
        "answer": row.answer,
        "not": row.negated,
        "each": row.each,
        "by": row.by_role,
        "seen_on": row.seen_on,
        "fruit_body": row.fruit_body,
        "part": row.part,
        "stage": row.stage,
        "uncertainty": row.uncertainty,
        "n": row.n,
        "why": row.why,
        "person": str(row.by_id or ""),
        "preparation": str(row.detail.get("preparation") or ""),
    }
    if row.detail.get("soft"):
        entry["soft"] = row.detail["soft"]
    return {key: value for key, value in entry.items() if value not in (None, "")}


def read_rows(funga: Funga, rows: Iterable[FindingRow]) -> tuple[tuple[Finding, ...], tuple[SetAside, ...]]:
    """The findings of these rows, and those that cannot be read, with the reason."""
    findings: list[Finding] = []
    aside: list[SetAside] = []
    for row in rows:
        try:
            findings.append(parse_finding(funga, as_entry(row)))
        except (FindingError, UnknownTermError) as problem:
            aside.append(SetAside(row.character, str(row.value), str(problem)))
    return tuple(findings), tuple(aside)


def case_of(funga: Funga, kind: Kind, rows: Iterable[FindingRow]) -> tuple[Case, tuple[SetAside, ...]]:
    """The case as the engine reads it: month of finding (else of receipt), region, material and its conditions."""
    findings, aside = read_rows(funga, rows)
    submission = kind.submission
    arrived = kind.bag.received_at if kind.bag else submission.created_at
    found_on = submission.found_on or timezone.localtime(arrived).date()
    case = Case(
        findings=findings,
        month=found_on.month,
        region=submission.region,
        material=kind.material,
        conditions=tuple(kind.conditions),
        fruit_bodies=kind.fruit_bodies or UNCOUNTED,
    )
    return case, aside


def what_fits(funga: Funga, kind: Kind, rows: Iterable[FindingRow]) -> Fitting:
    """Ask the engine. Rows: those that this reader may know of."""
    case, unread = case_of(funga, kind, rows)
    found = identify(funga, case, most=MOST)
    return Fitting(case, replace(found, set_aside=(*found.set_aside, *unread)) if unread else found)


def why_aside(funga: Funga, rows: Iterable[FindingRow], found: Identification) -> dict[int, str]:
    """Id of every row that does not count as evidence, and why."""
    reasons = {(entry.character, entry.finding): entry.because for entry in found.set_aside}
    aside: dict[int, str] = {}
    for row in rows:
        parsed, unread = read_rows(funga, [row])
        key = (row.character, parsed[0].in_words()) if parsed else (row.character, unread[0].finding)
        if key in reasons:
            aside[row.pk] = reasons[key]
    return aside
