"""Reports at the desk: begun, written, issued once, never changed, amended; who may, and what goes wrong."""

from __future__ import annotations

import hashlib
import io

import pypdf
import pytest
from django.test import Client

from fruitbody.desk.bench.models import Hold, Kind, Task
from fruitbody.desk.people.models import User
from fruitbody.desk.records.models import HistoryEntry
from fruitbody.desk.reports.actions import amend, issue, keep_letter, open_draft
from fruitbody.desk.reports.drawer import DRAWER, drawer_for
from fruitbody.desk.reports.errors import ReportError
from fruitbody.desk.reports.letter import KindWords, LetterWords, letter_json, read_letter
from fruitbody.desk.reports.models import ReportVersion
from fruitbody.desk.submissions.models import Submission
from fruitbody.report import banned_words
from tests.desk.reporting import (
    begun,
    fields,
    found,
    issued,
    named,
    page,
    second_read,
    tree_crusts,
)

pytestmark = pytest.mark.django_db


def bytes_of(report: ReportVersion) -> bytes:
    with report.pdf.open("rb") as file:
        return bytes(file.read())


def text_of(pdf: bytes) -> str:
    return " ".join(" ".join(p.extract_text() for p in pypdf.PdfReader(io.BytesIO(pdf)).pages).split())


# --- begun and written


def test_looking_at_the_draft_page_begins_nothing(at_bench: Client, case: Submission) -> None:
    answer = at_bench.get(page("draft", case.pk))
    assert b"Begin the report" in answer.content
    assert not case.reports.exists()


def test_a_draft_is_begun_once_and_told_in_the_history(at_bench: Client, case: Submission) -> None:
    begun(at_bench, case)
    begun(at_bench, case)
    assert case.reports.count() == 1
    assert case.history.filter(action="drafted").count() == 1


def test_nothing_named_is_nothing_to_report(at_bench: Client, submission: Submission) -> None:
    answer = at_bench.post(page("draft", submission.pk), {"do": "open"}, follow=True)
    assert b"Write one at the bench first." in answer.content
    assert not submission.reports.exists()


def test_the_answer_is_prepared_and_follows_the_name_until_somebody_types(
    at_bench: Client, case: Submission, kind: Kind, diagnostician: User
) -> None:
    begun(at_bench, case)
    assert fields(at_bench, case)["answer"] == "“A” is Agaricus sp., named to genus."
    at_bench.post(page("draft", case.pk), fields(at_bench, case) | {"do": "keep"})
    named(kind, "Amanita", diagnostician)
    assert fields(at_bench, case)["answer"] == "“A” is Amanita sp., named to genus."


def test_typed_words_are_kept_and_stand_in_the_form_again(at_bench: Client, case: Submission, kind: Kind) -> None:
    begun(at_bench, case)
    typed = fields(at_bench, case, answer="A mushroom of the lawn.", **{f"k{kind.pk}__people": "Keep it away."})
    at_bench.post(page("draft", case.pk), typed | {"do": "keep"})
    again = fields(at_bench, case)
    assert (again["answer"], again[f"k{kind.pk}-people"]) == ("A mushroom of the lawn.", "Keep it away.")


def test_what_could_not_be_excluded_stands_on_the_draft(at_bench: Client, case: Submission) -> None:
    begun(at_bench, case)
    answer = at_bench.get(page("draft", case.pk)).content.decode()
    assert "Could not be excluded" in answer
    assert "death cap and destroying angels" in answer


def test_the_draft_as_paper_is_marked_a_draft(at_bench: Client, case: Submission) -> None:
    report = begun(at_bench, case)
    answer = at_bench.get(page("pdf", report.pk))
    assert answer["Content-Type"] == "application/pdf"
    assert f"DRAFT {case.code}" in text_of(answer.content)
    assert "frame-ancestors 'self'" in answer["Content-Security-Policy"]


def test_a_text_that_is_too_long_is_refused_and_stays_in_the_form(at_bench: Client, case: Submission) -> None:
    begun(at_bench, case)
    answer = at_bench.post(page("draft", case.pk), fields(at_bench, case, answer="x" * 4001) | {"do": "keep"})
    assert answer.status_code == 422
    assert "x" * 4001 in answer.content.decode()


def test_two_writers_do_not_overwrite_each_other_unseen(at_bench: Client, case: Submission) -> None:
    begun(at_bench, case)
    mine = fields(at_bench, case, answer="Mine.")
    at_bench.post(page("draft", case.pk), fields(at_bench, case, answer="Theirs.") | {"do": "keep"})
    answer = at_bench.post(page("draft", case.pk), mine | {"do": "keep"})
    assert answer.status_code == 409
    assert "Mine." in answer.content.decode()
    assert case.reports.get().letter["answer"] == "Theirs."
    at_bench.post(page("draft", case.pk), mine | answer.context["fresh"] | {"do": "keep"})
    assert case.reports.get().letter["answer"] == "Mine."


def test_the_words_of_a_letter_come_back_from_json_as_they_were() -> None:
    words = LetterWords("a", "b", {3: KindWords("c", None, {"tree": "d"}), 4: KindWords(opinion="")}, "e", "f")
    assert read_letter(letter_json(words)) == words
    assert read_letter({}) == LetterWords()


# --- the drawer


def test_the_drawer_holds_no_banned_word() -> None:
    assert [p.id for p in DRAWER if banned_words(p.text, language="en") or banned_words(p.title, language="en")] == []


def test_what_goes_with_the_question_lies_on_top_of_the_drawer() -> None:
    assert {p.about for p in drawer_for("tree")[:1]} == {"tree"}
    assert len(drawer_for("tree")) == len(DRAWER)


# --- issued


def test_an_issued_version_keeps_the_bytes_of_its_digest(at_bench: Client, case: Submission) -> None:
    begun(at_bench, case)
    report = issued(at_bench, case)
    assert hashlib.sha256(bytes_of(report)).hexdigest() == report.sha256
    assert at_bench.get(page("pdf", report.pk)).content == bytes_of(report)


def test_the_paper_names_who_issued_it_and_what_could_not_be_excluded(at_bench: Client, case: Submission) -> None:
    begun(at_bench, case)
    paper = text_of(bytes_of(issued(at_bench, case)))
    assert "Issued by Rosa Exemplar" in paper
    assert "We could not exclude" in paper
    assert "death cap and destroying angels" in paper
    assert "This report does not say whether any mushroom is safe to eat." in paper


def test_issued_twice_is_issued_once(at_bench: Client, case: Submission) -> None:
    begun(at_bench, case)
    form = fields(at_bench, case, second_reading="after") | {"do": "issue"}
    at_bench.post(page("draft", case.pk), form)
    answer = at_bench.post(page("draft", case.pk), form)
    assert answer.url == page("version", case.reports.get().pk)  # type: ignore[attr-defined]
    assert case.messages.filter(report__isnull=False).count() == 1


def test_the_action_itself_issues_once(at_bench: Client, case: Submission, diagnostician: User) -> None:
    report = begun(at_bench, case)
    first = issue(report, by=diagnostician, second_reading="after")
    assert issue(report, by=diagnostician, second_reading="after").sha256 == first.sha256
    assert case.history.filter(action="issued").count() == 1


def test_the_content_is_kept_with_the_rows_it_rests_on(at_bench: Client, case: Submission, kind: Kind) -> None:
    begun(at_bench, case)
    content = issued(at_bench, case).content
    assert content["kinds"][0]["name"][0] == {"text": "Agaricus", "italic": True}
    assert content["rests_on"]["determinations"] == {str(kind.pk): kind.determinations.get().pk}
    assert len(content["kinds"][0]["photos"][0]["image"]) == 64


def test_nothing_typed_changes_an_issued_version(at_bench: Client, case: Submission, diagnostician: User) -> None:
    begun(at_bench, case)
    report = issued(at_bench, case)
    with pytest.raises(ReportError, match="stays as it is"):
        keep_letter(report, LetterWords(answer="Other."), by=diagnostician)
    with pytest.raises(ReportError, match="make a new version"):
        open_draft(case, by=diagnostician)


def test_a_banned_word_refuses_with_a_sentence_and_nothing_is_lost(at_bench: Client, case: Submission) -> None:
    begun(at_bench, case)
    typed = fields(at_bench, case, answer="It is quite harmless.", second_reading="after")
    answer = at_bench.post(page("draft", case.pk), typed | {"do": "issue"})
    assert answer.status_code == 422
    assert "“harmless” must not stand in a report" in answer.content.decode()
    assert "It is quite harmless." in answer.content.decode()
    report = case.reports.get()
    assert report.issued_at is None
    assert report.letter["answer"] == "It is quite harmless."


def test_paper_that_is_refused_says_why(at_bench: Client, case: Submission) -> None:
    report = begun(at_bench, case)
    at_bench.post(page("draft", case.pk), fields(at_bench, case, answer="Edible.") | {"do": "keep"})
    answer = at_bench.get(page("pdf", report.pk))
    assert answer.status_code == 409
    assert "“edible” must not stand in a report" in answer.content.decode()


def test_a_finding_written_after_the_page_was_opened_stops_the_issue(
    at_bench: Client, case: Submission, kind: Kind, diagnostician: User
) -> None:
    begun(at_bench, case)
    form = fields(at_bench, case, second_reading="after") | {"do": "issue"}
    found(kind, "smell", "phenol", by=diagnostician)
    answer = at_bench.post(page("draft", case.pk), form)
    assert answer.status_code == 409
    assert "have changed since you opened this page" in answer.content.decode()


@pytest.mark.parametrize(
    ("choice", "words"),
    [
        ({}, "Choose whether the second reading"),
        ({"second_reading": "waived"}, "waived for a reason"),
        ({"second_reading": "before"}, "Nobody has read it a second time yet"),
    ],
)
def test_a_second_reading_is_never_passed_over_in_silence(
    at_bench: Client, case: Submission, choice: dict[str, str], words: str
) -> None:
    begun(at_bench, case)
    answer = at_bench.post(page("draft", case.pk), fields(at_bench, case, **choice) | {"do": "issue"})
    assert answer.status_code == 422
    assert words in answer.content.decode()


def test_a_different_second_reading_needs_a_note_or_a_new_name(
    at_bench: Client, case: Submission, kind: Kind, second_reader: User, diagnostician: User
) -> None:
    report = begun(at_bench, case)
    second_read(kind, "Amanita", second_reader)
    with pytest.raises(ReportError, match="gave a different name"):
        issue(report, by=diagnostician, second_reading="before")
    named(kind, "Amanita", diagnostician)
    assert issue(report, by=diagnostician, second_reading="before").issued_at


def test_the_second_readers_name_is_not_the_reports(
    at_bench: Client, case: Submission, kind: Kind, second_reader: User
) -> None:
    begun(at_bench, case)
    second_read(kind, "Amanita", second_reader)
    assert "Agaricus sp." in fields(at_bench, case)["answer"]


def test_a_reading_promised_after_issue_is_a_task(at_bench: Client, case: Submission) -> None:
    begun(at_bench, case)
    issued(at_bench, case, second_reading="after", note="")
    assert case.tasks.filter(what="look", done_at__isnull=True).count() == 1


def test_issue_is_written_into_the_history_without_the_name(at_bench: Client, case: Submission) -> None:
    begun(at_bench, case)
    report = issued(at_bench, case)
    entry = HistoryEntry.objects.get(action="issued")
    assert entry.data["sha256"] == report.sha256
    assert "Agaricus" not in entry.words


def test_the_question_about_eating_needs_no_answer_and_gets_the_fixed_one(at_bench: Client, case: Submission) -> None:
    case.question = "eating"
    case.save()
    begun(at_bench, case)
    assert fields(at_bench, case)["answer"] == ""
    paper = text_of(bytes_of(issued(at_bench, case)))
    assert paper.index("We do not answer whether it can be eaten.") < paper.index("We could not exclude")


# --- holds


def test_a_name_on_hold_is_masked_on_the_paper(at_bench: Client, case: Submission, diagnostician: User) -> None:
    begun(at_bench, case)
    Hold.objects.create(
        submission=case, reason="regulated", words="suspect", placed_by=diagnostician, placed_at=case.created_at
    )
    paper = text_of(bytes_of(issued(at_bench, case)))
    assert "Agaricus" not in paper
    assert "Not named yet" in paper


def test_a_name_typed_into_the_answer_of_a_held_kind_is_refused(
    at_bench: Client, case: Submission, diagnostician: User
) -> None:
    begun(at_bench, case)
    at_bench.post(page("draft", case.pk), fields(at_bench, case, answer="An Agaricus sp. indeed.") | {"do": "keep"})
    Hold.objects.create(
        submission=case, reason="regulated", words="suspect", placed_by=diagnostician, placed_at=case.created_at
    )
    assert "is on hold and stands in it" in at_bench.get(page("draft", case.pk)).content.decode()


def test_a_version_that_names_what_is_on_hold_is_closed_to_the_front_desk(
    at_bench: Client, at_front_desk: Client, case: Submission, diagnostician: User
) -> None:
    begun(at_bench, case)
    report = issued(at_bench, case)
    assert at_front_desk.get(page("pdf", report.pk)).status_code == 200
    Hold.objects.create(
        submission=case, reason="regulated", words="suspect", placed_by=diagnostician, placed_at=case.created_at
    )
    assert at_front_desk.get(page("pdf", report.pk)).status_code == 403
    assert at_front_desk.get(page("version", report.pk)).status_code == 403
    assert at_bench.get(page("pdf", report.pk)).status_code == 200


# --- trees


def test_a_tree_fungus_puts_the_referral_first_and_a_call_is_due_today_once(
    at_bench: Client, submission: Submission, kind: Kind, diagnostician: User
) -> None:
    tree_crusts(kind, diagnostician)
    named(kind, "Kretzschmaria deusta", diagnostician)
    begun(at_bench, submission)
    page_words = at_bench.get(page("draft", submission.pk)).content.decode()
    assert "Have the tree inspected on site by a qualified tree-risk assessor promptly." in page_words
    paper = text_of(bytes_of(issued(at_bench, submission)))
    assert paper.index("This fungus can weaken roots or trunk") < paper.index("You asked")
    assert Task.objects.filter(submission=submission, what="call", needs_voice=True).count() == 1


# --- a new version


def test_a_new_version_says_what_changed_and_why(at_bench: Client, case: Submission) -> None:
    begun(at_bench, case)
    issued(at_bench, case)
    assert at_bench.post(page("amend", case.pk), {"changed": "", "why": ""}).status_code == 422
    answer = at_bench.post(page("amend", case.pk), {"changed": "The size is corrected.", "why": "A slip."})
    assert answer.url == page("draft", case.pk)  # type: ignore[attr-defined]
    newer = issued(at_bench, case)
    paper = text_of(bytes_of(newer))
    assert newer.version == 2
    assert "This version replaces version 1" in paper
    assert "The size is corrected." in paper
    assert "A slip." in paper


def test_a_new_version_without_what_changed_cannot_be_issued(at_bench: Client, case: Submission) -> None:
    begun(at_bench, case)
    issued(at_bench, case)
    at_bench.post(page("amend", case.pk), {"changed": "x", "why": "y"})
    typed = fields(at_bench, case, changed="", why="", second_reading="after")
    answer = at_bench.post(page("draft", case.pk), typed | {"do": "issue"})
    assert "what changed and why" in answer.content.decode()


def test_words_on_an_unchanged_name_are_taken_over_and_others_are_not(
    at_bench: Client, case: Submission, kind: Kind, diagnostician: User
) -> None:
    begun(at_bench, case)
    issued(at_bench, case, answer="My own words.")
    same = amend(case, changed="a", why="b", by=diagnostician)
    assert read_letter(same.letter).answer == "My own words."
    same.delete()
    named(kind, "Amanita", diagnostician)
    assert read_letter(amend(case, changed="a", why="b", by=diagnostician).letter).answer is None


def test_nothing_issued_is_nothing_to_amend(at_bench: Client, case: Submission, diagnostician: User) -> None:
    with pytest.raises(ReportError, match="Change the draft instead"):
        amend(case, changed="a", why="b", by=diagnostician)
    assert at_bench.get(page("amend", case.pk)).status_code == 302


def test_the_replaced_version_says_so_to_staff_and_finder(at_bench: Client, case: Submission, client: Client) -> None:
    begun(at_bench, case)
    first = issued(at_bench, case)
    before = bytes_of(first)
    at_bench.post(page("amend", case.pk), {"changed": "The size.", "why": "A slip."})
    issued(at_bench, case)
    assert "This version is replaced" in at_bench.get(page("version", first.pk)).content.decode()
    assert client.get(f"/follow/{case.token}/report/1/").status_code == 410
    assert bytes_of(first) == before
