"""The history: written with the change or not at all, and never changed after."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from django.db import connection, transaction

from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.records.actions import OutsideTransactionError, next_clinic_number, write_history
from fruitbody.desk.records.models import AppendOnlyError, HistoryEntry
from fruitbody.desk.submissions.models import Submission


def _entry(submission: Submission, by: User | None = None) -> HistoryEntry:
    return write_history(by=by, subject=submission, submission=submission, action="flagged", words="It was flagged.")


def test_an_entry_tells_who_did_what_to_what(submission: Submission, diagnostician: User) -> None:
    entry = _entry(submission, diagnostician)
    assert (entry.by_words, entry.subject, entry.subject_id) == ("Rosa Exemplar", "submission", submission.pk)


def test_an_entry_without_a_person_is_the_desks_own(submission: Submission) -> None:
    assert _entry(submission).by_words == "the desk itself"


def test_an_entry_is_never_changed(submission: Submission) -> None:
    entry = _entry(submission)
    entry.words = "It was not."
    with pytest.raises(AppendOnlyError):
        entry.save()


def test_an_entry_is_never_deleted(submission: Submission) -> None:
    with pytest.raises(AppendOnlyError):
        _entry(submission).delete()


def test_dates_among_the_facts_are_kept_as_text(submission: Submission) -> None:
    at = datetime(2026, 11, 25, 14, 5, tzinfo=UTC)
    entry = write_history(by=None, subject=submission, action="seen", words="Seen.", data={"at": at})
    entry.refresh_from_db()
    assert entry.data == {"at": "2026-11-25T14:05:00Z"}


@pytest.mark.django_db(transaction=True)
def test_history_outside_a_transaction_is_refused(submission: Submission) -> None:
    assert not connection.in_atomic_block
    with pytest.raises(OutsideTransactionError):
        _entry(submission)


@pytest.mark.django_db(transaction=True)
def test_a_change_that_fails_leaves_no_history(submission: Submission) -> None:
    with transaction.atomic():
        _entry(submission)
        transaction.set_rollback(True)
    assert not HistoryEntry.objects.exists()


def test_clinic_numbers_count_up_within_a_year(clinic: Clinic) -> None:
    at = datetime(2026, 6, 1, tzinfo=UTC)
    numbers = [next_clinic_number(clinic, at=at)[:9] for _ in range(3)]
    assert numbers == ["F26-00001", "F26-00002", "F26-00003"]


def test_the_year_of_a_clinic_number_is_that_of_the_clinics_zone(clinic: Clinic) -> None:
    still_december_there = datetime(2027, 1, 1, 3, 0, tzinfo=UTC)
    assert next_clinic_number(clinic, at=still_december_there).startswith("F26-")


@pytest.mark.django_db(transaction=True)
def test_a_number_drawn_in_a_transaction_that_fails_is_drawn_again(clinic: Clinic) -> None:
    at = datetime(2026, 6, 1, tzinfo=UTC)
    with transaction.atomic():
        first = next_clinic_number(clinic, at=at)
        transaction.set_rollback(True)
    assert next_clinic_number(clinic, at=at) == first
