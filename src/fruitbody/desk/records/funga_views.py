"""Funga: what is known, to read. A taxon's page is a packet and its label: slip, findings, taken for, sources."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from fruitbody.desk.people.policy import Act, requires
from fruitbody.desk.records import packet
from fruitbody.desk.records.figures import season_ring, season_words
from fruitbody.funga import UnknownTermError, load
from fruitbody.funga.model import Funga, Taxon
from fruitbody.funga.search import Hit, find_taxon, names_of
from fruitbody.funga.terms import plain_key
from fruitbody.funga.texts import means_of, what_of

NO_REPORTS = "no reports found by us"


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
    hit, near = _hit(funga, typed) if typed else (None, ())
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


def _hit(funga: Funga, typed: str) -> tuple[Hit | None, tuple[str, ...]]:
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
    taxon = funga.taxa.get(taxon_id)
    if taxon is None:
        raise Http404
    context = {
        "taxon": taxon,
        "what": what_of(taxon),
        "means": means_of(funga, taxon),
        "findings": packet.findings(funga, taxon),
        "sizes": packet.sizes(funga, taxon),
        "taken_for": packet.taken_for(funga, taxon),
        "dangers": packet.dangers(funga, taxon),
        "ring": season_ring(taxon.months),
        "season": season_words(taxon.months),
        "regions": [(funga.regions[key].plain, frequency.value) for key, frequency in taxon.regions.items()],
        "hazard_words": taxon.hazard_words or NO_REPORTS,
        "sources": packet.sources(funga, taxon),
    }
    return render(request, "records/taxon.html", context)
