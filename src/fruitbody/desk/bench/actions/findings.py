"""Findings as they are written at the bench: one transaction each, with its history entry.

What somebody enters again on a line, for the same fruit body, part, stage and preparation, stands in place of what they
entered before; marks add up. The new row says what it replaces. One exception: a slip. The row itself is mended when
its author does so within ten minutes and nobody has used it meanwhile, that is, nobody else has written on this kind
or opened what fits, and nobody has named it, since the row was written. What it said before stays in the history.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from fruitbody.desk.bench.engine import current_rows
from fruitbody.desk.bench.finding_words import character_words, value_words
from fruitbody.desk.bench.models import Finding as FindingRow
from fruitbody.desk.bench.models import Kind, RankingSeen
from fruitbody.desk.bench.notebook_errors import NotebookError, StaleLineError
from fruitbody.desk.people.models import Role, User
from fruitbody.desk.people.policy import Act, ensure
from fruitbody.desk.records.actions import write_history
from fruitbody.desk.records.in_force import load
from fruitbody.desk.submissions.models import Photo
from fruitbody.examine.finding import Finding, Measured, Observer, SeenOn
from fruitbody.examine.parse import parse_finding
from fruitbody.funga.model import CharacterKind

SLIP_WITHIN = timedelta(minutes=10)
LONGEST_NOTE = 2000
OBSERVER = {
    Role.DIAGNOSTICIAN: Observer.DIAGNOSTICIAN,
    Role.SECOND_READER: Observer.SECOND_READER,
    Role.FRONT_DESK: Observer.FRONT_DESK,
    # A manager need not be a trained eye, and an untrained one must never exclude a danger.
    Role.MANAGER: Observer.FRONT_DESK,
}


@dataclass(frozen=True, slots=True)
class Typed:
    """A finding as typed. fields: for `parse_finding`, without observer; last_seen: the newest finding of the page;
    form_key: made by the form, kept once; replaces: a finding this one expressly corrects; blind: in a second reading.
    """

    fields: Mapping[str, Any]
    form_key: str
    last_seen: int
    replaces: int | None = None
    blind: bool = False
    moisture: str = ""
    method: str = ""
    note: str = ""
    photo: int | None = None
    preparation: int | None = None
    extra: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Written:
    """row: as it stands now; words: a sentence for whoever wrote it; again: the form had been sent before."""

    row: FindingRow
    words: str
    again: bool = False


def observer_of(by: User, *, blind: bool = False) -> Observer:
    """As whom a member of staff sees: the role decides, and whoever reads a second time is a second reader."""
    own = OBSERVER[Role(by.role)]
    return Observer.SECOND_READER if blind and own is Observer.DIAGNOSTICIAN else own


def looked_at(kind: Kind) -> str:
    """What a finding on this kind is seen on unless said otherwise: a photo, where nothing of it lies here."""
    material = load().material_kinds.get(kind.material)
    here = kind.bag_id is not None and not (material and "material" in material.loses)
    return SeenOn.MATERIAL.value if here else SeenOn.PHOTO.value


@transaction.atomic
def write_finding(kind: Kind, typed: Typed, *, by: User) -> Written:
    """Keep one finding.

    Raises PermissionDenied; FindingError, UnknownTermError or NotebookError with a sentence where it cannot be;
    StaleLineError where somebody else wrote on this line meanwhile. Nothing is kept then.
    """
    ensure(by, Act.FIND)
    locked = Kind.objects.select_for_update().get(pk=kind.pk)
    again = locked.findings.filter(detail__form_key=typed.form_key).first()
    if again is not None:
        return Written(again, _told(again, "stands already"), again=True)
    if locked.merged_into_id:
        raise NotebookError(f"{locked} was merged into {locked.merged_into}. Write on that page.")
    finding = parse_finding(
        load(), {**typed.fields, "by": observer_of(by, blind=typed.blind).value, "person": str(by.pk)}
    )
    if finding.seen_on is SeenOn.MATERIAL and looked_at(locked) != SeenOn.MATERIAL.value:
        # What was seen on a photo must never pass for the material: only that can exclude.
        raise NotebookError("Nothing of this kind lies here to be looked at. Say that you saw it on a photo.")
    before = _to_replace(locked, finding, typed, by)
    _not_stale(locked, finding.character, typed, by)
    now = timezone.now()
    row = _row(locked, finding, typed, by, now)
    if before is not None and _is_slip(locked, before, by, now):
        return _mended(locked, before, row, by)
    if before is not None:
        row.replaces = before
    row.save()
    words = f"{(before and 'Corrected') or 'Written'}: {_in_words(row)}."
    write_history(
        by=by, submission=locked.submission, subject=row, action="corrected" if before else "found",
        words=f"{locked}: {_in_words(row)}" + (f", in place of “{value_words(load(), before)}”." if before else "."),
        data={"value": row.value, "answer": row.answer, "replaces": before.pk if before else None},
    )  # fmt: skip
    return Written(row, words if before is None else f"{words} It stands in place of “{value_words(load(), before)}”.")


def _not_stale(kind: Kind, character: str, typed: Typed, by: User) -> None:
    """Whether another person wrote on this line since the page was drawn. A blind reader is told of nobody."""
    if typed.blind:
        return
    others = [
        row for row in current_rows(kind)
        if row.character == character and row.pk > typed.last_seen and row.by_id not in (by.pk, None)
    ]  # fmt: skip
    if others:
        said = "; ".join(f"{row.by.full_name if row.by else row.by_role}: {value_words(load(), row)}" for row in others)
        raise StaleLineError(
            f"While this page was open, somebody else wrote here. {said}. What you typed is not kept yet: look at "
            "both, and keep yours too or leave it.",
            others,
        )


def _to_replace(kind: Kind, finding: Finding, typed: Typed, by: User) -> FindingRow | None:
    rows = current_rows(kind)
    if typed.replaces is not None:
        named = next((row for row in rows if row.pk == typed.replaces), None)
        if named is None or named.character != finding.character:
            raise NotebookError("What you wanted to correct was corrected already. Look at the line and write again.")
        if named.by_id is None:
            raise NotebookError("What the finder told stays as it was told. Write your own finding beside it.")
        return named
    if load().characters[finding.character].kind is CharacterKind.MARKS:
        return None
    spot = (finding.fruit_body, finding.part, finding.stage, finding.seen_on.value, typed.preparation)
    for row in rows:
        here = (row.fruit_body, row.part, row.stage, row.seen_on, row.detail.get("preparation"))
        if row.character == finding.character and row.by_id == by.pk and here == spot:
            return row
    return None


def _is_slip(kind: Kind, before: FindingRow, by: User, now: datetime) -> bool:
    """Written by the same person within ten minutes, and used by nobody since."""
    if before.by_id != by.pk or now - before.at > SLIP_WITHIN:
        return False
    written_by_others = kind.findings.filter(at__gte=before.at).exclude(by=by).exists()
    opened_by_others = RankingSeen.objects.filter(kind=kind, at__gte=before.at).exclude(by=by).exists()
    named = kind.determinations.filter(at__gte=before.at).exists()
    return not (written_by_others or opened_by_others or named)


def _mended(kind: Kind, before: FindingRow, row: FindingRow, by: User) -> Written:
    old = value_words(load(), before)
    data = {"before": before.value, "answer_before": before.answer, "after": row.value, "answer_after": row.answer}
    row.pk, row.at, row.replaces_id = before.pk, before.at, before.replaces_id
    row.save(force_update=True)
    write_history(
        by=by, submission=kind.submission, subject=row, action="slip corrected",
        words=f"{kind}: a slip within ten minutes: {_in_words(row)}, not “{old}”.", data=data,
    )  # fmt: skip
    return Written(row, f"Corrected: {_in_words(row)}, not “{old}”.")


def _row(kind: Kind, finding: Finding, typed: Typed, by: User, now: datetime) -> FindingRow:
    measured = finding.measured
    preparation = kind.preparations.filter(pk=typed.preparation).first() if typed.preparation else None
    return FindingRow(
        kind=kind,
        character=finding.character,
        value=_value(finding),
        answer=finding.answer.value,
        negated=finding.negated,
        each=finding.each,
        fruit_body=finding.fruit_body[:8],
        part=finding.part[:40],
        stage=finding.stage,
        moisture=typed.moisture[:20],
        seen_on=finding.seen_on.value,
        by_role=finding.by.value,
        by=by,
        at=now,
        method=typed.method[:60],
        uncertainty=measured.uncertainty if measured else None,
        n=measured.n if measured else None,
        why=finding.why[:200],
        note=typed.note[:LONGEST_NOTE],
        photo=Photo.objects.filter(pk=typed.photo or 0, submission=kind.submission).first(),
        detail={"form_key": typed.form_key, **({"preparation": preparation.pk} if preparation else {}), **typed.extra},
    )


def _value(finding: Finding) -> Any:
    if finding.measured is not None:
        return _numbers(finding.measured)
    return list(finding.states) if len(finding.states) > 1 else finding.states[0] if finding.states else None


def _numbers(measured: Measured) -> float | list[float]:
    return measured.low if measured.high is None else [measured.low, measured.high]


def _in_words(row: FindingRow) -> str:
    return f"{character_words(load(), row)}: {value_words(load(), row)}"


def _told(row: FindingRow, how: str) -> str:
    return f"“{_in_words(row)}” {how}. The form was sent twice; it is kept once."
