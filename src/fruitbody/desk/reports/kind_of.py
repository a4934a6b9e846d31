"""One kind as the report tells it: from its rows and its name to `KindReport`. Reads rows, changes nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from fruitbody.desk.bench.engine import what_fits
from fruitbody.desk.bench.models import Determination, Finding, Hold, Kind
from fruitbody.desk.bench.names import name_parts
from fruitbody.desk.people.models import User
from fruitbody.desk.reports.letter import FOR_WHOM, KindWords
from fruitbody.desk.reports.referring import referral_of
from fruitbody.desk.reports.seen_of import evidence_rows, strips, unseen_rows
from fruitbody.desk.reports.words import CERTAINTY, RANKS, in_language
from fruitbody.desk.submissions.models import Photo as PhotoRow
from fruitbody.desk.submissions.models import View
from fruitbody.desk.submissions.public import name_is_held
from fruitbody.funga.model import Funga, HazardGroup, Syndrome, Taxon
from fruitbody.identify.not_excluded import NEAR_DB
from fruitbody.report import KindReport, Means, NotExcluded, Opinion, Person, Photo

MOST_PHOTOS = 4
VIEWS = (View.TOP, View.SIDE, View.UNDERSIDE, View.CUT, View.BASE, View.PLACE, View.BENCH, View.SPORES, View.OTHER)
"""The order in which pictures are chosen; labels and drawings stay in the record."""
DUST_CONDITIONS = frozenset({"dusty", "mouldy", "overgrown"})
CONTROLLED = "psilocybin"
GRAVE = ("deadly", "severe")
FURTHER: Mapping[str, Mapping[str, str]] = {
    "en": {"group": "further dangerous groups", "told": "none of these was ruled out: {}"},
    "es": {"group": "otros grupos peligrosos", "told": "ninguno quedó descartado: {}"},
}


def kind_report(
    funga: Funga, kind: Kind, rows: Sequence[Finding], name: Determination | None, words: KindWords, *,
    topic: str, language: str,
) -> KindReport:  # fmt: skip
    """The kind for the report. topic: whose text goes into the answer and is not told a second time."""
    taxon = funga.taxa.get(name.taxon) if name else None
    vernacular = taxon.vernacular.get(language, ()) if taxon else ()
    return KindReport(
        finder_label=kind.finder_label,
        clinic_number=kind.clinic_number or f"{kind.submission.code} {kind.finder_label}",
        name=name_parts(name.name, name.rank, name.qualifier) if name else (),
        rank=in_language(RANKS, name.rank, language) if name else "",
        certainty=in_language(CERTAINTY, name.certainty, language) if name and name.rank != "not named" else "",
        determined_by=person(name.by) if name else None,
        determined_on=name.at.date() if name else None,
        vernacular=", ".join(vernacular[:3]) if name and not name.qualifier else "",
        according_to=name.according_to if name else "",
        answer=words.answer,
        means=means(taxon, words, topic),
        not_excluded=not_excluded(funga, kind, rows, name, language),
        photos=photos(kind),
        evidence=evidence_rows(funga, kind, rows),
        not_seen=unseen_rows(funga, kind, rows),
        strips=strips(funga, rows, taxon),
        opinions=opinions(name, words),
        tree_referral=referral_of(kind, name).needed,
        on_hold=name_is_held(kind),
        **hazards_of(funga, kind, taxon),
    )


def means(taxon: Taxon | None, words: KindWords, topic: str) -> Means:
    """The funga's texts, or what the writer typed in their place. The text on the topic asked stands in the answer."""
    known = prepared_means(taxon, topic)
    return Means(**{whom: words.means.get(whom, known[whom]).strip() for whom in FOR_WHOM})


def prepared_means(taxon: Taxon | None, topic: str) -> dict[str, str]:
    texts: Mapping[str, str] = taxon.means if taxon else {}
    return {whom: "" if whom == topic else texts.get(whom, "") for whom in FOR_WHOM}


def not_excluded(
    funga: Funga, kind: Kind, rows: Sequence[Finding], name: Determination | None, language: str
) -> tuple[NotExcluded, ...]:
    """Every dangerous group that stood when the name was written or stands now; none is left out.

    Grave ones near the best, and those of the kind named, are told by what they do; all others in one line.
    """
    then: Sequence[Mapping[str, Any]] = name.not_excluded if name else ()
    # What was corrected since may have brought a group back; one that stood when the name was written stays.
    known = {str(entry.get("group")) for entry in then}
    found = what_fits(funga, kind, rows).found.not_excluded
    now = [{"group": s.group, "listed": s.listed, "behind_db": s.behind_db} for s in found if s.group not in known]
    own = set(funga.taxa[name.taxon].hazard) if name and name.taxon in funga.taxa else set()
    near, further = dict[str, list[str]](), list[str]()
    for entry in (*then, *now):
        group = funga.hazard_groups.get(str(entry.get("group")))
        if group is None:
            continue
        if group.id in own or (group.grade in GRAVE and _is_near(entry)):
            near.setdefault(group.syndrome, []).append(_in(language, group))
        else:
            further.append(_in(language, group))
    told = [
        NotExcluded(group="; ".join(groups), syndrome=_in(language, funga.syndromes[syndrome]))
        for syndrome, groups in near.items()
    ]
    if further:
        words = FURTHER[language]
        told.append(NotExcluded(group=words["group"], syndrome=words["told"].format("; ".join(further))))
    return tuple(told)


def _is_near(entry: Mapping[str, Any]) -> bool:
    return entry.get("listed") != "folded" and float(entry.get("behind_db") or 0) <= NEAR_DB


def _in(language: str, entry: HazardGroup | Syndrome) -> str:
    return (entry.plain_es if language == "es" else "") or entry.plain


def photos(kind: Kind) -> tuple[Photo, ...]:
    """Up to four pictures, one of each view first."""
    order = {view.value: place for place, view in enumerate(VIEWS)}
    rows = sorted((row for row in kind.photos.all() if row.view in order), key=lambda row: (order[row.view], row.pk))
    first = {row.view: row for row in reversed(rows)}
    chosen = [row for row in rows if first[row.view] is row] + [row for row in rows if first[row.view] is not row]
    return tuple(photo for row in chosen[:MOST_PHOTOS] if (photo := _photo(row, kind)))


def _photo(row: PhotoRow, kind: Kind) -> Photo | None:
    try:
        with row.image.open("rb") as file:
            image = file.read()
    except OSError:
        return None  # the record says that it is gone; a report is not held up by it
    view = row.get_view_display()
    taken = "taken at the clinic" if row.added_by_id else "sent by the finder"
    number = kind.clinic_number or kind.submission.code
    return Photo(image=image, view=view, caption=taken, alt=f"Photograph of {number}, {view.lower()}, {taken}.")


def opinions(name: Determination | None, words: KindWords) -> tuple[Opinion, ...]:
    """What the writer typed as an opinion; for “aff.”, what the basis says of the difference."""
    if name is None:
        return ()
    text = prepared_opinion(name) if words.opinion is None else words.opinion.strip()
    return (Opinion(text=text, by=person(name.by), basis=name.basis or "the findings listed"),) if text else ()


def prepared_opinion(name: Determination | None) -> str:
    return name.basis if name and name.qualifier == "aff." else ""


def person(user: User) -> Person:
    return Person(user.full_name, user.title)


def hazards_of(funga: Funga, kind: Kind, taxon: Taxon | None) -> dict[str, bool]:
    """Dust, rawness and controlled substances, by the groups the taxon belongs to, its condition and its holds."""
    groups = [funga.hazard_groups[group] for group in (taxon.hazard if taxon else ())]
    held = kind.submission.holds.filter(reason=Hold.Reason.CONTROLLED, released_at__isnull=True, kind__in=[kind, None])
    return {
        "inhalation": any("breathed in" in g.way for g in groups) or bool(DUST_CONDITIONS & set(kind.conditions)),
        "raw": any("raw" in g.way for g in groups),
        "controlled": any(g.id == CONTROLLED for g in groups) or held.exists(),
    }
