"""Names that a split overtook: what was written before it stands for the name in the wide sense until read again."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from fruitbody.desk.bench.models import Determination
from fruitbody.desk.records.in_force import accepted_changes
from fruitbody.desk.records.models import NameChange
from fruitbody.funga.nomenclature import ChangeKind


def wide_since(determination: Determination, changes: Sequence[NameChange]) -> NameChange | None:
    """The split that came after this name was written, so that it stands in the wide sense; None without one."""
    later = (
        row
        for row in changes
        if row.kind == ChangeKind.SPLIT and row.taxon == determination.taxon and determination.at < _decided(row)
    )
    return next(later, None)


def _decided(row: NameChange) -> datetime:
    return row.decided_at or row.proposed_at


def splits() -> list[NameChange]:
    """Every accepted split, the oldest first."""
    return [row for row in accepted_changes() if row.kind == ChangeKind.SPLIT]


def to_be_read_again(row: NameChange) -> int:
    """How many kinds have, as their last name, one that was written before this split."""
    latest = Determination.objects.filter(taxon=row.taxon, at__lt=_decided(row), replaced_by__isnull=True)
    return latest.values("kind").distinct().count()
