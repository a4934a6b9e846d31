"""A taxon's sheet for the bench: the packet on one page where it can be, as PDF/A-3b and PDF/UA-1. For the staff.

The template is `taxon_sheet.typ`; data reaches it as JSON and is never read as markup.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from fruitbody.funga.composed import describe
from fruitbody.funga.model import Funga, Taxon
from fruitbody.funga.texts import what_of
from fruitbody.report import packet
from fruitbody.report.cautions import caution
from fruitbody.report.drawings import ring_svg
from fruitbody.report.pdf import paper_name, typeset
from fruitbody.report.pictures import STRIP_PX, season_ring, season_words
from fruitbody.report.qualifiers import compose_name
from fruitbody.report.taxon_clouds import CAPTION, CloudFigure, cloud_figure
from fruitbody.report.words import moment

_TEMPLATE: Final = Path(__file__).with_name("taxon_sheet.typ")
MOST_SYNONYMS: Final = 8


@dataclass(frozen=True, slots=True)
class Printed:
    """Who prints a sheet and when: the clinic's name, a moment with its zone, the name of the zone to show it in."""

    clinic: str
    at: datetime
    zone: str


def taxon_sheet(
    funga: Funga, taxon: Taxon, *, printed: Printed, paper: str = "letter", fonts: tuple[str, ...] = ()
) -> bytes:
    """The sheet as PDF bytes. Raises ValueError for an unknown paper or a moment without a zone."""
    cloud = cloud_figure(funga, taxon)
    season = season_words(taxon.months)
    files = {"ring.svg": ring_svg(season_ring(taxon.months), f"Found in {season}").encode()}
    if cloud:
        files["cloud.svg"] = cloud.svg.encode()
    data = {
        "paper": paper_name(paper),
        "title": f"Bench sheet: {taxon.name}",
        "clinic": printed.clinic,
        "printed": moment(printed.at, printed.zone, "en"),
        "digest": funga.digest[:12],
        **_label(funga, taxon),
        "season": {"file": "/ring.svg", "words": season, "alt": f"Season: found in {season}."},
        "description": [[d.heading, d.words] for d in describe(funga, taxon)],
        "sizes": _sizes(funga, taxon),
        "cloud": _cloud(cloud),
        "danger": _danger(funga, taxon),
        "groups": [_group(m) for m in packet.memberships(funga, taxon)],
        "taken_for": [[p.name, p.settled, p.note] for p in packet.taken_for(funga, taxon)],
        "cautions": [caution(key, "en") for key in ("not_eating", *(["late_syndromes"] if taxon.hazard else []))],
    }
    return typeset(_TEMPLATE, data, files=files, fonts=fonts, timestamp=int(printed.at.timestamp()))


def _label(funga: Funga, taxon: Taxon) -> dict[str, Any]:
    """The determination slip: name, authority, rank, sense, other names, where, with what."""
    more = len(taxon.synonyms) - MOST_SYNONYMS
    synonyms = "; ".join(taxon.synonyms[:MOST_SYNONYMS]) + (f"; and {more} more" if more > 0 else "")
    regions = "; ".join(f"{funga.regions[key].plain} ({often.value})" for key, often in taxon.regions.items())
    facts = [
        ("Rank", f"{taxon.rank}, {taxon.family}"),
        ("According to", taxon.according_to),
        ("Also as", synonyms),
        ("In use", ", ".join(taxon.vernacular.get("en", ()))),
        ("Where", regions),
        ("Lives by", ", ".join(taxon.way_of_life)),
        ("Keeps", _keeps(taxon)),
    ]
    return {
        "name": [{"text": part.text, "italic": part.italic} for part in compose_name(taxon.name)]
        if taxon.rank != "species group"
        else [{"text": taxon.name, "italic": True}],
        "authority": taxon.authority,
        "facts": [[head, words] for head, words in facts if words],
        "what": what_of(taxon),
    }


def _keeps(taxon: Taxon) -> str:
    often = "well" if taxon.perishes == "keeps" else taxon.perishes
    return f"{often}: {taxon.perishes_note}" if taxon.perishes_note else often


def _sizes(funga: Funga, taxon: Taxon) -> list[dict[str, Any]]:
    """Strips as shares of the ruler, 0 to 1."""
    return [
        {
            "rows": [
                {
                    "name": name,
                    "words": words,
                    "at": [value / STRIP_PX for value in (bar.least, bar.low, bar.high, bar.most)],
                }
                for name, words, bar in group.rows
            ],
            "ruler": [tick.words for tick in group.ruler],
        }
        for group in packet.sizes(funga, taxon)
    ]


def _cloud(cloud: CloudFigure | None) -> dict[str, Any]:
    if cloud is None:
        return {"file": "", "alt": "", "key": [], "beyond": "", "caption": ""}
    return {
        "file": "/cloud.svg",
        "alt": cloud.words,
        "key": [[str(number), taxon.name] for number, taxon in enumerate(cloud.drawn, start=1)],
        "beyond": ", ".join(taxon.name for taxon in cloud.beyond),
        "caption": CAPTION,
    }


def _danger(funga: Funga, taxon: Taxon) -> list[dict[str, Any]]:
    """One entry per hazard group: its grade and name, and each syndrome with the onset of every source."""
    found = []
    for danger in packet.dangers(funga, taxon):
        lines = [
            f"{o.syndrome.plain} ({o.syndrome.code}); first signs: {', or '.join(words for _, words in o.by_source)}"
            for o in danger.syndromes
        ]
        head = f"{danger.group.grade}: {danger.group.plain}"
        found.append({"head": head, "how": ", ".join(danger.group.way), "lines": lines})
    if not found:
        words = f"hazard: {taxon.hazard_words or packet.NO_REPORTS} (no statement of safety)"
        found.append({"head": words, "how": "", "lines": []})
    return found


def _group(membership: packet.Membership) -> dict[str, str]:
    others = ", ".join(taxon.name for taxon in membership.others)
    return {"name": membership.group.name, "others": others, "why": membership.group.why}
