"""What the public reads of a kind: no comparison, no settling finding, no measure; cautions on every page."""

from __future__ import annotations

import html
import re

import pytest
from django.test import Client
from django.urls import reverse

from fruitbody.desk.people.models import Clinic
from fruitbody.desk.records.kinds_public import is_controlled
from fruitbody.desk.records.kinds_words import WORDS
from fruitbody.funga import load
from fruitbody.funga.model import Taxon
from fruitbody.report import CAUTIONS
from fruitbody.report.banned import banned_words
from fruitbody.report.packet import taken_for

pytestmark = pytest.mark.usefixtures("clinic")
KNOWN = load()
DEATH_CAP, CONTROLLED = "amanita-phalloides", "psilocybe-cyanescens"
EVERY = sorted(KNOWN.taxa)


def page(client: Client, taxon: str, **query: str) -> str:
    answer = client.get(reverse("kinds:kind", args=[taxon]), query)
    assert answer.status_code == 200
    return answer.content.decode()


def said(text: str) -> str:
    """The words of the page's own part."""
    main = text.partition("<main")[2].partition("</main>")[0].partition(">")[2]
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", main)).split())


def own_names(taxon: Taxon) -> tuple[str, ...]:
    return (taxon.name, *taxon.synonyms, *(name for names in taxon.vernacular.values() for name in names))


def without(text: str, names: tuple[str, ...]) -> str:
    for name in sorted(names, key=len, reverse=True):
        text = re.sub(re.escape(name), " ", text, flags=re.IGNORECASE)
    return text


@pytest.mark.parametrize("taxon", EVERY)
def test_no_page_names_what_the_kind_is_taken_for(client: Client, taxon: str) -> None:
    known = KNOWN.taxa[taxon]
    text = without(said(page(client, taxon)), own_names(known)).casefold()
    for pair in taken_for(KNOWN, known):
        assert pair.name.casefold() not in text
        assert not pair.taxon or pair.taxon.id not in text


@pytest.mark.parametrize("taxon", EVERY)
def test_no_page_holds_what_settles_a_pair_or_a_measure(client: Client, taxon: str) -> None:
    known = KNOWN.taxa[taxon]
    text = said(page(client, taxon))
    assert not re.search(r"\d\s*(mm|µm|cm)\b", text)
    for words in ("settled by", "taken for", "not separable", "mostly ", "seldom ", "%", "spore cloud"):
        assert words not in without(text, own_names(known)).casefold() or words in known.what["en"].casefold()
    assert not [pair.note for pair in taken_for(KNOWN, known) if pair.note and pair.note in text]


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("taxon", EVERY)
def test_every_page_bears_the_cautions_and_warns_against_telling_kinds_apart(
    client: Client, taxon: str, language: str
) -> None:
    text = said(page(client, taxon, lang=language))
    for key in ("not_eating", "these_pieces", "poisoning", "poisoning_people", "poisoning_animals"):
        assert CAUTIONS[key][language] in text
    assert WORDS["not_for_naming"][language] in text


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("taxon", EVERY)
def test_no_page_praises_or_clears(client: Client, taxon: str, language: str) -> None:
    text = said(page(client, taxon, lang=language))
    assert banned_words(text, language=language, names=own_names(KNOWN.taxa[taxon])) == ()


def test_the_page_says_what_it_is_and_what_it_means_and_when(client: Client) -> None:
    text = said(page(client, DEATH_CAP))
    assert KNOWN.taxa[DEATH_CAP].what["en"] in text
    assert "It holds amatoxins, which destroy the liver" in text
    assert "June to January" in text
    assert "Pacific coast (common)" in text


def test_a_browser_that_asks_for_spanish_gets_spanish(client: Client) -> None:
    answer = client.get(reverse("kinds:kind", args=[DEATH_CAP]), headers={"accept-language": "es-MX,es;q=0.9,en;q=0.5"})
    text = answer.content.decode()
    assert '<html lang="es">' in text
    assert "De junio a enero" in said(text)
    assert KNOWN.taxa[DEATH_CAP].what["es"] in said(text)
    assert "Accept-Language" in answer.headers["Vary"]


def test_a_language_that_we_lack_is_answered_in_english(client: Client) -> None:
    answer = client.get(reverse("kinds:kind", args=[DEATH_CAP]), headers={"accept-language": "fi, sv;q=0.5"})
    assert '<html lang="en">' in answer.content.decode()


def test_every_region_and_rank_has_its_spanish_words(client: Client) -> None:
    from fruitbody.desk.records.kinds_words import RANKS_ES, REGIONS_ES

    assert set(KNOWN.regions) <= set(REGIONS_ES)
    assert {taxon.rank for taxon in KNOWN.taxa.values()} <= set(RANKS_ES)


# ------------------------------------------------------------------ controlled kinds


@pytest.mark.parametrize("taxon", [t for t in EVERY if is_controlled(KNOWN.taxa[t])])
def test_a_controlled_kind_shows_the_rule_and_no_name_in_use_place_or_season(client: Client, taxon: str) -> None:
    known, text = KNOWN.taxa[taxon], said(page(client, taxon))
    assert CAUTIONS["controlled"]["en"] in text
    assert not [n for names in known.vernacular.values() for n in names if n in without(text, (known.name,))]
    assert not known.what["en"] or known.what["en"] not in text
    assert not [r for r in known.regions if KNOWN.regions[r].plain in text]
    assert WORDS["have_one"]["en"] not in text


def test_a_name_in_use_of_a_controlled_kind_leads_to_the_rule_alone(client: Client) -> None:
    (name, *_), taxon = KNOWN.taxa[CONTROLLED].vernacular["en"], KNOWN.taxa[CONTROLLED]
    text = said(client.get(reverse("kinds:list"), {"q": name}).content.decode())
    assert "leads to a kind with substances controlled by law" in text
    assert taxon.name in text


def test_the_list_shows_no_name_in_use_of_a_controlled_kind(client: Client) -> None:
    text = said(client.get(reverse("kinds:list")).content.decode())
    hidden = {n for t in KNOWN.taxa.values() if is_controlled(t) for n in t.vernacular.get("en", ())}
    open_ = {n for t in KNOWN.taxa.values() if not is_controlled(t) for n in t.vernacular.get("en", ())}
    assert not [n for n in hidden - open_ if re.search(rf"(?<!\w){re.escape(n)}(?!\w)", text)]


# ------------------------------------------------------------------ the list


def test_the_list_holds_every_kind_and_no_mark_of_danger(client: Client) -> None:
    text = client.get(reverse("kinds:list")).content.decode()
    assert all(reverse("kinds:kind", args=[taxon]) in text for taxon in KNOWN.taxa)
    main = said(text)
    assert not [grade for grade in ("deadly:", "severe:", "sickening", "no reports found") if grade in main.casefold()]


@pytest.mark.parametrize(
    ("typed", "language", "words"),
    [
        ("death cap", "en", "“death cap” is a name in use of Amanita phalloides"),
        ("Agaricus phalloides", "en", "“Agaricus phalloides” is an old or other name of Amanita phalloides"),
        ("Amanita faloides", "en", "the nearest name belongs to Amanita phalloides"),
        ("Agaricus phalloides", "es", "«Agaricus phalloides» es un nombre antiguo o distinto de Amanita phalloides"),
    ],
)
def test_a_search_says_how_it_was_found(client: Client, typed: str, language: str, words: str) -> None:
    assert words in said(client.get(reverse("kinds:list"), {"q": typed, "lang": language}).content.decode())


@pytest.mark.parametrize("typed", ["qqqqqq", "<b>", "%00\x00", "x" * 5000])
def test_a_name_nobody_has_gets_a_sentence(client: Client, typed: str) -> None:
    answer = client.get(reverse("kinds:list"), {"q": typed})
    assert answer.status_code == 404
    assert "No kind here goes by" in answer.content.decode()


@pytest.mark.parametrize("taxon", ["no-such-kind", "AMANITA"])
def test_a_kind_that_does_not_exist_is_not_found(client: Client, taxon: str) -> None:
    assert client.get(reverse("kinds:kind", args=[taxon])).status_code == 404


@pytest.mark.parametrize("name", ["kinds:list", "kinds:kind"])
def test_the_pages_are_only_read(client: Client, name: str) -> None:
    assert client.post(reverse(name, args=[DEATH_CAP] if name == "kinds:kind" else [])).status_code == 405


def test_the_poison_line_is_the_clinics_own(client: Client, clinic: Clinic) -> None:
    clinic.poison_line = "+1 607 555 0199"
    clinic.save()
    assert 'href="tel:+16075550199"' in page(client, DEATH_CAP)


def test_what_is_no_fungus_is_called_by_its_plain_name(client: Client) -> None:
    text = client.get(reverse("kinds:kind", args=["slime-flux"])).content.decode()
    assert "<h1>Slime flux</h1>" in text
    assert "No fungus." in text
    assert "family No fungus" not in text
