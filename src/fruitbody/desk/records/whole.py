"""One submission as a whole, read for its page: what came, what was seen, concluded, told and done, in order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Prefetch

from fruitbody.desk.bench.finding_words import character_words, value_words
from fruitbody.desk.bench.lineage import labels
from fruitbody.desk.bench.models import Bag, Determination, Finding, Hold, Kind, Preparation
from fruitbody.desk.people.models import User
from fruitbody.desk.people.policy import Act, may
from fruitbody.desk.records.models import NameChange
from fruitbody.desk.records.wide import splits, wide_since
from fruitbody.desk.reports.models import ReportVersion
from fruitbody.desk.submissions.models import Photo, Submission
from fruitbody.desk.submissions.state import EXAMINERS, Facts, State, state_of
from fruitbody.funga.model import Funga


@dataclass(frozen=True, slots=True)
class FindingRow:
    """A finding in words; replaced: a later entry stands in its place."""

    row: Finding
    character: str
    words: str
    by: str
    replaced: bool


@dataclass(frozen=True, slots=True)
class KindWhole:
    """A kind with its lineage in words and all that belongs to it. hidden: its name is on hold for this reader.
    determinations: each with a sentence where a later split left its name in the wide sense."""

    kind: Kind
    called: str
    lineage: str
    materials: str
    hidden: bool
    findings: tuple[FindingRow, ...]
    determinations: tuple[tuple[Determination, str], ...]
    preparations: tuple[Preparation, ...]
    photos: tuple[Photo, ...]


@dataclass(frozen=True, slots=True)
class Whole:
    """The kinds of a submission with its bags, holds and photos of no kind, and where it stands."""

    kinds: tuple[KindWhole, ...]
    bags: tuple[Bag, ...]
    holds: tuple[Hold, ...]
    photos: tuple[Photo, ...]
    state: State


def whole(submission: Submission, reports: Iterable[ReportVersion], user: User, funga: Funga) -> Whole:
    """Every kind that ever was in it, those merged into others too. Seven queries, whatever it holds."""
    kinds = list(
        submission.kinds.select_related("bag__received_by", "bag__box").prefetch_related(
            Prefetch("findings", Finding.objects.select_related("by")),
            Prefetch("determinations", Determination.objects.select_related("by")),
            "preparations",
        )
    )
    photos = list(submission.photos.all())
    holds = list(submission.holds.select_related("kind", "placed_by", "released_by").order_by("placed_at"))
    held = {hold.kind_id for hold in holds if hold.reason == Hold.Reason.REGULATED and hold.released_at is None}
    sees_held = bool(may(user, Act.SEE_HELD_NAME))
    split = splits()
    called, numbers = labels(kinds), {kind.pk: kind.clinic_number or "" for kind in kinds}
    told = tuple(
        KindWhole(
            kind=kind,
            called=called[kind.pk],
            lineage=_lineage(kind, called, numbers),
            materials=_materials(kind, funga),
            hidden=bool({None, kind.pk} & held) and not sees_held,
            findings=_findings(kind, funga),
            determinations=tuple((name, _wide(name, split)) for name in kind.determinations.all()),
            preparations=tuple(kind.preparations.all()),
            photos=tuple(photo for photo in photos if photo.kind_id == kind.pk),
        )
        for kind in kinds
    )
    # A bag always held a kind, so that the kinds know every bag.
    bags = {kind.bag.pk: kind.bag for kind in kinds if kind.bag}
    return Whole(
        kinds=told,
        bags=tuple(bags[pk] for pk in sorted(bags)),
        holds=tuple(holds),
        photos=tuple(photo for photo in photos if photo.kind_id is None),
        state=state_of(_facts(submission, told, reports)),
    )


def _wide(name: Determination, split: Sequence[NameChange]) -> str:
    change = wide_since(name, split)
    return f"In the wide sense since: {change.words} ({change.according_to})" if change else ""


def _facts(submission: Submission, kinds: Iterable[KindWhole], reports: Iterable[ReportVersion]) -> Facts:
    """The same facts as for the finder's page, from what is loaded already."""
    live = [k for k in kinds if k.kind.merged_into_id is None]
    looked = [f.row.at for k in kinds for f in k.findings if f.row.by_role in EXAMINERS]
    return Facts(
        sent_at=submission.sent_at,
        received_at=min((k.kind.bag.received_at for k in kinds if k.kind.bag), default=None),
        examined_at=min(looked, default=None),
        kinds=len(live),
        kinds_named=sum(bool(k.determinations) for k in live),
        reported_at=min((r.issued_at for r in reports if r.issued_at), default=None),
        closed_at=submission.closed_at,
    )


def _lineage(kind: Kind, called: dict[int, str], numbers: dict[int, str]) -> str:
    words = []
    if kind.split_from_id:
        words.append(f"split from {called[kind.split_from_id]} ({numbers[kind.split_from_id]})")
    if kind.merged_into_id:
        words.append(f"merged into {called[kind.merged_into_id]} ({numbers[kind.merged_into_id]})")
    return ", ".join(words)


def _materials(kind: Kind, funga: Funga) -> str:
    entries = [funga.material_kinds.get(kind.material), *(funga.conditions.get(c) for c in kind.conditions)]
    return "; ".join(entry.plain for entry in entries if entry)


def _findings(kind: Kind, funga: Funga) -> tuple[FindingRow, ...]:
    rows = list(kind.findings.all())
    replaced = {row.replaces_id for row in rows if row.replaces_id}
    return tuple(
        FindingRow(
            row=row,
            character=character_words(funga, row),
            words=value_words(funga, row),
            by=row.by.full_name
            if row.by
            else "the finder"
            if row.by_role == "finder"
            else row.by_role.replace("-", " "),
            replaced=row.pk in replaced,
        )
        for row in rows
    )
