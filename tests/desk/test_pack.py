"""*Pack it*: the guidance, the slips with their square codes, and when a parcel may leave."""

from __future__ import annotations

import io
from datetime import date, timedelta

import pypdfium2
import pytest
import zxingcpp
from django.test import Client

from fruitbody.desk.bench.models import Kind
from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.submissions.models import Submission
from fruitbody.desk.submissions.parcel_views import slips_of
from fruitbody.handling import guidance
from fruitbody.handling.codes import read_slip
from fruitbody.report import banned_words


def pack(client: Client, submission: Submission) -> str:
    return client.get(f"/pack/{submission.token}/").content.decode()


SAID = (
    "paper",
    "Do not wash it",
    "Leave soil behind",
    "refrigerator",
    "Monday to Wednesday",
    "Do not sniff",
    "Under 16? Ask an adult",
    "Collect only where you may",
    "whole foot",
)


@pytest.mark.parametrize("words", SAID)
def test_the_guidance_says_it(client: Client, submission: Submission, words: str) -> None:
    assert words in pack(client, submission)


def test_no_word_of_the_guidance_praises_or_clears() -> None:
    every = (
        *guidance.before_picking(on_tree=False),
        *guidance.before_picking(on_tree=True),
        *guidance.packing(),
        *guidance.care(),
    )
    text = " ".join(f"{advice.do} {advice.why}" for advice in every)
    assert banned_words(text, language="en") == ()


def test_who_has_not_picked_it_reads_how_to(client: Client, submission: Submission) -> None:
    assert "Before you pick it" not in pack(client, submission)
    Submission.objects.update(picked=False)
    assert "Before you pick it" in pack(client, submission)


def test_from_another_state_one_writes_first(client: Client, submission: Submission) -> None:
    assert "Write to us first" not in pack(client, submission)
    Submission.objects.update(region="US-PA")
    assert "Sending from another state or country? Write to us first. Do not post it." in pack(client, submission)


@pytest.mark.parametrize(
    ("today", "posting_day"),
    [
        (date(2026, 11, 22), date(2026, 11, 23)),  # Sunday: Monday
        (date(2026, 11, 23), date(2026, 11, 23)),  # Monday
        (date(2026, 11, 25), date(2026, 11, 25)),  # Wednesday
        (date(2026, 11, 26), date(2026, 11, 30)),  # Thursday: Monday
    ],
)
def test_parcels_leave_monday_to_wednesday(today: date, posting_day: date) -> None:
    assert guidance.next_posting_day(today) == posting_day


def test_the_posting_day_is_never_more_than_four_days_off() -> None:
    days = [date(2026, 1, 1) + timedelta(days=n) for n in range(366)]
    assert max((guidance.next_posting_day(day) - day).days for day in days) == 4


def test_a_slip_per_kind_stands_on_the_page_with_its_label(client: Client, submission: Submission) -> None:
    Kind.objects.create(submission=submission, finder_label="by the gate", created_at=submission.created_at)
    page = pack(client, submission)
    assert page.count('class="qr"') == 2
    assert "by the gate" in page


def test_the_square_codes_of_the_sheet_are_read_by_an_independent_reader(
    client: Client, submission: Submission
) -> None:
    sheet = client.get(f"/pack/{submission.token}/labels.pdf")
    assert sheet["Content-Type"] == "application/pdf"
    picture = pypdfium2.PdfDocument(io.BytesIO(sheet.content))[0].render(scale=3).to_numpy()
    read = {read_slip(code.text) for code in zxingcpp.read_barcodes(picture)}
    assert ("K7WM-9PQT", "A") in read


def test_the_slip_carries_question_and_address(submission: Submission, clinic: Clinic) -> None:
    (slip,) = slips_of(submission, clinic)
    assert slip.question == "I would like to know what it is"
    assert slip.clinic_address == ("12 Example Road", "Alder, NY 00000")


def test_posted_is_said_once(client: Client, submission: Submission) -> None:
    client.post(f"/pack/{submission.token}/posted")
    first = Submission.objects.get().sent_at
    client.post(f"/pack/{submission.token}/posted")
    assert first is not None
    assert Submission.objects.get().sent_at == first
    assert submission.history.filter(action="posted").count() == 1


def test_a_page_that_is_only_read_changes_nothing(client: Client, submission: Submission) -> None:
    assert client.get(f"/pack/{submission.token}/posted").status_code == 405
    assert Submission.objects.get().sent_at is None


def test_a_stranger_who_scans_a_slip_learns_whose_parcel_it_is_and_no_more(
    client: Client, submission: Submission
) -> None:
    page = client.get("/s/K7WM-9PQT/?kind=A").content.decode()
    assert "Alder County Mushroom Desk" in page
    assert "Wren" not in page
    assert submission.token not in page


@pytest.mark.parametrize("code", ["K7WM-9PQW", "hello", "7QJH-BN32"])
def test_a_code_that_is_not_ours_gets_a_sentence(client: Client, clinic: Clinic, code: str) -> None:
    answer = client.get(f"/s/{code}/")
    assert answer.status_code == 404
    assert "We do not know this code" in answer.content.decode()


def test_the_front_desk_goes_on_from_a_scanned_slip(
    at_front_desk: Client, front_desk: User, submission: Submission
) -> None:
    answer = at_front_desk.get("/s/K7WM-9PQT/?kind=A")
    assert answer.status_code == 302
    assert answer["Location"].startswith("/staff/")
