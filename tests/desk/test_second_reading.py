"""A second pair of eyes: blind, without people, with an outcome for the first reader."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from fruitbody.desk.bench.models import Determination, Finding, Kind, Task
from fruitbody.desk.people.models import User
from fruitbody.desk.records.models import HistoryEntry
from fruitbody.desk.reports.models import ReportVersion
from fruitbody.desk.submissions.models import Submission
from tests.desk.bench_case import found, received, typed
from tests.desk.conftest import signed_in

NAME = {"name": "Agaricus", "certainty": "likely", "acknowledged": "on", "form_key": "first"}


@pytest.fixture
def named(submission: Submission, diagnostician: User, at_bench: Client) -> Kind:
    kind = received(submission, diagnostician)
    found(kind, "gill attachment free", by=diagnostician)
    at_bench.post(f"/staff/bench/{kind.pk}/name/", NAME)
    return kind


def read(client: Client, kind: Kind, name: str, key: str = "second") -> Any:
    form = {"name": name, "certainty": "likely", "form_key": key}
    return client.post(f"/staff/second-reading/{kind.pk}/name/", form)


def issued(kind: Kind, by: User) -> ReportVersion:
    now = timezone.now()
    return ReportVersion.objects.create(
        submission=kind.submission, version=1, opened_at=now, opened_by=by, issued_at=now, issued_by=by
    )


def test_the_list_shows_numbers_and_no_people(at_second_reading: Client, named: Kind) -> None:
    page = at_second_reading.get("/staff/second-reading/").content.decode()
    assert "F26-00002-V" in page
    assert "Agaricus" not in page
    assert "Wren Hollis" not in page


def test_the_blind_page_hides_the_name_the_sender_the_place_and_the_first_findings(
    at_second_reading: Client, named: Kind, diagnostician: User
) -> None:
    Finding.objects.create(
        kind=named, character="smell", value="anise", by_role="finder", seen_on="told", at=timezone.now()
    )
    page = at_second_reading.get(f"/staff/second-reading/{named.pk}/").content.decode()
    shown = page.split('<main id="main"')[1]
    for hidden in ("Agaricus", "Wren Hollis", "Rosa Exemplar", "Alder", "K7WM"):
        assert hidden not in shown
    assert "anise" in shown
    assert "free: they do not reach the stem</span>" not in shown


def test_the_ranking_cannot_be_unfolded_by_a_blind_reader(at_second_reading: Client, named: Kind) -> None:
    answer = at_second_reading.post(f"/staff/bench/{named.pk}/unfold/", headers={"HX-Request": "true"})
    assert "candidates" not in answer.content.decode()


def test_a_second_reader_opening_the_bench_is_led_to_the_blind_page(at_second_reading: Client, named: Kind) -> None:
    assert at_second_reading.get(f"/staff/bench/{named.pk}/")["Location"] == f"/staff/second-reading/{named.pk}/"
    assert at_second_reading.get("/staff/bench/")["Location"] == "/staff/second-reading/"


def test_a_second_readers_findings_are_their_own(at_second_reading: Client, named: Kind, second_reader: User) -> None:
    text = typed(at_second_reading, named, "gill attachment broad").content.decode()
    assert "free" not in text.split('id="line-gill_attachment"')[1].split("<form")[0]
    row = named.findings.get(by=second_reader)
    assert row.by_role == "second-reader"
    assert row.replaces is None


def test_a_diagnostician_reading_blind_counts_as_a_second_reader(named: Kind, manager: User) -> None:
    other = User.objects.create_user("iris", role="diagnostician", first_name="Iris", last_name="Vane")
    typed(signed_in(other), named, "ring none", blind="1")
    assert named.findings.get(by=other).by_role == "second-reader"


@pytest.mark.parametrize(
    ("name", "outcome"),
    [
        ("Agaricus", "same"),
        ("Agaricaceae", "wider"),
        ("Agaricus campestris group", "narrower"),
        ("Amanita", "different"),
    ],
)
def test_the_outcome_is_shown_to_the_first_reader(
    at_second_reading: Client, at_bench: Client, named: Kind, name: str, outcome: str
) -> None:
    read(at_second_reading, named, name)
    second = named.determinations.get(blind=True)
    assert second.outcome == outcome
    assert not second.ranking_seen
    page = " ".join(at_bench.get(f"/staff/bench/{named.pk}/").content.decode().split())
    assert f'Second reading: <strong class="outcome">{outcome}</strong>' in page


def test_a_form_sent_twice_reads_once(at_second_reading: Client, named: Kind) -> None:
    read(at_second_reading, named, "Amanita")
    read(at_second_reading, named, "Amanita")
    assert named.determinations.filter(blind=True).count() == 1


def test_a_difference_from_what_was_reported_opens_an_urgent_call(
    at_second_reading: Client, named: Kind, diagnostician: User
) -> None:
    issued(named, diagnostician)
    read(at_second_reading, named, "Amanita")
    task = Task.objects.get(what="contact")
    assert task.needs_voice
    assert task.kind == named
    assert "Amanita" not in task.words
    assert HistoryEntry.objects.filter(subject="task", action="opened").exists()


@pytest.mark.parametrize(("name", "reported"), [("Amanita", False), ("Agaricus", True), ("Agaricaceae", True)])
def test_no_call_is_opened_where_nothing_was_told_or_nothing_differs(
    at_second_reading: Client, named: Kind, diagnostician: User, name: str, reported: bool
) -> None:
    if reported:
        issued(named, diagnostician)
    read(at_second_reading, named, name)
    assert not Task.objects.filter(what="contact").exists()


def test_nobody_reads_their_own_name_a_second_time(at_bench: Client, named: Kind) -> None:
    answer = read(at_bench, named, "Amanita")
    assert answer.status_code == 422
    assert "somebody else has to read it" in answer.content.decode()
    assert not Determination.objects.filter(blind=True).exists()


def test_a_kind_without_a_first_name_is_not_read(
    at_second_reading: Client, submission: Submission, diagnostician: User
) -> None:
    kind = received(submission, diagnostician)
    assert read(at_second_reading, kind, "Amanita").status_code == 422


@pytest.mark.parametrize("name", ["", "Zzyzxia"])
def test_a_name_that_cannot_be_stays_in_the_field(at_second_reading: Client, named: Kind, name: str) -> None:
    answer = read(at_second_reading, named, name)
    assert answer.status_code == 422
    assert f'value="{name}"' in answer.content.decode()


def test_the_front_desk_reads_nothing_a_second_time(at_front_desk: Client, named: Kind) -> None:
    assert at_front_desk.get("/staff/second-reading/").status_code == 403
    assert read(at_front_desk, named, "Amanita").status_code == 403


def test_a_blind_reader_cannot_open_the_first_readers_finding_to_correct_it(
    at_second_reading: Client, named: Kind
) -> None:
    first = named.findings.get()
    url = f"/staff/bench/{named.pk}/line/gill_attachment/?replaces={first.pk}"
    page = at_second_reading.get(url).content.decode()
    assert "checked" not in page.split("<main")[1]
    assert "Correct it" not in page
