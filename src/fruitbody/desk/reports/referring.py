"""Trees that somebody has to look at soon: from the rows of a kind to the rule, and to a call that is due today."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.utils import timezone

from fruitbody.desk.bench.engine import current_rows, read_rows
from fruitbody.desk.bench.models import Determination, Finding, Kind, Task
from fruitbody.desk.records.actions import write_history
from fruitbody.desk.records.in_force import load
from fruitbody.desk.submissions.models import Question
from fruitbody.funga.model import Taxon
from fruitbody.handling.referral import Referral, tree_referral

CALL_WORDS = "A fungus that can weaken roots or trunk: call the client today and say the words of prompt referral."
CALL_WITHIN = timedelta(hours=4)


def referral_under(kind: Kind, determination: Determination | None, rows: Sequence[Finding]) -> Referral:
    """The rule, asked for this kind under this name. rows: its findings that nothing replaces."""
    findings, _ = read_rows(load(), rows)
    asked = kind.submission.question == Question.TREE
    return tree_referral(_taxa(determination), findings, asked_about_tree=asked)


def open_referral_call(kind: Kind, determination: Determination | None) -> Task | None:
    """Open the call that a prompt referral promises, once for a submission. Inside the transaction of an action."""
    referral = referral_under(kind, determination, current_rows(kind))
    submission = kind.submission
    if not referral.needed or Task.objects.filter(submission=submission, what="call", words=CALL_WORDS).exists():
        return None
    now = timezone.now()
    task = Task.objects.create(
        submission=submission, kind=kind, what="call", words=CALL_WORDS, needs_voice=True, opened_at=now,
        due_at=_today(now),
    )  # fmt: skip
    write_history(
        by=determination.by if determination else None, submission=submission, subject=task, action="opened",
        words=f"A call is due today: the tree that {kind} grew on should be inspected promptly.",
    )  # fmt: skip
    return task


def _today(now: datetime) -> datetime:
    """Within four hours, and today by the clinic's clock."""
    midnight = timezone.localtime(now).replace(hour=23, minute=59, second=0, microsecond=0)
    return min(now + CALL_WITHIN, max(now, midnight))


def _taxa(determination: Determination | None) -> list[Taxon]:
    """The taxon named, or every one of the genus where the name stops there."""
    if determination is None:
        return []
    taxa = load().taxa
    if determination.taxon in taxa:
        return [taxa[determination.taxon]]
    genus = determination.name.split()[0] if determination.name.split() else ""
    return [taxon for taxon in taxa.values() if taxon.genus == genus]
