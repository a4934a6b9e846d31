"""The names that stand, set in parts, for pages that list them. Reads rows."""

from __future__ import annotations

from dataclasses import dataclass

from fruitbody.desk.bench.models import Determination, Kind
from fruitbody.desk.bench.names import name_parts
from fruitbody.desk.reports.facts import standing_names
from fruitbody.desk.submissions.models import Submission
from fruitbody.report import NamePart


@dataclass(frozen=True, slots=True)
class Told:
    kind: Kind
    name: Determination | None
    parts: tuple[NamePart, ...]


def names_told(submission: Submission) -> list[Told]:
    """Every kind with its name in parts."""
    return [
        Told(kind, name, name_parts(name.name, name.rank, name.qualifier) if name else ())
        for kind, name in standing_names(submission).items()
    ]
