"""The digest by which figures and fits know whether they are stale."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from fruitbody import funga
from fruitbody.funga.model import FROM_MEMORY, Funga, StateScore, Taxon
from fruitbody.funga.science import science_digest

KNOWN = funga.load()
DEATH_CAP = "amanita-phalloides"


def changed(**fields: object) -> Funga:
    taxon = replace(KNOWN.taxa[DEATH_CAP], **fields)  # type: ignore[arg-type]
    return replace(KNOWN, taxa={**KNOWN.taxa, DEATH_CAP: taxon}, digest=str(sorted(fields)) + str(fields))


@pytest.mark.parametrize(
    "fields",
    [
        {"what": {"en": "Other words."}},
        {"synonyms": ("Agaricus phalloides",)},
        {"says": ()},
        {"according_to": "another sense"},
    ],
    ids=["what", "synonyms", "says", "according to"],
)
def test_texts_and_names_may_be_mended(fields: dict[str, object]) -> None:
    assert science_digest(changed(**fields)) == science_digest(KNOWN)


def one_state_less(taxon: Taxon) -> dict[str, object]:
    return {"scores": {**taxon.scores, ("hymenium", ""): StateScore(mostly=("gills",))}}


@pytest.mark.parametrize(
    "fields",
    [lambda t: {"months": t.months[1:]}, lambda t: {"hazard": ()}, lambda t: {"basis": {}}, one_state_less],
    ids=["months", "hazard", "basis", "a never"],
)
def test_what_the_engine_computes_with_makes_it_another(fields: Callable[[Taxon], dict[str, object]]) -> None:
    assert science_digest(changed(**fields(KNOWN.taxa[DEATH_CAP]))) != science_digest(KNOWN)


def test_a_third_published_source_changes_nothing() -> None:
    taxon = KNOWN.taxa[DEATH_CAP]
    known = {part: [s for s in sources if s != FROM_MEMORY] for part, sources in taxon.basis.items()}
    more = {p: (*s, "one-more") if len(known[p]) >= 2 else s for p, s in taxon.basis.items()}
    assert more != taxon.basis
    assert science_digest(changed(basis=more)) == science_digest(KNOWN)
