"""One kind as the report tells it: from its rows and its name to `KindReport`. Reads rows, changes nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils import timezone

from fruitbody.desk.bench.models import Determination, Kind
from fruitbody.desk.bench.names import name_parts
from fruitbody.desk.people.models import User
from fruitbody.desk.reports.facts import KindFacts
from fruitbody.desk.reports.letter import FOR_WHOM, KindWords
from fruitbody.desk.reports.seen_of import evidence_rows, strips, unseen_rows
from fruitbody.desk.reports.words import CERTAINTY, RANKS, in_language
from fruitbody.desk.submissions.models import Photo as PhotoRow
from fruitbody.desk.submissions.models import View
from fruitbody.funga.model import Funga, HazardGroup, Syndrome, Taxon
from fruitbody.funga.texts import means_of, what_of
from fruitbody.identify.not_excluded import NEAR_DB, Standing
from fruitbody.report import KindReport, Means, NotExcluded, Opinion, Person, Photo

MOST_PHOTOS = 4
VIEWS = (View.TOP, View.SIDE, View.UNDERSIDE, View.CUT, View.BASE, View.PLACE, View.BENCH, View.SPORES, View.OTHER)
"""The order in which pictures are chosen; labels and drawings stay in the record."""
DUST_CONDITIONS = frozenset({"dusty", "mouldy", "overgrown"})
CONTROLLED = "psilocybin"


def kind_report(funga: Funga, facts: KindFacts, words: KindWords, *, topic: str, language: str) -> KindReport:
    """The kind for the report. topic: whose text goes into the answer and is not told a second time."""
    kind, name, rows = facts.kind, facts.name, facts.rows
    taxon = funga.taxa.get(name.taxon) if name else None
    near, further = not_excluded(funga, name, facts.standing, language)
    hazards = hazards_of(funga, facts, taxon)
    vernacular = taxon.vernacular.get(language, ()) if taxon else ()
    return KindReport(
        finder_label=kind.finder_label,
        clinic_number=kind.clinic_number or f"{kind.submission.code} {kind.finder_label}",
        name=name_parts(name.name, name.rank, name.qualifier) if name else (),
        rank=in_language(RANKS, name.rank, language) if name else "",
        certainty=in_language(CERTAINTY, name.certainty, language) if name and name.rank != "not named" else "",
        determined_by=person(name.by) if name else None,
        determined_on=timezone.localtime(name.at).date() if name else None,
        vernacular=", ".join(vernacular[:3]) if name and not name.qualifier else "",
        according_to=name.according_to if name else "",
        answer=words.answer,
        what=what_of(taxon, language) if taxon else "",
        means=means(funga, taxon, words, topic=topic, language=language),
        not_excluded=near,
        also_not_excluded=further,
        photos=photos(kind),
        evidence=evidence_rows(funga, kind, rows),
        not_seen=unseen_rows(funga, kind, rows),
        strips=strips(funga, rows, taxon),
        opinions=opinions(name, words),
        tree_referral=facts.referral.needed,
        on_hold=facts.held,
        inhalation=hazards["inhalation"],
        raw=hazards["raw"],
        controlled=hazards["controlled"],
    )


def means(funga: Funga, taxon: Taxon | None, words: KindWords, *, topic: str, language: str) -> Means:
    """The funga's texts, or what the writer typed in their place. The text on the topic asked stands in the answer."""
    told = means_of(funga, taxon, language) if taxon else {}
    known = {whom: "" if whom == topic else told.get(whom, "") for whom in FOR_WHOM}
    return Means(**{whom: words.means.get(whom, known[whom]).strip() for whom in FOR_WHOM})


def not_excluded(
    funga: Funga, name: Determination | None, standing: Sequence[Standing], language: str
) -> tuple[tuple[NotExcluded, ...], tuple[str, ...]]:
    """Every dangerous group that stood when the name was written or stands now; none is left out.

    First those near the best and those of the kind or the genus named, together where they do the same; then the plain
    names of all others.
    """
    then: Sequence[Mapping[str, Any]] = name.not_excluded if name else ()
    # What was corrected since may have brought a group back; one that stood when the name was written stays.
    known = {str(entry.get("group")) for entry in then}
    now = [{"group": s.group, "listed": s.listed, "behind_db": s.behind_db} for s in standing if s.group not in known]
    own = _own_groups(funga, name)
    near, further = dict[str, list[str]](), list[str]()
    for entry in (*then, *now):
        group = funga.hazard_groups.get(str(entry.get("group")))
        if group is None:
            continue
        if group.id in own or _is_near(entry):
            near.setdefault(group.syndrome, []).append(_in(language, group))
        else:
            further.append(_in(language, group))
    told = tuple(
        NotExcluded(group="; ".join(groups), syndrome=_in(language, funga.syndromes[syndrome]))
        for syndrome, groups in near.items()
    )
    return told, tuple(further)


def _own_groups(funga: Funga, name: Determination | None) -> set[str]:
    """Groups that the named taxon belongs to; where the name stops at a genus or family, all that have kinds in it."""
    if name is None:
        return set()
    if name.taxon in funga.taxa:
        return set(funga.taxa[name.taxon].hazard)
    words = set(name.name.split())
    genera = {genus.name for genus in funga.genera.values() if words & {genus.name, genus.family}}
    taxa = {group for taxon in funga.taxa.values() if taxon.genus in genera for group in taxon.hazard}
    return taxa | {group.id for group in funga.hazard_groups.values() if genera & set(group.genera)}


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


def hazards_of(funga: Funga, facts: KindFacts, taxon: Taxon | None) -> dict[str, bool]:
    """Dust, rawness and controlled substances, by the groups the taxon belongs to, its condition and its holds."""
    groups = [funga.hazard_groups[group] for group in (taxon.hazard if taxon else ())]
    return {
        "inhalation": any("breathed in" in g.way for g in groups) or bool(DUST_CONDITIONS & set(facts.kind.conditions)),
        "raw": any("raw" in g.way for g in groups),
        "controlled": facts.controlled or any(g.id == CONTROLLED for g in groups),
    }
