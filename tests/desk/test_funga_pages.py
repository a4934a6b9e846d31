"""The Funga's pages: search by any name, the packet, the small pictures."""

from __future__ import annotations

import html
import re

import pytest
from django.test import Client
from django.urls import reverse

from fruitbody.funga import load
from fruitbody.report.banned import banned_words
from fruitbody.report.packet import dangers, findings, sizes, sources, taken_for
from fruitbody.report.pictures import ruler_end, season_ring, season_words, strip, ticks

DEATH_CAP = "amanita-phalloides"


def text_of(client: Client, name: str, *args: str, **query: str) -> str:
    answer = client.get(reverse(name, args=args), query)
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_list_holds_every_taxon(at_bench: Client) -> None:
    text = text_of(at_bench, "records:funga")
    assert all(reverse("records:taxon", args=[taxon]) in text for taxon in load().taxa)


def test_a_name_in_use_says_how_it_was_found(at_bench: Client) -> None:
    text = text_of(at_bench, "records:funga", q="Death  Cap")
    assert "“death cap” is a name in use of Amanita phalloides." in text


def test_an_old_name_says_how_it_was_found(at_bench: Client) -> None:
    assert "“Agaricus phalloides” is an old or other name" in text_of(
        at_bench, "records:funga", q="agaricus phalloides"
    )


def test_a_misspelt_name_leads_to_the_nearest(at_bench: Client) -> None:
    assert "the nearest is “Amanita phalloides”" in text_of(at_bench, "records:funga", q="Amanita faloides")


def test_a_part_of_a_name_lists_what_bears_it(at_bench: Client) -> None:
    text = text_of(at_bench, "records:funga", q="kretzsch")
    assert reverse("records:taxon", args=["kretzschmaria-deusta"]) in text
    assert reverse("records:taxon", args=[DEATH_CAP]) not in text


@pytest.mark.parametrize("typed", ["qqqqqq", "<b>", "\x00"])
def test_a_name_nobody_has_gets_a_sentence(at_bench: Client, typed: str) -> None:
    answer = at_bench.get(reverse("records:funga"), {"q": typed})
    assert answer.status_code == 404
    assert "No kind here goes by" in answer.content.decode()


@pytest.mark.parametrize("taxon", sorted(load().taxa))
def test_every_packet_opens_with_the_caution(at_bench: Client, taxon: str) -> None:
    text = text_of(at_bench, "records:taxon", taxon)
    assert "does not say whether any mushroom is safe to eat" in text
    assert "no statement of safety" in text or 'class="danger"' in text


def test_the_packet_of_the_death_cap_shows_onsets_of_both_sources(at_bench: Client) -> None:
    text = text_of(at_bench, "records:taxon", DEATH_CAP)
    assert "6–24 h; liver failure after 2–3 days" in text
    assert "gut symptoms 6–24 h" in text
    assert "Early symptoms do not exclude" in text


def test_what_it_is_taken_for_names_the_settling_characters(at_bench: Client) -> None:
    text = text_of(at_bench, "records:taxon", DEATH_CAP)
    assert "settled by" in text
    assert reverse("records:taxon", args=["volvopluteus-gloiocephalus"]) in text


@pytest.mark.parametrize("name", ["records:funga", "records:taxon"])
def test_the_funga_is_for_the_staff_alone(client: Client, clinic: object, name: str) -> None:
    answer = client.get(reverse(name, args=[DEATH_CAP] if name == "records:taxon" else []))
    assert answer.status_code == 302


def test_a_second_reader_may_read_it(at_second_reading: Client) -> None:
    assert "Amanita phalloides" in text_of(at_second_reading, "records:taxon", DEATH_CAP)


@pytest.mark.parametrize("taxon", ["no-such-kind", "AMANITA"])
def test_a_packet_that_does_not_exist_is_not_found(at_bench: Client, taxon: str) -> None:
    assert at_bench.get(reverse("records:taxon", args=[taxon])).status_code == 404


# ------------------------------------------------------------------ the packet and its pictures


def test_findings_stand_organ_by_organ_in_plain_words() -> None:
    funga = load()
    organs = dict(findings(funga, funga.taxa[DEATH_CAP]))
    assert list(organs)[:3] == ["The whole", "Cap", "Underside"]
    colours = next(line for line in organs["Cap"] if line.character == "colour of the cap")
    assert colours.words.startswith("mostly olive")


def test_every_score_of_every_taxon_has_its_line() -> None:
    funga = load()
    for taxon in funga.taxa.values():
        assert sum(len(lines) for _, lines in findings(funga, taxon)) == len(taxon.scores)


def test_stages_of_one_character_stand_young_before_mature() -> None:
    funga = load()
    lines = [line for _, rows in findings(funga, funga.taxa[DEATH_CAP]) for line in rows if line.stage]
    assert [line.stage for line in lines] == ["young", "mature"]


def test_late_syndromes_come_first_within_a_group() -> None:
    funga = load()
    for taxon in funga.taxa.values():
        for danger in dangers(funga, taxon):
            late = [onsets.syndrome.late for onsets in danger.syndromes]
            assert late == sorted(late, reverse=True)


def test_every_source_is_cited_in_full_or_said_to_be_memory() -> None:
    funga = load()
    for taxon in funga.taxa.values():
        assert not {words for words, _ in sources(funga, taxon)} & set(funga.sources)


def test_a_taxon_outside_the_funga_is_named_without_a_link() -> None:
    funga = load()
    outside = [pair for taxon in funga.taxa.values() for pair in taken_for(funga, taxon) if pair.taxon is None]
    assert all(pair.name[0].isupper() and "-" not in pair.name for pair in outside)


def test_strips_of_one_unit_share_a_ruler_that_holds_them_all() -> None:
    funga = load()
    for taxon in funga.taxa.values():
        for group in sizes(funga, taxon):
            assert all(0 <= s.least <= s.low <= s.high <= s.most <= 300 for _, _, s in group.rows)


@pytest.mark.parametrize(("largest", "end"), [(160, 200), (200, 200), (12, 20), (1.5, 2), (0.7, 1), (5, 5)])
def test_a_ruler_ends_at_one_two_or_five_times_a_power_of_ten(largest: float, end: float) -> None:
    assert ruler_end([largest]) == pytest.approx(end)


def test_a_bar_lies_where_its_numbers_are() -> None:
    bar = strip(40, 50, 140, 160, end=200)
    assert (bar.least, bar.low, bar.high, bar.most) == (60, 75, 210, 240)


def test_a_bar_without_extremes_has_no_thin_line_beyond_it() -> None:
    bar = strip(None, 50, 140, None, end=200)
    assert (bar.least, bar.most) == (bar.low, bar.high)


def test_long_rulers_are_read_in_centimetres() -> None:
    assert [tick.words for tick in ticks(200, "mm")] == ["0 cm", "10 cm", "20 cm"]
    assert [tick.words for tick in ticks(20, "µm")] == ["0 µm", "10 µm", "20 µm"]
    assert [tick.words for tick in ticks(2, "ratio")] == ["0", "1", "2"]


@pytest.mark.parametrize(
    ("months", "words"),
    [
        ([1, 6, 7, 8, 9, 10, 11, 12], "June to January"),
        ([5], "May"),
        ([4, 5, 9], "April to May; September"),
        (range(1, 13), "all year"),
        ([12, 1], "December to January"),
        ([], "not known"),
    ],
)
def test_a_season_is_said_in_runs_over_the_turn_of_the_year(months: list[int], words: str) -> None:
    assert season_words(months) == words


def test_the_ring_starts_with_january_at_the_top_and_runs_clockwise() -> None:
    ring = season_ring([1])
    assert [s.found for s in ring] == [True] + [False] * 11
    assert ring[0].x > 0 > ring[0].y
    assert ring[3].x > 0
    assert ring[3].y > 0
    assert ring[6].x < 0 < ring[6].y


PAGES_OF = (DEATH_CAP, "kretzschmaria-deusta", "chlorophyllum-molybdites", "laetiporus-sulphureus")


@pytest.mark.parametrize("taxon", [t for t in PAGES_OF if t in load().taxa])
def test_no_packet_praises_or_clears(at_bench: Client, taxon: str) -> None:
    known = load().taxa[taxon]
    page = re.sub(r"<[^>]+>", " ", text_of(at_bench, "records:taxon", taxon).partition("<main")[2])
    spared = (known.name, *known.synonyms, *(name for names in known.vernacular.values() for name in names))
    said = " ".join(html.unescape(page).replace("no statement of safety", "").split())
    # Titles of cited works are as they are.
    said = said.partition("Sources")[0]
    assert banned_words(said, language="en", names=spared) == ()


# ------------------------------------------------------------------ the packet opened


def test_the_packet_reads_as_a_description(at_bench: Client) -> None:
    text = html.unescape(text_of(at_bench, "records:taxon", DEATH_CAP))
    assert "(40–) 50–140 (–160) mm wide; gently domed to flat" in text


def test_the_spore_cloud_names_the_kinds_behind_it_and_says_itself_in_words(at_bench: Client) -> None:
    text = text_of(at_bench, "records:taxon", DEATH_CAP)
    assert 'aria-label="Spore cloud, length against width. Amanita phalloides: the middle at' in text
    assert re.search(r'<figure class="cloud">.*Volvopluteus|Amanita virosa', text, re.DOTALL)


def test_a_pair_that_nothing_settles_here_says_so(at_bench: Client) -> None:
    pairs = [(t.id, p) for t in load().taxa.values() for p in t.taken_for if p.not_here]
    assert pairs
    for taxon, pair in pairs:
        assert f"not separable here {pair.not_here}" in text_of(at_bench, "records:taxon", taxon)


def test_a_declared_group_is_named_with_its_reason(at_bench: Client) -> None:
    known = load()
    for group in known.groups.values():
        for taxon in known.members_of(group):
            assert html.escape(group.why) in text_of(at_bench, "records:taxon", taxon)


def test_hosts_stand_in_plain_words_on_the_label(at_bench: Client) -> None:
    assert "<dd>beech; linden or basswood; maple" in text_of(at_bench, "records:taxon", "kretzschmaria-deusta")


def test_the_sheet_is_a_pdf_for_the_staff(at_bench: Client, client: Client) -> None:
    address = reverse("records:taxon_sheet", args=[DEATH_CAP])
    answer = at_bench.get(address)
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF-")
    assert address in text_of(at_bench, "records:taxon", DEATH_CAP)
    assert client.get(address).status_code == 302


def test_the_sheet_of_a_kind_that_does_not_exist_is_not_found(at_bench: Client) -> None:
    assert at_bench.get(reverse("records:taxon_sheet", args=["no-such-kind"])).status_code == 404


def test_a_sheet_is_only_read(at_bench: Client) -> None:
    assert at_bench.post(reverse("records:taxon_sheet", args=[DEATH_CAP])).status_code == 405
