"""The notebook page: what is typed is kept, what cannot be is told, nobody's writing is lost."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from fruitbody.desk.bench.models import Finding, Hold, Kind, Preparation, RankingSeen
from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.records.models import HistoryEntry
from fruitbody.desk.submissions.models import Submission
from tests.desk.bench_case import found, received, typed
from tests.desk.conftest import signed_in


@pytest.fixture
def bag(submission: Submission, diagnostician: User) -> Kind:
    return received(submission, diagnostician)


def line(
    client: Client, kind: Kind, character: str, value: str, *, last: int = 0, key: str = "k", htmx: bool = True
) -> Any:
    form = {"quick": "1", "value": value, "last": last, "form_key": key}
    return client.post(
        f"/staff/bench/{kind.pk}/line/{character}/", form, headers={"HX-Request": "true"} if htmx else {}
    )


def test_the_bench_lists_what_waits(at_bench: Client, bag: Kind) -> None:
    assert f"/staff/bench/{bag.pk}/" in at_bench.get("/staff/bench/").content.decode()


def test_the_page_shows_every_organ_and_both_voices(at_bench: Client, bag: Kind, diagnostician: User) -> None:
    Finding.objects.create(
        kind=bag, character="smell", value="anise", by_role="finder", seen_on="told", at=timezone.now()
    )
    found(bag, "cap width 62", by=diagnostician)
    page = at_bench.get(f"/staff/bench/{bag.pk}/").content.decode()
    assert "62 mm" in page
    assert "Rosa Exemplar" in page
    assert "anise" in page
    assert page.index('id="organ-cap"') < page.index('id="organ-underside"') < page.index('id="organ-base"')


def test_a_typed_line_is_kept_with_its_history(at_bench: Client, bag: Kind, diagnostician: User) -> None:
    answer = typed(at_bench, bag, "gill attachment free")
    assert answer.status_code == 200
    row = bag.findings.get()
    assert (row.character, row.value, row.by, row.by_role) == (
        "gill_attachment",
        "free",
        diagnostician,
        "diagnostician",
    )
    entry = HistoryEntry.objects.get(action="found")
    assert entry.subject_id == row.pk


def test_the_answer_renews_the_line_and_the_slip(at_bench: Client, bag: Kind) -> None:
    text = typed(at_bench, bag, "volva a loose sac or cup").content.decode()
    assert 'id="line-volva"' in text
    assert 'id="fits"' in text
    assert 'id="entry-box"' in text


def test_a_ruler_value_on_its_line_is_kept(at_bench: Client, bag: Kind) -> None:
    line(at_bench, bag, "cap_width", "62")
    assert bag.findings.get().value == 62


def test_without_scripts_the_page_comes_back(at_bench: Client, bag: Kind) -> None:
    assert line(at_bench, bag, "cap_width", "62", htmx=False).status_code == 302
    assert bag.findings.count() == 1


def test_without_scripts_a_wrong_entry_is_told_once_and_beside_what_was_typed(at_bench: Client, bag: Kind) -> None:
    page = typed(at_bench, bag, "cap width 9000", htmx=False).content.decode()
    assert page.count("9000 mm cannot be") == 1
    assert 'value="cap width 9000"' in page


def test_a_word_like_none_that_we_know_is_told_with_where_to_look(at_bench: Client, bag: Kind) -> None:
    page = typed(at_bench, bag, "wibble blue").content.decode()
    assert "no character called “wibble blue”. Write its first letters" in page


@pytest.mark.parametrize("text", ["cap width 9000", "cap wdith 62", "spore length -3", "gill attachment sqare"])
@pytest.mark.parametrize("htmx", [True, False])
def test_what_cannot_be_stays_in_the_field_with_a_sentence(at_bench: Client, bag: Kind, text: str, htmx: bool) -> None:
    answer = typed(at_bench, bag, text, htmx=htmx)
    assert answer.status_code == 422
    assert f'value="{text}"' in answer.content.decode()
    assert "error" in answer.content.decode()
    assert not bag.findings.exists()


def test_a_form_sent_twice_keeps_one_finding(at_bench: Client, bag: Kind) -> None:
    for _ in range(2):
        assert line(at_bench, bag, "cap_width", "62", key="same").status_code == 200
    assert bag.findings.count() == 1
    assert HistoryEntry.objects.filter(subject="finding").count() == 1


def test_marks_add_up(at_bench: Client, bag: Kind, diagnostician: User) -> None:
    found(bag, "cap surface innate scales", by=diagnostician)
    line(at_bench, bag, "cap_surface", "smooth")
    assert bag.findings.count() == 2
    assert not bag.findings.filter(replaces__isnull=False).exists()


def test_a_slip_within_ten_minutes_is_simply_corrected(at_bench: Client, bag: Kind, diagnostician: User) -> None:
    before = found(bag, "cap width 26", by=diagnostician)
    line(at_bench, bag, "cap_width", "62", last=before.pk)
    assert bag.findings.get().value == 62
    assert HistoryEntry.objects.get(action="slip corrected").data["before"] == 26


def test_after_ten_minutes_a_correction_is_a_new_finding(at_bench: Client, bag: Kind, diagnostician: User) -> None:
    before = found(bag, "cap width 26", by=diagnostician)
    Finding.objects.filter(pk=before.pk).update(at=timezone.now() - timedelta(minutes=11))
    line(at_bench, bag, "cap_width", "62", last=before.pk)
    assert bag.findings.get(replaces=before).value == 62
    assert bag.findings.get(pk=before.pk).value == 26


def test_what_somebody_else_has_used_is_not_mended_in_place(
    at_bench: Client, bag: Kind, diagnostician: User, front_desk: User
) -> None:
    before = found(bag, "cap width 26", by=diagnostician)
    RankingSeen.objects.create(kind=bag, by=front_desk, at=timezone.now())
    line(at_bench, bag, "cap_width", "62", last=before.pk)
    assert bag.findings.count() == 2


def test_another_fruit_body_is_another_finding(at_bench: Client, bag: Kind, diagnostician: User) -> None:
    found(bag, "cap width 62 #a", by=diagnostician)
    line(at_bench, bag, "cap_width", "40 #b")
    assert sorted(bag.findings.values_list("fruit_body", flat=True)) == ["a", "b"]


def test_a_stale_tab_is_told_and_loses_nothing(at_bench: Client, bag: Kind, front_desk: User) -> None:
    found(bag, "ring none", by=front_desk)
    answer = line(at_bench, bag, "ring", "a hanging skirt", last=0)
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "Juniper Vale" in text
    assert "a hanging skirt" in text
    assert bag.findings.count() == 1
    last = bag.findings.get().pk
    assert line(at_bench, bag, "ring", "a hanging skirt", last=last).status_code == 200
    assert bag.findings.count() == 2


def test_the_whole_form_keeps_what_belongs_to_a_finding(at_bench: Client, bag: Kind) -> None:
    at_bench.post(
        f"/staff/bench/{bag.pk}/line/gill_colour/",
        {"states": ["white"], "answer": "present", "seen_on": "photo", "fruit_body": "b", "stage": "young",
         "part": "edge", "moisture": "fresh", "method": "lens", "note": "pale", "last": 0, "form_key": "w"},
    )  # fmt: skip
    row = bag.findings.get()
    assert (row.value, row.seen_on, row.fruit_body, row.stage) == ("white", "photo", "b", "young")
    assert (row.part, row.moisture, row.method, row.note) == ("edge", "fresh", "lens", "pale")


def test_the_whole_form_without_a_value_says_what_to_do(at_bench: Client, bag: Kind) -> None:
    answer = at_bench.post(
        f"/staff/bench/{bag.pk}/line/gill_colour/",
        {"answer": "present", "seen_on": "material", "note": "hm", "last": 0, "form_key": "w"},
    )
    assert answer.status_code == 422
    assert "has no value" in answer.content.decode()
    assert "hm" in answer.content.decode()


def test_what_the_finder_told_is_never_corrected(at_bench: Client, bag: Kind) -> None:
    told = Finding.objects.create(
        kind=bag, character="cap_width", value=50, by_role="finder", seen_on="told", at=timezone.now()
    )
    answer = at_bench.post(
        f"/staff/bench/{bag.pk}/line/cap_width/",
        {
            "value": "60",
            "answer": "present",
            "seen_on": "material",
            "replaces": told.pk,
            "last": told.pk,
            "form_key": "w",
        },
    )
    assert answer.status_code == 422
    assert bag.findings.count() == 1


def test_lines_of_another_kind_of_body_sleep(at_bench: Client, bag: Kind) -> None:
    text = typed(at_bench, bag, "kind of body ball").content.decode()
    assert '<li class="line asleep" id="line-cap_width" hx-swap-oob="true">' in " ".join(text.split())


@pytest.mark.parametrize(
    "path", ["bench/", "bench/{}/", "bench/{}/line/volva/", "bench/suggest/?entry=cap", "bench/names/?name=aman"]
)
def test_nobody_enters_without_signing_in(bag: Kind, path: str) -> None:
    assert Client().get(f"/staff/{path.format(bag.pk)}").status_code == 302


def test_an_unknown_character_or_kind_is_not_found(at_bench: Client, bag: Kind) -> None:
    assert at_bench.get(f"/staff/bench/{bag.pk}/line/halo/").status_code == 404
    assert at_bench.get(f"/staff/bench/{bag.pk + 99}/").status_code == 404


def test_the_front_desk_writes_findings_and_no_names(at_front_desk: Client, bag: Kind) -> None:
    typed(at_front_desk, bag, "ring none")
    assert bag.findings.get().by_role == "front-desk"
    assert at_front_desk.post(f"/staff/bench/{bag.pk}/name/", {"name": "Agaricus"}).status_code == 403


def test_a_managers_finding_does_not_count_as_a_trained_eye(at_managers_desk: Client, bag: Kind) -> None:
    typed(at_managers_desk, bag, "deposit chocolate")
    assert bag.findings.get().by_role == "front-desk"


def test_what_fits_is_folded_until_asked_and_that_is_noted(at_bench: Client, bag: Kind, diagnostician: User) -> None:
    found(bag, "cap width 62", by=diagnostician)
    url = f"/staff/bench/{bag.pk}/"
    assert "candidates" not in at_bench.get(url).content.decode()
    assert "Not excluded" in at_bench.get(url).content.decode()
    assert not RankingSeen.objects.exists()
    opened = at_bench.post(f"{url}unfold/", headers={"HX-Request": "true"}).content.decode()
    assert "candidates" in opened
    at_bench.post(f"{url}unfold/")
    assert RankingSeen.objects.get().by == diagnostician
    assert HistoryEntry.objects.filter(action="unfolded").count() == 1
    assert "candidates" in at_bench.get(url).content.decode()


def test_what_lies_open_is_noted_as_seen(bag: Kind, diagnostician: User) -> None:
    diagnostician.folds_ranking = False
    diagnostician.save()
    found(bag, "form shelf", by=diagnostician)
    found(bag, "hymenium pores", by=diagnostician)
    assert "candidates" in signed_in(diagnostician).get(f"/staff/bench/{bag.pk}/").content.decode()
    assert RankingSeen.objects.filter(kind=bag, by=diagnostician).count() == 1


def test_a_share_of_kinds_is_folded_for_everybody(bag: Kind, diagnostician: User, clinic: Clinic) -> None:
    diagnostician.folds_ranking = False
    diagnostician.save()
    Kind.objects.filter(pk=bag.pk).update(fold_drawn=clinic.fold_ranking_share / 2)
    found(bag, "form shelf", by=diagnostician)
    found(bag, "hymenium pores", by=diagnostician)
    page = signed_in(diagnostician).get(f"/staff/bench/{bag.pk}/").content.decode()
    assert "drawn to be read without it" in page


def test_one_press_starts_a_print_that_is_due_in_eight_hours(at_bench: Client, bag: Kind) -> None:
    for _ in range(2):
        at_bench.post(f"/staff/bench/{bag.pk}/prepare/", {"character": "deposit_colour"})
    print_ = Preparation.objects.get()
    assert print_.what == "print"
    assert print_.due_at - print_.started_at == timedelta(hours=8)


def test_a_preparation_is_read_once(at_bench: Client, bag: Kind, diagnostician: User) -> None:
    at_bench.post(f"/staff/bench/{bag.pk}/prepare/", {"what": "mount"})
    mount = Preparation.objects.get()
    at_bench.post(f"/staff/bench/preparation/{mount.pk}/", {"result": " "})
    mount.refresh_from_db()
    assert mount.done_at is None
    for words in ("smooth spores", "other words"):
        at_bench.post(f"/staff/bench/preparation/{mount.pk}/", {"result": words})
    mount.refresh_from_db()
    assert mount.result == "smooth spores"


def test_an_unknown_preparation_starts_nothing(at_bench: Client, bag: Kind) -> None:
    at_bench.post(f"/staff/bench/{bag.pk}/prepare/", {"what": "soup"})
    assert not Preparation.objects.exists()


def test_a_name_on_hold_is_masked_for_who_may_not_see_it(
    at_front_desk: Client, at_bench: Client, bag: Kind, diagnostician: User
) -> None:
    at_bench.post(
        f"/staff/bench/{bag.pk}/name/",
        {"name": "Agaricus", "certainty": "likely", "acknowledged": "on", "form_key": "n"},
    )
    Hold.objects.create(
        submission=bag.submission, kind=bag, reason=Hold.Reason.REGULATED, words="asked", placed_by=diagnostician,
        placed_at=timezone.now(),
    )  # fmt: skip
    url = f"/staff/bench/{bag.pk}/"
    assert "Agaricus" not in at_front_desk.get(url).content.decode()
    assert "Agaricus" in at_bench.get(url).content.decode()
    at_front_desk.post(f"{url}unfold/")
    assert not RankingSeen.objects.exists()


def test_a_merged_kind_leads_to_the_one_it_became(at_bench: Client, bag: Kind) -> None:
    other = Kind.objects.create(submission=bag.submission, finder_label="B", created_at=timezone.now(), merged_into=bag)
    assert at_bench.get(f"/staff/bench/{other.pk}/")["Location"] == f"/staff/bench/{bag.pk}/"
    assert typed(at_bench, other, "ring none").status_code == 422


def test_the_page_asks_few_questions_of_the_database(
    at_bench: Client, bag: Kind, diagnostician: User, django_assert_max_num_queries: Any
) -> None:
    for text in ("cap width 62", "ring none", "gill attachment free", "cap surface scaly"):
        found(bag, text, by=diagnostician)
    at_bench.get(f"/staff/bench/{bag.pk}/")
    with django_assert_max_num_queries(14):
        at_bench.get(f"/staff/bench/{bag.pk}/")


def test_what_is_seen_on_a_photo_never_passes_for_the_material(at_bench: Client, kind: Kind) -> None:
    """The kind is announced, its photos are here, its bag is not."""
    typed(at_bench, kind, "ring none")
    assert kind.findings.get().seen_on == "photo"
    assert typed(at_bench, kind, "volva sac", seen_on="material").status_code == 422
    assert kind.findings.count() == 1


def test_a_photo_only_kind_is_looked_at_on_photos(at_bench: Client, bag: Kind) -> None:
    Kind.objects.filter(pk=bag.pk).update(material="photo-only")
    line(at_bench, bag, "ring", "none seen")
    assert bag.findings.get().seen_on == "photo"


def test_the_name_field_says_what_will_be_written_and_in_whose_sense(at_bench: Client) -> None:
    said = " ".join(at_bench.get("/staff/bench/names/?name=amanita+phalloides").content.decode().split())
    assert "Will be written as Amanita phalloides, species" in said
    assert "according to" in said


def test_what_must_be_acknowledged_is_renewed_with_each_finding(at_bench: Client, bag: Kind) -> None:
    text = typed(at_bench, bag, "hymenium gills").content.decode()
    assert '<div id="beside" hx-swap-oob="true">' in text


def test_a_preparation_that_runs_is_not_offered_again(at_bench: Client, bag: Kind) -> None:
    page = f"/staff/bench/{bag.pk}/"
    assert "Start: spore print" in at_bench.get(page).content.decode()
    at_bench.post(f"{page}prepare/", {"character": "deposit_colour"})
    assert "Start: spore print" not in at_bench.get(page).content.decode()
