"""Gathers everything that is open for *Today*: a fixed number of queries, however much is open.

From rows to the facts of `today.py`; the order is decided there.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Exists, OuterRef

from fruitbody.desk.bench.lineage import labels
from fruitbody.desk.bench.models import Determination, Finding, Hold, Kind, Preparation, Task
from fruitbody.desk.bench.today import Danger, DueTask, Ready, Waiting
from fruitbody.desk.people.models import User
from fruitbody.desk.people.policy import Act, may
from fruitbody.desk.reports.models import ReportVersion
from fruitbody.desk.submissions.models import Party
from fruitbody.desk.submissions.state import EXAMINERS
from fruitbody.funga.model import Funga
from fruitbody.identify.not_excluded import NEAR_DB

FRESH_MATERIAL = "fresh-whole"
ON_HOLD = "a name that is on hold"


@dataclass(frozen=True, slots=True)
class Case:
    """A row of Today. name: as far as this person may see it; sender: '' unless they may see who sent it."""

    kind: Kind
    called: str
    waiting: Waiting
    state: str
    name: str
    sender: str
    looked: bool
    named: bool
    reported: bool

    @property
    def shows_name(self) -> bool:
        return bool(self.name) and self.name != ON_HOLD and not self.reported

    def speaks_of(self, text: str) -> bool:
        """Whether the text is a part of the number, code, label, name or sender that stand in this row."""
        kind, lowered = self.kind, text.casefold()
        own = (kind.clinic_number or "", kind.submission.code, kind.bag.clinic_number if kind.bag else "")
        bare = lowered.replace("-", "").replace(" ", "")
        if any(bare and bare in number.casefold().replace("-", "") for number in own):
            return True
        return lowered in {self.called.casefold(), kind.finder_label.casefold()} or any(
            lowered in words.casefold() for words in (self.name, self.sender) if words
        )


@dataclass(frozen=True, slots=True)
class Seen:
    """What belongs to the open kinds, loaded once each."""

    names: dict[int, Determination]
    tasks: dict[int, list[Task]]
    preparations: dict[int, list[Preparation]]
    held: set[tuple[int, int | None]]
    senders: dict[int, str]


def open_cases(user: User, funga: Funga) -> list[Case]:
    """Every open kind, in no order. Nine queries at most."""
    of_kind = Finding.objects.filter(kind=OuterRef("pk"), by_role__in=EXAMINERS)
    told = ReportVersion.objects.filter(submission=OuterRef("submission"), issued_at__isnull=False)
    kinds = list(
        Kind.objects.filter(submission__closed_at__isnull=True)
        .select_related("submission", "bag")
        .annotate(looked=Exists(of_kind), reported=Exists(told))
    )
    live = [kind for kind in kinds if kind.merged_into_id is None]
    seen = _seen([kind.pk for kind in live], sorted({kind.submission_id for kind in live}), user)
    called = _called(kinds)
    return [_case(kind, called[kind.pk], seen, user, funga) for kind in live]


def _called(kinds: Iterable[Kind]) -> dict[int, str]:
    families: dict[int, list[Kind]] = defaultdict(list)
    for kind in kinds:
        families[kind.submission_id].append(kind)
    return {pk: label for family in families.values() for pk, label in labels(family).items()}


def _seen(kinds: list[int], submissions: list[int], user: User) -> Seen:
    tasks: dict[int, list[Task]] = defaultdict(list)
    for task in Task.objects.filter(submission__in=submissions, done_at__isnull=True):
        tasks[task.submission_id].append(task)
    preparations: dict[int, list[Preparation]] = defaultdict(list)
    for preparation in Preparation.objects.filter(kind__in=kinds, done_at__isnull=True):
        preparations[preparation.kind_id].append(preparation)
    holds = Hold.objects.filter(submission__in=submissions, reason=Hold.Reason.REGULATED, released_at__isnull=True)
    names = {d.kind_id: d for d in Determination.objects.filter(kind__in=kinds, blind=False).order_by("pk")}
    senders: dict[int, str] = {}
    if may(user, Act.SEE_PERSONAL):
        parties = Party.objects.filter(submission__in=submissions, role=Party.Role.SUBMITTER)
        senders = dict(parties.values_list("submission_id", "name"))
    return Seen(names, tasks, preparations, set(holds.values_list("submission_id", "kind_id")), senders)


def _case(kind: Kind, called: str, seen: Seen, user: User, funga: Funga) -> Case:
    named = seen.names.get(kind.pk)
    looked, reported = bool(kind.looked), bool(kind.reported)  # type: ignore[attr-defined]
    held = bool({(kind.submission_id, None), (kind.submission_id, kind.pk)} & seen.held)
    # Who reads without the records reads the material: neither the first name nor what it lets stand.
    reads_blind = not may(user, Act.SEE_RECORDS)
    hidden = reads_blind or (held and not may(user, Act.SEE_HELD_NAME))
    name = "" if named is None else str(named) if not hidden else ON_HOLD if held else ""
    return Case(
        kind=kind,
        called=called,
        waiting=_waiting(kind, named, seen, hidden=hidden, funga=funga),
        state=_state(kind, looked=looked, name=name if named else None, reported=reported),
        name=name,
        sender=seen.senders.get(kind.submission_id, ""),
        looked=looked or named is not None,
        named=named is not None,
        reported=reported,
    )


def _waiting(kind: Kind, named: Determination | None, seen: Seen, *, hidden: bool, funga: Funga) -> Waiting:
    submission = kind.submission
    reported = bool(kind.reported)  # type: ignore[attr-defined]
    taxon = funga.taxa.get(named.taxon) if named else None
    danger, group = (Danger.NAMED, "") if reported else _danger(kind, named, funga)
    tasks = [task for task in seen.tasks.get(submission.pk, ()) if task.kind_id in (None, kind.pk)]
    return Waiting(
        key=f"{submission.created_at.isoformat()} {kind.pk:09d}",
        announced_at=submission.created_at,
        received_at=kind.bag.received_at if kind.bag else None,
        flag=submission.flag,
        flag_note=submission.flag_note,
        tasks=tuple(DueTask(task.words, task.due_at, task.needs_voice) for task in tasks),
        promised_for=None if reported else submission.promised_for,
        danger=danger,
        danger_group="see its page" if hidden else group,
        fresh=kind.material == FRESH_MATERIAL and not reported,
        keeps=taxon.perishes if taxon else "",
        preparations=tuple(Ready(p.what, p.due_at) for p in seen.preparations.get(kind.pk, ())),
    )


def _danger(kind: Kind, named: Determination | None, funga: Funga) -> tuple[Danger, str]:
    """By the name and by what stood when it was written; the engine is not asked again here."""
    if named is None:
        return (Danger.NOT_NAMED if kind.looked else Danger.NOT_LOOKED), ""  # type: ignore[attr-defined]
    taxon = funga.taxa.get(named.taxon)
    stand = [*(taxon.hazard if taxon else ()), *_near_the_best(named.not_excluded)]
    deadly = [group for group in map(funga.hazard_groups.get, stand) if group and group.grade == "deadly"]
    return (Danger.LISTED, deadly[0].plain) if deadly else (Danger.NAMED, "")


def _near_the_best(entries: object) -> list[str]:
    """Ids of the groups that were listed first and near the best when the name was written, the nearest first."""
    rows = [entry for entry in entries if isinstance(entry, dict)] if isinstance(entries, list) else []
    near = [row for row in rows if row.get("listed") == "first" and row.get("behind_db", 0.0) <= NEAR_DB]
    return [str(row.get("group", "")) for row in sorted(near, key=lambda row: float(row.get("behind_db", 0.0)))]


def _state(kind: Kind, *, looked: bool, name: str | None, reported: bool) -> str:
    """Where it stands, in plain words. name: None where it has none yet, '' where it has one that is not shown."""
    if kind.bag is None:
        return "posted, not here yet" if kind.submission.sent_at else "announced, not here yet"
    if reported:
        return "reported, not closed yet"
    if name is not None:
        return "named, the name is on hold" if name == ON_HOLD else "named"
    return "being examined" if looked else "received, nobody has looked"


def needs_somebody(case: Case) -> bool:
    """Whether a kind belongs on the list: it is here and not told yet, or something about it is due."""
    waiting = case.waiting
    due = bool(waiting.flag or waiting.tasks)
    if case.reported:
        return bool(waiting.tasks or waiting.preparations)
    return due or waiting.received_at is not None
