"""What a report is made from, gathered once: names, findings, holds, what the engine leaves standing. Reads rows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from fruitbody.desk.bench.engine import what_fits
from fruitbody.desk.bench.models import Bag, Determination, Finding, Hold, Kind
from fruitbody.desk.people.clinic import current_clinic
from fruitbody.desk.people.models import Clinic
from fruitbody.desk.records.in_force import load
from fruitbody.desk.reports.letter import digest_of
from fruitbody.desk.reports.referring import referral_under
from fruitbody.desk.submissions.models import Party, Submission
from fruitbody.handling.referral import Referral
from fruitbody.identify.not_excluded import Standing
from fruitbody.report import LANGUAGES, Question

Names = dict[Kind, Determination | None]
"""Every kind of a submission with the name that stands, in the order in which they came."""


@dataclass(frozen=True, slots=True)
class KindFacts:
    """rows: findings that nothing replaces; standing: dangerous groups that the engine does not exclude now.

    held: its name is masked; controlled: it is held as a controlled species.
    """

    kind: Kind
    name: Determination | None
    rows: Sequence[Finding]
    held: bool
    controlled: bool
    standing: tuple[Standing, ...]
    referral: Referral


@dataclass(frozen=True, slots=True)
class Facts:
    """bag: the first that arrived; holds: ids of those not released."""

    submission: Submission
    clinic: Clinic
    parties: Sequence[Party]
    bag: Bag | None
    kinds: tuple[KindFacts, ...]
    holds: tuple[int, ...]

    @property
    def question(self) -> Question:
        return Question(self.submission.question)

    @property
    def language(self) -> str:
        """The finder's, where reports are written in it."""
        return self.submission.language if self.submission.language in LANGUAGES else "en"


def standing_names(submission: Submission) -> Names:
    """Every kind that was not merged into another, with its name: the last one that was not a second reading.

    A second reader's name becomes the report's only when the first reader writes it as their own.
    """
    kinds = submission.kinds.filter(merged_into__isnull=True).select_related("bag", "submission").order_by("pk")
    names = Determination.objects.filter(kind__in=kinds, blind=False).select_related("by").order_by("pk")
    last = {name.kind_id: name for name in names}
    return {kind: last.get(kind.pk) for kind in kinds.prefetch_related("photos")}


def facts_of(submission: Submission) -> Facts:
    """Everything at once; the number of queries does not grow with the kinds."""
    names = standing_names(submission)
    rows = _current_rows(names)
    holds = list(submission.holds.filter(released_at__isnull=True).order_by("pk"))
    kinds = tuple(
        _kind_facts(kind, name, [r for r in rows if r.kind_id == kind.pk], holds) for kind, name in names.items()
    )
    return Facts(
        submission=submission,
        clinic=current_clinic(),
        parties=list(submission.parties.all()),
        bag=submission.bags.order_by("received_at").first(),
        kinds=kinds,
        holds=tuple(hold.pk for hold in holds),
    )


def rests_on(facts: Facts) -> dict[str, Any]:
    """What a report of this moment rests on, by id: names, findings, open holds, and the material's condition."""
    return {
        "determinations": {str(k.kind.pk): k.name.pk if k.name else None for k in facts.kinds},
        "findings": sorted(row.pk for k in facts.kinds for row in k.rows),
        "holds": list(facts.holds),
        "conditions": {str(k.kind.pk): [k.kind.material, *k.kind.conditions] for k in facts.kinds},
    }


def basis_digest(facts: Facts) -> str:
    """Changes as soon as a name, a finding, a hold or a condition of this submission does."""
    return digest_of(rests_on(facts))


def _current_rows(kinds: Iterable[Kind]) -> list[Finding]:
    rows = list(Finding.objects.filter(kind__in=list(kinds)).select_related("by").order_by("pk"))
    replaced = {row.replaces_id for row in rows}
    return [row for row in rows if row.pk not in replaced]


def _kind_facts(kind: Kind, name: Determination | None, rows: list[Finding], holds: Sequence[Hold]) -> KindFacts:
    mine = {hold.reason for hold in holds if hold.kind_id in (None, kind.pk)}
    return KindFacts(
        kind=kind,
        name=name,
        rows=rows,
        held=Hold.Reason.REGULATED in mine,
        controlled=Hold.Reason.CONTROLLED in mine,
        standing=what_fits(load(), kind, rows).found.not_excluded,
        referral=referral_under(kind, name, rows),
    )
