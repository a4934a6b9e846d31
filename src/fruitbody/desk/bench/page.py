"""Gathers one notebook page for one reader: rows, what fits, the lines. Nothing here changes anything."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fruitbody.desk.bench.engine import Fitting, what_fits, why_aside
from fruitbody.desk.bench.fits import Slip, slip_of
from fruitbody.desk.bench.folding import Folding, danger_near_the_top, folding
from fruitbody.desk.bench.lines import Sheet, current
from fruitbody.desk.bench.models import Finding, Kind, RankingSeen
from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.people.policy import Act, may
from fruitbody.desk.records.in_force import load
from fruitbody.identify.identify import lost_needs


@dataclass(frozen=True, slots=True)
class Page:
    """rows: every finding this reader may know of; seen: whether they saw what fits before; last: id of the newest
    finding of the kind, for stale tabs."""

    kind: Kind
    rows: Sequence[Finding]
    sheet: Sheet
    fitting: Fitting
    slip: Slip
    folding: Folding
    blind: bool
    seen: bool
    masked: bool
    last: int


def reads_blind(user: User, asked: str) -> bool:
    """Second readers always read blind; a diagnostician does where the page says so."""
    return asked == "1" or not may(user, Act.SEE_RECORDS)


def page_of(kind: Kind, *, user: User, clinic: Clinic, blind: bool, masked: bool = False) -> Page:
    """The page as this reader may see it: a blind one holds what was told and the reader's own findings.

    masked: the name is on hold for this reader, and so is everything that would give it away.
    """
    funga = load()
    seen = RankingSeen.objects.filter(kind=kind, by=user).exists()
    everything = list(Finding.objects.filter(kind=kind).select_related("by").order_by("pk"))
    rows = [row for row in everything if not blind or row.by_id in (user.pk, None)]
    live = current(rows)
    fitting = what_fits(funga, kind, live)
    found = fitting.found
    running = kind.preparations.filter(done_at__isnull=True).values_list("what", flat=True)
    return Page(
        kind=kind,
        rows=rows,
        sheet=Sheet(rows, lost_needs(funga, fitting.case), why_aside(funga, live, found)),
        fitting=fitting,
        slip=slip_of(funga, found, fitting.case.findings, running=running),
        folding=_shut(blind, masked)
        or folding(
            reader_folds=user.folds_ranking,
            drawn=kind.fold_drawn,
            share=clinic.fold_ranking_share,
            danger=danger_near_the_top(funga, found),
            seen=seen,
        ),
        blind=blind,
        seen=seen,
        masked=masked,
        last=everything[-1].pk if everything else 0,
    )


def _shut(blind: bool, masked: bool) -> Folding | None:
    """Where nobody may unfold it."""
    if blind:
        return Folding(True, "A second reading is written without it.")
    return Folding(True, "A name is on hold, so what fits is not shown to you.") if masked else None
