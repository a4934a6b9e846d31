"""Letters on their way: waiting rows of `Message` become mail, or stay with the reason why not.

`write_letter` belongs inside the transaction of an action; the mail itself leaves after the commit, so that no letter
tells of something that was rolled back, and no mail server holds up a transaction.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from email.utils import formataddr
from functools import partial
from smtplib import SMTPException

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.utils import timezone

from fruitbody.desk.people.clinic import current_clinic
from fruitbody.desk.records.actions import write_history
from fruitbody.desk.reports.models import ReportVersion
from fruitbody.desk.submissions.models import Message, Submission


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file that goes with a letter."""

    name: str
    content: bytes
    media_type: str = "application/pdf"


def write_letter(
    submission: Submission,
    *,
    to_email: str,
    to_name: str,
    subject: str,
    body: str,
    report: ReportVersion | None = None,
) -> Message:
    """A letter that will leave as soon as the transaction is committed. With `report`, its PDF goes with it."""
    message = Message.objects.create(
        submission=submission,
        to_email=to_email,
        to_name=_one_line(to_name),
        subject=_one_line(subject)[:200],
        body=body,
        report=report,
        created_at=timezone.now(),
    )
    transaction.on_commit(partial(send_message, message))
    return message


def send_message(message: Message, attachments: Sequence[Attachment] = ()) -> Message:
    """Send one letter now and keep what came of it. Never raises for a mail server that fails: the row says so.

    attachments: beside the PDF of `message.report`, which is always attached, also when a letter is sent again.
    """
    error = ""
    try:
        _deliver(message, [*_report_file(message), *attachments])
    except (OSError, SMTPException, ValueError) as problem:
        error = f"{type(problem).__name__}: {problem}"[:300]
    sent = Message.State.OUTBOX if settings.EMAIL_BACKEND.endswith("OutboxBackend") else Message.State.SENT
    with transaction.atomic():
        message.state = Message.State.FAILED if error else sent
        message.error = error
        message.attempts += 1
        message.done_at = None if error else timezone.now()
        message.save(update_fields=["state", "error", "attempts", "done_at"])
        write_history(
            by=None,
            submission=message.submission,
            subject=message,
            action="failed" if error else "sent",
            words=f"The letter “{message.subject}” could not be sent."
            if error
            else f"The letter “{message.subject}” left.",
            data={"error": error, "attempt": message.attempts},
        )
    return message


def _deliver(message: Message, attachments: Sequence[Attachment]) -> None:
    clinic = current_clinic()
    sender = settings.MAIL_FROM or clinic.email or settings.DEFAULT_FROM_EMAIL
    letter = EmailMessage(
        subject=message.subject,
        body=message.body,
        from_email=formataddr((clinic.name, sender)),
        to=[formataddr((message.to_name, message.to_email)) if message.to_name else message.to_email],
        reply_to=[clinic.email] if clinic.email else None,
        headers={"Auto-Submitted": "auto-generated"},
    )
    for attachment in attachments:
        letter.attach(attachment.name, attachment.content, attachment.media_type)
    letter.send()


def _report_file(message: Message) -> list[Attachment]:
    report = message.report
    if report is None or not report.pdf:
        return []
    with report.pdf.open("rb") as file:
        return [Attachment(f"report-{message.submission.code}-v{report.version}.pdf", file.read())]


def _one_line(text: str) -> str:
    return " ".join(text.split())
