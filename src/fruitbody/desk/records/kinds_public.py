"""What the public reads of a kind: what it is, what it means, when and where. No sign-in.

Never here: what it is taken for, what settles it, scores, measures, a ranking, or a mark of danger in a list (its lack
would read as a clearance). Of kinds with controlled substances only the name, the rule and the call for help are told.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe
from django.views.decorators.vary import vary_on_headers

from fruitbody.desk.records.in_force import load
from fruitbody.desk.records.kinds_words import (
    LANGUAGES,
    OFTEN_ES,
    RANKS_EN,
    RANKS_ES,
    REGIONS_ES,
    language_of,
    words,
)
from fruitbody.desk.reports.kind_of import CONTROLLED
from fruitbody.funga import UnknownTermError
from fruitbody.funga.model import NO_FUNGUS, Funga, Taxon
from fruitbody.funga.search import find_taxon, names_of
from fruitbody.funga.terms import plain_key
from fruitbody.funga.texts import means_of, what_of
from fruitbody.report import CAUTIONS
from fruitbody.report.drawings import ring_svg
from fruitbody.report.pictures import season_ring, season_words

IN_USE = "name in use"
FOR_HELP = ("people", "animals")
"""Topics that are told of controlled kinds too; the others say where they grow."""
FOUND_BY = {"accepted name": "found_accepted", "old or other name": "found_old", "narrower name": "found_split",
            IN_USE: "found_use"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Row:
    """A kind in the list, with names in use."""

    taxon: Taxon
    called: str


@require_safe
@vary_on_headers("Accept-Language")
def kinds_list(request: HttpRequest) -> HttpResponse:
    """All kinds by name; searched by any name, with a sentence on how it was found."""
    funga, language = load(), language_of(request)
    typed = request.GET.get("q", "").replace("\0", "").strip()[:200]
    key, told = plain_key(typed), words(language)
    rows = [Row(t, _called(t, language)) for t in _by_name(funga) if not typed or _bears(t, key)]
    hit, how, near = _looked_up(funga, typed, told) if typed else (None, "", ())
    context = {
        **_shared(request, language),
        "letters": [(letter, list(group)) for letter, group in groupby(rows, key=lambda row: row.taxon.name[:1])],
        "count": told["count"].format(n=len(rows), all=len(funga.taxa)),
        "typed": typed,
        "hit": hit,
        "how": how,
        "near": near,
        "nothing": told["not_found"].format(typed=typed) if typed and not rows and not hit else "",
    }
    return render(request, "records/kinds.html", context, status=404 if context["nothing"] else 200)


@require_safe
@vary_on_headers("Accept-Language")
def kind(request: HttpRequest, taxon_id: str) -> HttpResponse:
    funga, language = load(), language_of(request)
    taxon = funga.taxa.get(taxon_id)
    if taxon is None:
        raise Http404
    context = {**_shared(request, language), "taxon": taxon, "controlled": is_controlled(taxon)}
    context |= {
        "rank": RANKS_ES.get(taxon.rank, taxon.rank) if language == "es" else RANKS_EN.get(taxon.rank, taxon.rank),
        "called_first": (taxon.vernacular.get(language) or (taxon.name.removeprefix(f"{NO_FUNGUS}: "),))[0],
        "means": [
            (context["w"][topic], said)
            for topic, said in means_of(funga, taxon, language).items()
            if topic in FOR_HELP or not context["controlled"]
        ],
    }
    if not context["controlled"]:
        context |= _open_part(funga, taxon, language)
    return render(request, "records/kind.html", context)


def is_controlled(taxon: Taxon) -> bool:
    """Whether it holds, or may hold, substances controlled by law."""
    return CONTROLLED in taxon.hazard


def _open_part(funga: Funga, taxon: Taxon, language: str) -> dict[str, Any]:
    """What is not told of controlled kinds: names in use, what it is, when and where."""
    season = season_words(taxon.months, language)
    found_in = words(language)["found_in"].format(season=season)
    regions = {
        key: (REGIONS_ES.get(key) if language == "es" else "") or funga.regions[key].plain for key in taxon.regions
    }
    often = {key: OFTEN_ES[f.value] if language == "es" else f.value for key, f in taxon.regions.items()}
    return {
        "called": ", ".join(taxon.vernacular.get(language, taxon.vernacular.get("en", ()))),
        "called_language": language if language in taxon.vernacular else "en",
        "what": what_of(taxon, language),
        # The drawing is our own numbers; its words are escaped where it is drawn.
        "ring": mark_safe(ring_svg(season_ring(taxon.months, language), found_in)),
        "season": season,
        "regions": [(name, often[key]) for key, name in regions.items()],
    }


def _shared(request: HttpRequest, language: str) -> dict[str, Any]:
    """What every page here shows; over the English of the site's own context."""
    query = request.GET.copy()
    other = next(key for key in LANGUAGES if key != language)
    query["lang"] = other
    return {
        "LANGUAGE_CODE": language,
        "language": language,
        "other_language": other,
        "other_language_name": LANGUAGES[other],
        "other_address": f"?{query.urlencode()}",
        # Asked for by the address, a language is kept from page to page.
        "keep": f"?lang={language}" if request.GET.get("lang") == language else "",
        "w": words(language),
        "cautions": {key: sentences[language] for key, sentences in CAUTIONS.items()},
    }


def _by_name(funga: Funga) -> list[Taxon]:
    return sorted(funga.taxa.values(), key=lambda taxon: taxon.name)


def _called(taxon: Taxon, language: str) -> str:
    names = taxon.vernacular.get(language, taxon.vernacular.get("en", ()))
    return "" if is_controlled(taxon) else ", ".join(names[:2])


def _bears(taxon: Taxon, key: str) -> bool:
    """Whether a name that may be shown holds what was typed."""
    shown = (name for name, what in names_of(taxon) if what != IN_USE or not is_controlled(taxon))
    return any(key in plain_key(name) for name in shown)


def _looked_up(funga: Funga, typed: str, told: dict[str, str]) -> tuple[Taxon | None, str, tuple[str, ...]]:
    """(the kind called so, the words before its name that say how it was found, names near to what was typed)."""
    try:
        taxon = find_taxon(funga, typed).taxon
    except UnknownTermError as problem:
        return None, "", tuple(name for name in problem.nearest if not _hidden(funga, name))
    key = plain_key(typed)
    what = next((what for name, what in names_of(taxon) if plain_key(name) == key), "")
    if is_controlled(taxon) and what in (IN_USE, ""):
        return taxon, told["found_controlled"].format(typed=typed), ()
    return taxon, told[FOUND_BY.get(what, "found_near")].format(typed=typed), ()


def _hidden(funga: Funga, name: str) -> bool:
    """Whether a name is one in use of a controlled kind: such names are not offered to anybody."""
    key = plain_key(name)
    return any(
        what == IN_USE and plain_key(other) == key
        for taxon in funga.taxa.values()
        if is_controlled(taxon)
        for other, what in names_of(taxon)
    )
