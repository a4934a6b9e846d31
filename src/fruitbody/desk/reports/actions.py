"""What staff do to a report: one transaction each, with its history entry. An issued version never changes."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import timedelta
from typing import Any

from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import timezone

from fruitbody.desk.bench.models import Determination, Task
from fruitbody.desk.people.models import User
from fruitbody.desk.people.policy import Act, ensure
from fruitbody.desk.records.actions import write_history
from fruitbody.desk.reports.content_of import content_of, plain_content
from fruitbody.desk.reports.errors import ReportError, StaleError
from fruitbody.desk.reports.facts import Facts, basis_digest, facts_of, rests_on, standing_names
from fruitbody.desk.reports.letter import LetterWords, digest_of, letter_json, read_letter
from fruitbody.desk.reports.letters import report_letter
from fruitbody.desk.reports.models import ReportVersion
from fruitbody.desk.reports.parties import addressees
from fruitbody.desk.reports.referring import open_referral_call
from fruitbody.desk.reports.saying import Talk, say
from fruitbody.desk.submissions.mail import write_letter
from fruitbody.desk.submissions.models import Submission
from fruitbody.report import ReportContent, report_pdf

__all__ = ["READINGS", "Talk", "amend", "issue", "keep_letter", "open_draft", "say"]

READINGS = {"before": "before issue", "after": "after issue", "waived": "waived, for the reason given"}
READ_AFTER = timedelta(days=2)
POSTED_WITHIN = timedelta(days=1)


@transaction.atomic
def open_draft(submission: Submission, *, by: User) -> ReportVersion:
    """The draft of version 1, made once. Where a tree should be inspected promptly, a call is due today.

    Raises PermissionDenied; ReportError where a version is issued already (amend it) or nothing is named.
    """
    ensure(by, Act.DRAFT_REPORT)
    locked = Submission.objects.select_for_update().get(pk=submission.pk)
    if draft := locked.reports.filter(issued_at__isnull=True).first():
        return draft
    if locked.reports.exists():
        raise ReportError("This report is issued. To change it, make a new version that says what changed and why.")
    if not any(standing_names(locked).values()):
        raise ReportError("No kind of this submission has a name yet. Write one at the bench first.")
    report = ReportVersion.objects.create(submission=locked, version=1, opened_at=timezone.now(), opened_by=by)
    write_history(
        by=by, submission=locked, subject=report, action="drafted", words="Version 1 of the report was begun."
    )
    _due_tree_calls(locked)
    return report


@transaction.atomic
def keep_letter(report: ReportVersion, letter: LetterWords, *, by: User, opened: str = "") -> ReportVersion:
    """Keep what was typed, whatever it says: whether it may be issued is said when it is issued.

    opened: `digest_of(report.letter)` when the page was drawn; '' does not ask.
    Raises PermissionDenied; ReportError for an issued version; StaleError when somebody kept other words meanwhile.
    """
    ensure(by, Act.DRAFT_REPORT)
    locked = ReportVersion.objects.select_for_update().get(pk=report.pk)
    if locked.issued_at:
        raise ReportError(f"Version {locked.version} is issued and stays as it is. Make a new version to change it.")
    kept = letter_json(letter)
    if kept == locked.letter:
        return locked
    if opened and opened != digest_of(locked.letter):
        raise StaleError(
            "Somebody else has kept other words since you opened this page. Yours stand in the fields; keeping them "
            "once more puts them in place of theirs."
        )
    locked.letter, locked.changed = kept, _told_change(letter)
    locked.save(update_fields=["letter", "changed"])
    words = f"The words of version {locked.version} were changed."
    write_history(by=by, submission=locked.submission, subject=locked, action="written", words=words)
    return locked


@transaction.atomic
def issue(report: ReportVersion, *, by: User, second_reading: str, note: str = "", seen: str = "") -> ReportVersion:
    """Issue a version: make its PDF, keep its bytes, digest and content, write to everybody it goes to.

    Asked twice, it is issued once. second_reading: a key of READINGS; note: why it is waived, or how a difference was
    settled. seen: `basis_digest` of the facts when the page was drawn; '' does not ask.
    Raises PermissionDenied; ReportError, StaleError; ReportRefused with sentences where the words may not be issued.
    """
    ensure(by, Act.ISSUE_REPORT)
    locked = ReportVersion.objects.select_for_update().get(pk=report.pk)
    if locked.issued_at:
        return locked
    submission, facts = locked.submission, facts_of(locked.submission)
    if seen and seen != basis_digest(facts):
        raise StaleError("Findings or names have changed since you opened this page. Read it again, then issue it.")
    _check_reading(submission, second_reading, note)
    content = content_of(locked, at=timezone.now(), by=by, facts=facts)
    _seal(locked, facts, content, report_pdf(content, paper=facts.clinic.paper))
    locked.issued_at, locked.issued_by = content.issued_at, by
    locked.second_reading, locked.second_reading_note = second_reading, note.strip()[:300]
    locked.save()
    write_history(
        by=by,
        submission=submission,
        subject=locked,
        action="issued",
        words=f"Version {locked.version} of the report was issued; second reading: {READINGS[second_reading]}.",
        data={"sha256": locked.sha256, "second_reading": second_reading, "note": locked.second_reading_note},
    )
    _write_letters(locked, facts, content)
    _due_tree_calls(submission)
    if second_reading == "after":
        _due(submission, "look", f"Second reading, promised after version {locked.version} was issued.", READ_AFTER)
    return locked


@transaction.atomic
def amend(submission: Submission, *, changed: str, why: str, by: User) -> ReportVersion:
    """A draft of the next version. Words on kinds whose name did not change are taken over from the last one.

    Asked again while that draft is open, what changed and why are put right in it.
    Raises PermissionDenied; ReportError where nothing is issued yet, or what changed or why is not said.
    """
    ensure(by, Act.AMEND_REPORT)
    if not changed.strip() or not why.strip():
        raise ReportError("Say what changes against the earlier version, and why. Both stand in the new one.")
    locked = Submission.objects.select_for_update().get(pk=submission.pk)
    issued = locked.reports.filter(issued_at__isnull=False).order_by("-version").first()
    if issued is None:
        raise ReportError("No version of this report is issued yet. Change the draft instead.")
    draft = locked.reports.filter(issued_at__isnull=True).first()
    if draft is None:
        draft = ReportVersion(submission=locked, version=issued.version + 1, supersedes=issued)
        draft.opened_at, draft.opened_by = timezone.now(), by
        draft.letter = letter_json(_taken_over(locked, issued))
    words = replace(read_letter(draft.letter), changed=changed.strip(), why=why.strip())
    draft.letter, draft.changed = letter_json(words), _told_change(words)
    draft.save()
    write_history(
        by=by,
        submission=locked,
        subject=draft,
        action="amending",
        words=f"Version {draft.version} was begun in place of version {issued.version}.",
    )
    _due_tree_calls(locked)
    return draft


def _check_reading(submission: Submission, second_reading: str, note: str) -> None:
    """Raises ReportError for a second reading that nobody did, or one that is waived without a reason."""
    if second_reading not in READINGS:
        raise ReportError("Choose whether the second reading came before issue, comes after issue, or is waived.")
    if second_reading == "waived" and not note.strip():
        raise ReportError("A second reading is waived for a reason. Write it down.")
    readings = Determination.objects.filter(kind__submission=submission, kind__merged_into__isnull=True, blind=True)
    if second_reading == "before" and not readings.exists():
        raise ReportError("Nobody has read it a second time yet. Choose “after issue”, or waive it with a reason.")
    named = {kind.pk: name.pk for kind, name in standing_names(submission).items() if name}
    differ = [reading for reading in readings if reading.outcome == "different"]
    if any(reading.pk > named.get(reading.kind_id, 0) for reading in differ) and not note.strip():
        raise ReportError("The second reading gave a different name. Write in the note how that was settled.")


def _seal(report: ReportVersion, facts: Facts, content: ReportContent, pdf: bytes) -> None:
    """Set what never changes afterwards."""
    report.content = plain_content(content) | {"rests_on": rests_on(facts)}
    report.sha256 = hashlib.sha256(pdf).hexdigest()
    name = f"{report.submission.code}-v{report.version}-{report.sha256[:12]}.pdf"
    report.pdf.save(name, ContentFile(pdf), save=False)


def _write_letters(report: ReportVersion, facts: Facts, content: ReportContent) -> None:
    """A letter with the report to everybody it goes to; who has no e-mail gets it by hand, which is a task."""
    submission = report.submission
    for one in addressees(facts.parties):
        party = one.party
        subject, body = report_letter(report, content, finder=one.is_finder)
        if party.email:
            write_letter(
                submission, to_email=party.email, to_name=party.name, subject=subject, body=body, report=report
            )
        else:
            whom = party.get_role_display().lower()
            words = f"No e-mail: print version {report.version} of the report and post it to the {whom}."
            _due(submission, "send", words, POSTED_WITHIN)


def _due(submission: Submission, what: str, words: str, within: timedelta) -> Task:
    now = timezone.now()
    return Task.objects.create(submission=submission, what=what, words=words[:300], opened_at=now, due_at=now + within)


def _due_tree_calls(submission: Submission) -> None:
    for kind, name in standing_names(submission).items():
        open_referral_call(kind, name)


def _told_change(words: LetterWords) -> str:
    """What changed and why, as it stands on the record and on the finder's page."""
    return "\n".join(part for part in (words.changed.strip(), words.why.strip()) if part)


def _taken_over(submission: Submission, issued: ReportVersion) -> LetterWords:
    """The last version's words, without those on kinds that have another name now; then the answer goes too."""
    before: dict[str, Any] = (issued.content.get("rests_on") or {}).get("determinations") or {}
    words, now = read_letter(issued.letter), rests_on(facts_of(submission))["determinations"]
    same = {int(key) for key, name in now.items() if name == before.get(key)}
    kinds = {key: value for key, value in words.kinds.items() if key in same}
    if len(same) == len(now) == len(before):
        return words
    return replace(words, answer=None, does_not_answer="", kinds=kinds)
