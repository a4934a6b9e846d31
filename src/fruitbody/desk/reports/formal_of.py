"""The formal items that follow from the rows: how it was examined, when, and what the material did not allow."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from django.utils import timezone

from fruitbody.desk.bench.material import known_materials, what_is_lost
from fruitbody.desk.bench.models import Finding, Kind
from fruitbody.desk.reports.facts import KindFacts
from fruitbody.desk.reports.seen_of import is_told, numbers
from fruitbody.funga.model import Funga
from fruitbody.report import Formal


def formal(funga: Funga, kinds: Sequence[KindFacts], received: date) -> Formal:
    """From every current row of every kind. The days of examination run from the first to the last thing written."""
    ours = [row for one in kinds for row in one.rows if not is_told(row)]
    written = [row.at for row in ours] + [one.name.at for one in kinds if one.name]
    days = [timezone.localtime(moment).date() for moment in written]
    return Formal(
        methods=_methods(funga, ours),
        performed=(min(days), max(days)) if days else (received, received),
        deviations=_deviations(funga, [one.kind for one in kinds]),
    )


def condition_words(funga: Funga, kinds: Sequence[Kind]) -> str:
    """Kind of material and conditions at receipt: 'A: fresh and whole, foot of the stem missing'."""
    told = []
    for kind in kinds:
        conditions = [*kind.conditions, *(kind.bag.conditions if kind.bag else ())]
        plain = dict.fromkeys(entry.plain for entry in known_materials(funga, kind.material, conditions))
        words = ", ".join(plain) or "not noted"
        told.append(f"{kind.clinic_number or kind.finder_label}: {words}" if len(kinds) > 1 else words)
    return "; ".join(told)


def _methods(funga: Funga, rows: Sequence[Finding]) -> tuple[str, ...]:
    needs = {need for row in rows if (c := funga.characters.get(row.character)) for need in c.needs}
    on = {row.seen_on for row in rows}
    lines = ["Features were looked at on the pieces received."] if "material" in on else []
    lines += ["Features were read from photographs."] if "photo" in on else []
    lines += ["The spore print was looked at."] if "deposit" in needs else []
    lines += ["Features were looked at under the microscope."] if "microscope" in needs else []
    lines += ["Drops of reagents were laid on and read."] if "reagent" in needs else []
    if any(numbers(row) for row in rows):
        instruments = sorted({row.instrument for row in rows if row.instrument})
        with_what = f" ({', '.join(instruments)})" if instruments else ""
        lines.append(f"Sizes were measured{with_what}.")
    if not rows:
        lines.append("The pieces were looked at; no feature was written down.")
    lines.append(
        f"The findings were compared with the clinic's funga (edition {funga.digest[:12]}); a person gave the name."
    )
    return tuple(lines)


def _deviations(funga: Funga, kinds: Sequence[Kind]) -> tuple[str, ...]:
    """What the material hides, kind by kind."""
    lines = []
    for kind in kinds:
        lost = what_is_lost(funga, kind.material, kind.conditions)
        if lost.parts:
            called = kind.clinic_number or kind.finder_label
            lines.append(f"{called}: in this condition it does not show {', '.join(lost.parts)}.")
    return tuple(lines)
