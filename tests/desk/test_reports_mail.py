"""Letters that carry a report: who gets one, with the PDF attached, through a real mail server and into the outbox."""

from __future__ import annotations

import hashlib
import io
from email.message import EmailMessage
from pathlib import Path

import pypdf
import pytest
from django.test import Client

from fruitbody.desk.bench.models import Kind
from fruitbody.desk.people.models import User
from fruitbody.desk.submissions.models import Message, Submission
from tests.desk.reporting import add_party, begun, issued, named, page, tree_crusts, white_button
from tests.desk.test_mail import Postbox, letters_in, postbox

__all__ = ["postbox"]
pytestmark = pytest.mark.django_db


@pytest.fixture
def case(submission: Submission, kind: Kind, diagnostician: User) -> Submission:
    white_button(kind, diagnostician)
    named(kind, "Agaricus", diagnostician)
    add_party(submission, "client", "Larch Meadow Camp", "camp@example.org")
    add_party(submission, "recipient", "Meadow landlord", "landlord@example.org")
    add_party(submission, "payer", "Meadow accounts", "accounts@example.org")
    return submission


def attached(letter: EmailMessage) -> bytes:
    (pdf,) = letter.iter_attachments()
    assert pdf.get_content_type() == "application/pdf"
    data = pdf.get_payload(decode=True)
    assert isinstance(data, bytes)
    return data


def body_of(letter: EmailMessage) -> str:
    body = letter.get_body()
    assert isinstance(body, EmailMessage)
    return str(body.get_content())


def test_submitter_client_and_recipient_get_the_very_bytes_and_the_payer_does_not(
    postbox: Postbox, at_bench: Client, case: Submission
) -> None:
    begun(at_bench, case)
    report = issued(at_bench, case)
    assert sorted(postbox.to) == ["camp@example.org", "landlord@example.org", "wren@example.org"]
    assert {hashlib.sha256(attached(letter)).hexdigest() for letter in postbox.letters} == {report.sha256}


def test_the_attached_report_can_be_read_by_another_library(
    postbox: Postbox, at_bench: Client, case: Submission
) -> None:
    begun(at_bench, case)
    issued(at_bench, case)
    paper = pypdf.PdfReader(io.BytesIO(attached(postbox.letters[0])))
    words = " ".join(p.extract_text() for p in paper.pages)
    assert case.code in words
    assert "Larch Meadow Camp" in words


def test_the_private_link_goes_to_the_finder_alone(postbox: Postbox, at_bench: Client, case: Submission) -> None:
    begun(at_bench, case)
    issued(at_bench, case)
    with_link = [letter["To"] for letter in postbox.letters if case.token in body_of(letter)]
    assert with_link == ["Wren Hollis <wren@example.org>"]


def test_the_letter_carries_the_cautions_and_no_name(postbox: Postbox, at_bench: Client, case: Submission) -> None:
    begun(at_bench, case)
    issued(at_bench, case)
    body = body_of(postbox.letters[0])
    assert "Do not eat any wild mushroom because of it." in body
    assert "Agaricus" not in body


def test_the_outbox_folder_gets_the_report_too(
    settings: object, tmp_path: Path, at_bench: Client, case: Submission
) -> None:
    begun(at_bench, case)
    report = issued(at_bench, case)
    letters = letters_in(tmp_path / "outbox")
    assert len(letters) == 3
    assert hashlib.sha256(attached(letters[0])).hexdigest() == report.sha256
    assert set(case.messages.values_list("state", flat=True)) == {Message.State.OUTBOX}


def test_the_referral_of_a_tree_stands_first_in_the_letter(
    postbox: Postbox, at_bench: Client, submission: Submission, kind: Kind, diagnostician: User
) -> None:
    tree_crusts(kind, diagnostician)
    named(kind, "Kretzschmaria deusta", diagnostician)
    begun(at_bench, submission)
    issued(at_bench, submission)
    assert body_of(postbox.letters[0]).startswith("This fungus can weaken roots or trunk before the crown shows it.")


def test_a_new_version_says_so_in_its_subject(postbox: Postbox, at_bench: Client, case: Submission) -> None:
    begun(at_bench, case)
    issued(at_bench, case)
    at_bench.post(page("amend", case.pk), {"changed": "The size is corrected.", "why": "A slip."})
    issued(at_bench, case)
    letter = postbox.letters[-1]
    assert f"New report on your mushroom, {case.code}: version 2" in letter["Subject"]
    assert "The size is corrected." in body_of(letter)


def test_one_address_in_two_roles_gets_one_letter(postbox: Postbox, at_bench: Client, case: Submission) -> None:
    add_party(case, "recipient", "Wren H.", "WREN@example.org")
    begun(at_bench, case)
    issued(at_bench, case)
    assert len(postbox.letters) == 3
