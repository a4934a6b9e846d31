"""Funga: what is known, to read. A taxon's page is a packet and its label; its sheet is the same on paper."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from fruitbody.desk.people.clinic import clinic_of
from fruitbody.desk.people.policy import Act, requires
from fruitbody.desk.records.in_force import load
from fruitbody.funga import UnknownTermError
from fruitbody.funga.composed import describe
from fruitbody.funga.model import Funga, Taxon
from fruitbody.funga.search import Hit, find_taxon, names_of
from fruitbody.funga.terms import plain_key
from fruitbody.funga.texts import means_of, what_of
from fruitbody.report import packet
from fruitbody.report.drawings import ring_svg
from fruitbody.report.pictures import season_ring, season_words
from fruitbody.report.taxon_clouds import CAPTION, cloud_figure
from fruitbody.report.taxon_sheet import Printed, taxon_sheet


@dataclass(frozen=True, slots=True)
class Drawer:
    """The packets of one genus, with the danger of each in words."""

    genus: str
    family: str
    taxa: tuple[tuple[Taxon, str], ...]


@requires(Act.VIEW_STAFF_PAGES)
def funga_list(request: HttpRequest) -> HttpResponse:
    """All taxa by genus; searched by accepted, old, misspelt or everyday name, with a sentence on how it was found."""
    funga, typed = load(), request.GET.get("q", "").strip()
    hit, near = find(funga, typed) if typed else (None, ())
    key = plain_key(typed)
    taxa = [t for t in funga.taxa.values() if not typed or any(key in plain_key(name) for name, _ in names_of(t))]
    context = {
        "drawers": _drawers(funga, taxa),
        "shown": len(taxa),
        "all": len(funga.taxa),
        "typed": typed,
        "hit": hit,
        "near": near,
    }
    return render(request, "records/funga.html", context, status=404 if typed and not taxa and not hit else 200)


def find(funga: Funga, typed: str) -> tuple[Hit | None, tuple[str, ...]]:
    """The taxon called so, or the names nearest to what was typed."""
    try:
        return find_taxon(funga, typed), ()
    except UnknownTermError as problem:
        return None, tuple(problem.nearest)


def _drawers(funga: Funga, taxa: list[Taxon]) -> list[Drawer]:
    ordered = sorted(taxa, key=lambda taxon: (taxon.genus, taxon.name))
    return [
        Drawer(
            genus,
            funga.genera[genus].family if genus in funga.genera else "",
            tuple((t, _danger(funga, t)) for t in group),
        )
        for genus, group in groupby(ordered, key=lambda taxon: taxon.genus)
    ]


def _danger(funga: Funga, taxon: Taxon) -> str:
    """The grade and name of each of its groups; '' where there is none, which clears nothing."""
    groups = [funga.hazard_groups[g] for g in taxon.hazard]
    return "; ".join(f"{group.grade}: {group.plain}" for group in groups)


@requires(Act.VIEW_STAFF_PAGES)
def taxon_page(request: HttpRequest, taxon_id: str) -> HttpResponse:
    funga = load()
    taxon = _taxon(funga, taxon_id)
    season, cloud = season_words(taxon.months), cloud_figure(funga, taxon)
    context = {
        "taxon": taxon,
        "what": what_of(taxon),
        "means": means_of(funga, taxon),
        "description": describe(funga, taxon),
        "findings": packet.findings(funga, taxon),
        "sizes": packet.sizes(funga, taxon),
        # Drawings are our own numbers; every name in them is escaped where it is drawn.
        "ring": mark_safe(ring_svg(season_ring(taxon.months), f"Found in {season}")),
        "cloud": cloud,
        "cloud_svg": mark_safe(cloud.svg) if cloud else "",
        "cloud_caption": CAPTION,
        "taken_for": packet.taken_for(funga, taxon),
        "dangers": packet.dangers(funga, taxon),
        "memberships": packet.memberships(funga, taxon),
        "hosts": packet.hosts(funga, taxon),
        "season": season,
        "regions": [(funga.regions[key].plain, frequency.value) for key, frequency in taxon.regions.items()],
        "hazard_words": taxon.hazard_words or packet.NO_REPORTS,
        "sources": packet.sources(funga, taxon),
    }
    return render(request, "records/taxon.html", context)


@require_safe
@requires(Act.VIEW_STAFF_PAGES)
def taxon_sheet_pdf(request: HttpRequest, taxon_id: str) -> HttpResponse:
    """The sheet for the bench, to print."""
    funga, clinic = load(), clinic_of(request)
    taxon = _taxon(funga, taxon_id)
    printed = Printed(clinic.name, timezone.now(), clinic.time_zone)
    answer = HttpResponse(
        taxon_sheet(funga, taxon, printed=printed, paper=clinic.paper), content_type="application/pdf"
    )
    answer["Content-Disposition"] = f'inline; filename="bench-sheet-{taxon.id}.pdf"'
    answer["Cache-Control"] = "no-store"
    return answer


def _taxon(funga: Funga, taxon_id: str) -> Taxon:
    if taxon_id not in funga.taxa:
        raise Http404
    return funga.taxa[taxon_id]
