"""What finders and staff do to a submission: one transaction each, with its history entry."""

from __future__ import annotations

import secrets
from dataclasses import asdict
from datetime import timedelta
from functools import partial
from random import SystemRandom

from django.conf import settings
from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from fruitbody.desk.bench.models import Finding as FindingRow
from fruitbody.desk.bench.models import Kind, Task
from fruitbody.desk.people.models import User
from fruitbody.desk.people.policy import Act, ensure
from fruitbody.desk.records.actions import write_history
from fruitbody.desk.submissions.announced import Announcement, KindTold
from fruitbody.desk.submissions.letters import announced_letter, asking_letter
from fruitbody.desk.submissions.mail import send_message, write_letter
from fruitbody.desk.submissions.models import Eaten, Message, Origin, Party, Photo, Submission
from fruitbody.examine.finding import Finding
from fruitbody.examine.photo.intake import Intake, PhotoRefused, take_in
from fruitbody.handling.codes import DRAWN_FROM, submission_code

FINDER = "the finder"
MOST_PHOTOS = 60


def link_of(submission: Submission, page: str = "follow") -> str:
    """The private link as it stands in letters."""
    return f"{settings.ADDRESS}{reverse(f'submissions:{page}', args=[submission.token])}"


def submit(announcement: Announcement, *, origin: str = Origin.WEB) -> Submission:
    """Keep what a finder tells. The same form sent twice is kept once: the first submission comes back."""
    kept = Submission.objects.filter(form_key=announcement.form_key).first()
    if kept:
        return kept
    try:
        return _submit(announcement, origin)
    except IntegrityError:
        # The same form arrived twice at the same time and the other one was first.
        return Submission.objects.get(form_key=announcement.form_key)


@transaction.atomic
def _submit(told: Announcement, origin: str) -> Submission:
    submission = _keep_case(told, origin)
    kinds = [_keep_kind(submission, kind) for kind in told.kinds]
    _take_photos(submission, told, kinds)
    write_history(
        by=None,
        by_words=FINDER,
        submission=submission,
        subject=submission,
        action="announced",
        words=f"Submission {submission.code} was announced with {len(kinds)} kind{'s' if len(kinds) != 1 else ''}.",
        data={"kinds": [kind.finder_label for kind in kinds], "eaten": told.eaten, "question": told.question},
    )
    if told.eaten != Eaten.NO:
        _open_call(submission, "It may have been eaten, says the form. Call the finder; the poison centre comes first.")
    _write_to_submitter(submission, *announced_letter(submission, link_of(submission), link_of(submission, "pack")))
    return submission


def _keep_case(told: Announcement, origin: str) -> Submission:
    """The row of the case and its parties."""
    submission = Submission.objects.create(
        code=new_code(),
        form_key=told.form_key,
        origin=origin,
        created_at=timezone.now(),
        language=told.language,
        eaten=told.eaten,
        eaten_note=told.eaten_note,
        picked=told.picked,
        question=told.question,
        question_note=told.question_note,
        found_on=told.place.found_on,
        place_words=told.place.words,
        county=told.place.county,
        region=told.place.region,
        latitude=told.place.latitude,
        longitude=told.place.longitude,
        place_uncertainty_m=told.place.uncertainty_m,
        consent_place=told.consent_place,
        consent_photos=told.consent_photos,
        note=told.note,
        flag="" if told.eaten == Eaten.NO else "eaten",
    )
    Party.objects.bulk_create(Party(submission=submission, **asdict(party)) for party in told.parties)
    return submission


def new_code() -> str:
    """A submission code that nobody has yet."""
    draw = SystemRandom()
    while True:
        code = submission_code("".join(draw.choices(DRAWN_FROM, k=7)))
        if code and not Submission.objects.filter(code=code).exists():
            return code


def _keep_kind(submission: Submission, told: KindTold) -> Kind:
    kind = Kind.objects.create(
        submission=submission,
        finder_label=told.label,
        finder_note=told.note,
        fold_drawn=secrets.randbelow(1_000_000) / 1_000_000,
        created_at=submission.created_at,
    )
    for finding in told.findings:
        _keep_finding(kind, finding)
    return kind


def _keep_finding(kind: Kind, finding: Finding) -> None:
    measured = finding.measured
    value = measured.low if measured else finding.states[0] if finding.states else None
    FindingRow.objects.create(
        kind=kind,
        character=finding.character,
        value=value,
        answer=finding.answer.value,
        seen_on=finding.seen_on.value,
        by_role=finding.by.value,
        at=kind.created_at,
    )


def _take_photos(submission: Submission, told: Announcement, kinds: list[Kind]) -> None:
    """Tie the photos that came under the form's key to the submission and its kinds; places only with consent."""
    waiting = Photo.objects.filter(form_key=told.form_key, submission__isnull=True)
    if not told.consent_place:
        waiting.update(latitude=None, longitude=None)
    for row, kind in zip(kinds, told.kinds, strict=True):
        waiting.filter(pk__in=kind.photos).update(
            submission=submission, kind=row, kind_label=kind.label, reference=kind.reference
        )


def add_photo(
    data: bytes,
    *,
    view: str,
    form_key: str = "",
    submission: Submission | None = None,
    kind: Kind | None = None,
    name: str = "",
    keep_place: bool = False,
    by: User | None = None,
) -> Photo:
    """Take one photo in: before the form is sent under `form_key`, later to a submission (and kind).

    keep_place: the finder consented, at this moment, that the exact place is kept.
    The same bytes come back as the photo that is there already. Raises PhotoRefused with a sentence.
    """
    taken = take_in(data)
    mine = Photo.objects.filter(submission=submission) if submission else Photo.objects.filter(form_key=form_key)
    if again := mine.filter(sha256=taken.sha256, view=view, kind=kind).first():
        return again
    if mine.count() >= MOST_PHOTOS:
        raise PhotoRefused(_("There are %(n)s photos already; that is as many as we take.") % {"n": MOST_PHOTOS})
    photo = Photo(
        submission=submission,
        kind=kind,
        form_key=form_key,
        kind_label=kind.finder_label if kind else "",
        view=view,
        original_name="".join(c for c in name if c.isprintable())[-200:],
        added_at=timezone.now(),
        added_by=by,
    )
    _fill(photo, taken, keep_place=keep_place)
    with transaction.atomic():
        photo.save()
        if submission:
            whose = f" to {kind.finder_label}" if kind else ""
            write_history(
                by=by,
                by_words="" if by else FINDER,
                submission=submission,
                subject=photo,
                action="photo added",
                words=f"A photo was added{whose}: {photo.get_view_display().lower()}.",
            )
    return photo


def _fill(photo: Photo, taken: Intake, *, keep_place: bool) -> None:
    """What the intake found, and the two files under a name that cannot be guessed."""
    photo.sha256, photo.width_px, photo.height_px = taken.sha256, taken.width_px, taken.height_px
    # A camera without zone says when by its own clock only; that is no moment.
    photo.taken_at = taken.taken_at if taken.taken_at and timezone.is_aware(taken.taken_at) else None
    photo.camera = {"model": taken.camera.model, "f35_mm": taken.camera.f35_mm}
    if keep_place:
        photo.latitude, photo.longitude = taken.latitude, taken.longitude
    stem = secrets.token_hex(16)
    photo.image.save(f"{stem}.jpg", ContentFile(taken.image_bytes), save=False)
    photo.thumb.save(f"{stem}.jpg", ContentFile(taken.thumb_bytes), save=False)


def drop_waiting_photo(form_key: str, photo_id: int) -> None:
    """The finder takes a photo back before the form is sent. Nothing happens to one that is not theirs."""
    with transaction.atomic():
        photo = Photo.objects.filter(pk=photo_id, form_key=form_key, submission__isnull=True).first()
        if photo:
            photo.delete()
            transaction.on_commit(partial(_delete_files, photo))


def _delete_files(photo: Photo) -> None:
    for field in (photo.image, photo.thumb):
        field.delete(save=False)


@transaction.atomic
def post_parcel(submission: Submission) -> Submission:
    """The finder says that it is on its way. Said twice, the first time counts."""
    locked = Submission.objects.select_for_update().get(pk=submission.pk)
    if locked.sent_at is None:
        locked.sent_at = timezone.now()
        locked.save(update_fields=["sent_at"])
        write_history(
            by=None, by_words=FINDER, submission=locked, subject=locked, action="posted",
            words="The finder has posted the parcel.",
        )  # fmt: skip
    return locked


@transaction.atomic
def ask_finder(submission: Submission, *, words: str, by: User) -> Message:
    """Ask for what is missing, by letter and on *Follow my parcel*; who has no e-mail is to be called (a task).

    Raises PermissionDenied.
    """
    ensure(by, Act.ASK_FINDER)
    message = _write_to_submitter(submission, *asking_letter(submission, words, link_of(submission)))
    write_history(
        by=by, submission=submission, subject=message, action="asked", words="The finder was asked for something.",
        data={"words": words},
    )  # fmt: skip
    return message


@transaction.atomic
def answer_clinic(submission: Submission, *, words: str) -> Message:
    """Words of the finder from *Follow my parcel*."""
    message = Message.objects.create(
        submission=submission,
        subject=_("From the finder"),
        body=words,
        state=Message.State.RECEIVED,
        created_at=timezone.now(),
        done_at=timezone.now(),
    )
    write_history(
        by=None, by_words=FINDER, submission=submission, subject=message, action="answered",
        words="The finder wrote to the clinic.",
    )  # fmt: skip
    return message


def resend(message: Message, *, by: User) -> Message:
    """Send a letter that failed or still waits once more. Raises PermissionDenied."""
    ensure(by, Act.ASK_FINDER)
    return send_message(message) if message.to_email else message


def _write_to_submitter(submission: Submission, subject: str, body: str) -> Message:
    submitter = submission.parties.filter(role=Party.Role.SUBMITTER).first()
    if submitter and submitter.email:
        return write_letter(submission, to_email=submitter.email, to_name=submitter.name, subject=subject, body=body)
    _open_call(
        submission,
        f"No e-mail: tell the finder by {submitter.get_way_display().lower() if submitter else 'voice'}: {subject}",
    )
    return Message.objects.create(
        submission=submission,
        to_name=submitter.name if submitter else "",
        subject=subject,
        body=body,
        created_at=timezone.now(),
    )


def _open_call(submission: Submission, words: str) -> None:
    now = timezone.now()
    Task.objects.create(
        submission=submission,
        what="call",
        words=words[:300],
        needs_voice=True,
        opened_at=now,
        due_at=now + timedelta(hours=1),
    )
