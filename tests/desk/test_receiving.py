"""Receiving: from a scanned slip or from nothing to numbered kinds."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from fruitbody.desk.bench.actions.receiving import receive
from fruitbody.desk.bench.actions.tying import tie
from fruitbody.desk.bench.errors import ReceivingError
from fruitbody.desk.bench.material import asking_words, what_is_lost
from fruitbody.desk.bench.models import Bag, Kind, Task
from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.records.models import HistoryEntry
from fruitbody.desk.submissions.models import Message, Origin, Photo, Submission
from fruitbody.funga import load
from fruitbody.handling.codes import clinic_number
from tests.desk.receiving_case import bag_of, finding, form_for, jpeg, no_form, url

# ------------------------------------------------------------------ the scanned slip


def test_a_code_leads_to_the_submission_however_it_is_typed(at_front_desk: Client, submission: Submission) -> None:
    bare = submission.code.replace("-", "")
    link = f"https://desk.example.org/s/{submission.code}/?kind=A"
    for typed in (submission.code, bare.lower(), f" {bare[:4]} {bare[4:]} ", link):
        answer = at_front_desk.get(url("receiving"), {"code": typed})
        assert answer.status_code == 302
        assert answer["Location"].startswith(url("receive", submission.code))


def test_a_scanned_slip_ticks_its_kind_alone(at_front_desk: Client, submission: Submission) -> None:
    second = Kind.objects.create(submission=submission, finder_label="B", created_at=timezone.now())
    text = at_front_desk.get(url("receive", submission.code), {"kind": "B"}).content.decode()
    ticks = [part for part in text.split("<input") if "-here" in part]
    assert [f"kind-{second.pk}-here" in tick for tick in ticks if "checked" in tick] == [True]


def test_a_clinic_number_leads_to_its_bag(at_front_desk: Client, here: Kind) -> None:
    assert here.bag
    for number in (here.clinic_number, here.bag.clinic_number):
        answer = at_front_desk.get(url("receiving"), {"code": str(number)})
        assert answer["Location"] == url("bag", here.bag.clinic_number)


def mistyped() -> str:
    """A clinic number with a wrong check character, free of letters and digits that look alike."""
    right = clinic_number("F", 2026, 22345)
    return right[:-1] + next(digit for digit in "2345" if digit != right[-1])


@pytest.mark.parametrize(
    ("typed", "words"),
    [(mistyped(), "has a slip in it"), ("!!!", "is no code of ours"), ("\x00", "is no code of ours")],
)
def test_a_mistyped_code_gets_a_sentence(at_front_desk: Client, clinic: Clinic, typed: str, words: str) -> None:
    answer = at_front_desk.get(url("receiving"), {"code": typed})
    assert answer.status_code == 404
    assert words in answer.content.decode()


def test_another_clinics_code_gets_a_sentence(at_front_desk: Client, clinic: Clinic) -> None:
    foreign = clinic_number("Q", 2026, 7)
    answer = at_front_desk.get(url("receiving"), {"code": foreign})
    assert answer.status_code == 404
    assert "may be another clinic" in answer.content.decode()


@pytest.mark.parametrize("name", ["receiving", "no_form", "box_in"])
def test_a_second_reader_receives_nothing(at_second_reading: Client, name: str) -> None:
    answer = at_second_reading.get(url(name)) if name == "receiving" else at_second_reading.post(url(name), no_form())
    assert answer.status_code == 403
    assert not Bag.objects.exists()


def test_strangers_are_asked_to_sign_in(client: Client, submission: Submission) -> None:
    assert client.get(url("receive", submission.code)).status_code == 302


# ------------------------------------------------------------------ receiving what was announced


def test_receiving_gives_bag_and_kind_their_numbers(at_front_desk: Client, kind: Kind) -> None:
    answer = at_front_desk.post(url("receive", kind.submission.code), form_for(kind))
    kind.refresh_from_db()
    assert kind.bag
    assert answer["Location"] == url("bag", kind.bag.clinic_number)
    assert kind.clinic_number not in (None, kind.bag.clinic_number)


def test_receiving_is_told_in_the_history_without_a_name(here: Kind) -> None:
    entry = HistoryEntry.objects.get(action="received")
    assert f"label A is {here.clinic_number}" in entry.words
    assert "Wren" not in entry.words


def test_the_first_bag_dates_the_promise(here: Kind, clinic: Clinic) -> None:
    here.submission.refresh_from_db()
    assert here.submission.promised_for is not None
    assert here.submission.promised_for > timezone.localdate()


def test_a_kind_that_was_not_announced_is_added_with_its_own_label(at_front_desk: Client, kind: Kind) -> None:
    at_front_desk.post(url("receive", kind.submission.code), form_for(kind, **{"new-0-label": "red one"}))
    added = kind.submission.kinds.get(finder_label="red one")
    assert added.clinic_number


def test_conditions_of_the_bag_and_of_the_kind_stand_on_the_kind(at_front_desk: Client, kind: Kind) -> None:
    form = form_for(kind, conditions=["wilted"], **{f"kind-{kind.pk}-conditions": ["cut-above-ground"]})
    at_front_desk.post(url("receive", kind.submission.code), form)
    kind.refresh_from_db()
    assert kind.conditions == ["wilted", "cut-above-ground"]


def test_the_same_form_sent_twice_makes_one_bag(at_front_desk: Client, kind: Kind) -> None:
    form = form_for(kind)
    first = at_front_desk.post(url("receive", kind.submission.code), form)
    second = at_front_desk.post(url("receive", kind.submission.code), form)
    assert first["Location"] == second["Location"]
    assert Bag.objects.count() == 1
    assert HistoryEntry.objects.filter(action="received").count() == 1


def test_a_stale_form_for_a_kind_that_is_here_says_so(here: Kind, clinic: Clinic, front_desk: User) -> None:
    with pytest.raises(ReceivingError, match="is here already"):
        receive(here.submission, bag_of(here), clinic=clinic, by=front_desk)


def test_kinds_of_two_submissions_never_mix(kind: Kind, clinic: Clinic, front_desk: User) -> None:
    other = Submission.objects.create(code="OTHR-0001", created_at=timezone.now())
    with pytest.raises(ReceivingError, match="another submission"):
        receive(other, bag_of(kind), clinic=clinic, by=front_desk)
    assert not Bag.objects.exists()


def test_a_bag_without_a_kind_is_asked_again_and_nothing_typed_is_lost(at_front_desk: Client, kind: Kind) -> None:
    form = form_for(kind, place="shelf 3")
    del form[f"kind-{kind.pk}-here"]
    answer = at_front_desk.post(url("receive", kind.submission.code), form)
    assert answer.status_code == 400
    assert "Tick at least one kind" in answer.content.decode()
    assert "shelf 3" in answer.content.decode()


@pytest.mark.parametrize(
    "change", [{"conditions": ["sparkling"]}, {"form_key": "short"}, {"origin_region": "MARS"}, {"label": "x" * 41}]
)
def test_what_cannot_be_is_refused(at_front_desk: Client, kind: Kind, change: dict[str, Any]) -> None:
    answer = at_front_desk.post(url("receive", kind.submission.code), form_for(kind, **change))
    assert answer.status_code == 400
    assert not Bag.objects.exists()


def test_a_material_nobody_knows_is_refused(at_front_desk: Client, kind: Kind) -> None:
    form = form_for(kind, **{f"kind-{kind.pk}-material": "gold"})
    assert at_front_desk.post(url("receive", kind.submission.code), form).status_code == 400


def test_dusty_material_waits_for_the_hood(at_front_desk: Client, kind: Kind) -> None:
    form = form_for(kind, conditions=["dusty"])
    answer = at_front_desk.post(url("receive", kind.submission.code), form)
    assert answer.status_code == 400
    assert "Put it under the hood before it is opened" in answer.content.decode()
    assert not Bag.objects.exists()
    at_front_desk.post(url("receive", kind.submission.code), form | {"in_hood": "on"})
    assert Bag.objects.get().hood


def test_looking_at_the_form_changes_nothing(at_front_desk: Client, kind: Kind) -> None:
    assert at_front_desk.get(url("receive", kind.submission.code)).status_code == 200
    assert not Bag.objects.exists()
    assert not HistoryEntry.objects.exists()


def test_a_submission_nobody_knows_is_not_found(at_front_desk: Client, clinic: Clinic) -> None:
    assert at_front_desk.get(url("receive", "ZZZZ-0000")).status_code == 404


# ------------------------------------------------------------------ no form


def test_no_form_takes_one_press_to_a_number_with_its_photo(at_front_desk: Client, clinic: Clinic) -> None:
    photo = SimpleUploadedFile("bag.jpg", jpeg(), content_type="image/jpeg")
    answer = at_front_desk.post(url("no_form"), no_form(photo=photo))
    bag = Bag.objects.get()
    assert answer["Location"] == url("bag", bag.clinic_number)
    assert bag.submission.origin == Origin.WALK_IN
    assert bag.submission.photos.get().view == "label"
    assert not bag.submission.parties.exists()


def test_no_form_sent_twice_makes_one_submission(at_front_desk: Client, clinic: Clinic) -> None:
    form = no_form()
    assert at_front_desk.post(url("no_form"), form)["Location"] == at_front_desk.post(url("no_form"), form)["Location"]
    assert Submission.objects.count() == Bag.objects.count() == 1


def test_a_photo_that_is_none_never_loses_the_bag(at_front_desk: Client, clinic: Clinic) -> None:
    photo = SimpleUploadedFile("bag.jpg", b"not a picture", content_type="image/jpeg")
    answer = at_front_desk.post(url("no_form"), no_form(photo=photo), follow=True)
    assert Bag.objects.count() == 1
    assert "The bag is kept, its photo is not" in answer.content.decode()


@pytest.mark.parametrize("change", [{"origin": "web"}, {"label": ""}, {"material": "gold"}, {"form_key": ""}])
def test_no_form_refuses_what_cannot_be(at_front_desk: Client, clinic: Clinic, change: dict[str, str]) -> None:
    assert at_front_desk.post(url("no_form"), no_form(**change)).status_code == 400
    assert not Submission.objects.exists()


def test_who_sent_it_can_be_told_later(at_front_desk: Client, clinic: Clinic) -> None:
    at_front_desk.post(url("no_form"), no_form())
    bag = Bag.objects.get()
    told = {"name": "Lark Soames", "phone": "(607) 555-0143", "question": "lawn", "county": "Alder", "email": ""}
    at_front_desk.post(url("bag_sender", bag.clinic_number), told)
    bag.submission.refresh_from_db()
    assert bag.submission.parties.get().phone == "+16075550143"
    assert bag.submission.question == "lawn"


def test_who_sent_it_is_told_once(at_front_desk: Client, here: Kind) -> None:
    assert here.bag
    told = {"name": "Somebody Else", "email": "else@example.org", "question": "lawn"}
    answer = at_front_desk.post(url("bag_sender", here.bag.clinic_number), told, follow=True)
    assert "Who sent it is known already" in answer.content.decode()
    assert here.submission.parties.get().name == "Wren Hollis"


def test_a_sender_without_a_way_to_reach_them_is_asked_again(at_front_desk: Client, clinic: Clinic) -> None:
    at_front_desk.post(url("no_form"), no_form())
    bag = Bag.objects.get()
    answer = at_front_desk.post(url("bag_sender", bag.clinic_number), {"name": "Lark", "question": "lawn"})
    assert answer.status_code == 400
    assert "danger is told by voice" in answer.content.decode()


@pytest.fixture
def unannounced(at_front_desk: Client, clinic: Clinic) -> Bag:
    """A bag labelled A that came without a form, with a photo of its label."""
    photo = SimpleUploadedFile("bag.jpg", jpeg("black"), content_type="image/jpeg")
    at_front_desk.post(url("no_form"), no_form(photo=photo))
    return Bag.objects.get()


def test_a_bag_is_tied_to_the_submission_that_announced_it(at_front_desk: Client, kind: Kind, unannounced: Bag) -> None:
    told = finding(kind, by_role="finder", seen_on="told")
    number, old = unannounced.kinds.get().clinic_number, unannounced.submission
    at_front_desk.post(url("bag_tie", unannounced.clinic_number), {"code": kind.submission.code})
    tied = kind.submission.kinds.get(merged_into__isnull=True)
    assert (tied.clinic_number, tied.bag, list(tied.findings.all())) == (number, unannounced, [told])
    assert kind.submission.photos.get().view == "label"
    old.refresh_from_db()
    assert old.closed_at
    assert old.history.filter(action="tied").count() == kind.submission.history.filter(action="tied").count() == 1


def test_a_bag_with_another_label_is_tied_as_a_kind_of_its_own(
    at_front_desk: Client, kind: Kind, unannounced: Bag
) -> None:
    unannounced.kinds.update(finder_label="other")
    at_front_desk.post(url("bag_tie", unannounced.clinic_number), {"code": kind.submission.code})
    assert {k.finder_label for k in kind.submission.kinds.filter(merged_into__isnull=True)} == {"A", "other"}


@pytest.mark.parametrize("typed", ["", "???", "K7WM-9PQZ", "BCDF-GHJK"])
def test_a_bag_is_not_tied_to_nothing(at_front_desk: Client, unannounced: Bag, typed: str) -> None:
    before = unannounced.submission_id
    answer = at_front_desk.post(url("bag_tie", unannounced.clinic_number), {"code": typed}, follow=True)
    unannounced.refresh_from_db()
    assert unannounced.submission_id == before
    assert 'class="notice error"' in answer.content.decode()


def test_a_bag_that_somebody_sent_is_not_tied_to_another(at_front_desk: Client, here: Kind, front_desk: User) -> None:
    assert here.bag
    other = Submission.objects.create(code="OTHR-0001", created_at=timezone.now())
    with pytest.raises(ReceivingError, match="nobody has announced"):
        tie(here.bag, other, by=front_desk)


# ------------------------------------------------------------------ what cannot be seen


def test_a_button_cut_above_ground_says_at_once_that_its_foot_is_missing(at_front_desk: Client, kind: Kind) -> None:
    form = form_for(kind, conditions=["cut-above-ground"])
    text = at_front_desk.post(url("receive", kind.submission.code), form, follow=True).content.decode()
    assert "Cannot be seen on this material:" in text
    assert "the foot" in text
    assert "please dig out another whole one, foot and all" in text


def test_the_prepared_message_goes_with_one_press(
    at_front_desk: Client, here: Kind, django_capture_on_commit_callbacks: Any
) -> None:
    assert here.bag
    with django_capture_on_commit_callbacks(execute=True):
        at_front_desk.post(url("bag_ask", here.bag.clinic_number), {"words": "Please send the foot."})
    letter = Message.objects.get()
    assert letter.to_email == "wren@example.org"
    assert "Please send the foot." in letter.body


def test_who_left_no_address_gets_a_task_for_a_voice(at_front_desk: Client, clinic: Clinic) -> None:
    at_front_desk.post(url("no_form"), no_form())
    at_front_desk.post(url("bag_ask", Bag.objects.get().clinic_number), {"words": "Please send the foot."})
    assert Task.objects.get().needs_voice


@pytest.mark.parametrize("words", ["", "   ", "x" * 4001])
def test_an_empty_or_endless_message_is_not_sent(at_front_desk: Client, here: Kind, words: str) -> None:
    assert here.bag
    answer = at_front_desk.post(url("bag_ask", here.bag.clinic_number), {"words": words})
    assert answer.status_code == 400
    assert "Nothing was sent." in answer.content.decode()
    assert not Message.objects.exists()


def test_fresh_and_whole_material_hides_nothing_and_asks_for_nothing() -> None:
    lost = what_is_lost(load(), "fresh-whole", [])
    assert (lost.parts, lost.says, lost.characters) == ((), (), 0)
    assert asking_words([("A", lost)]) == ""


def test_two_kinds_are_asked_for_by_their_labels() -> None:
    lost = what_is_lost(load(), "dried", [])
    assert asking_words([("A", lost), ("B", lost)]).startswith("A: ")


def test_a_spanish_finder_is_asked_in_spanish() -> None:
    lost = what_is_lost(load(), "fresh-whole", ["cut-above-ground"], language="es")
    assert "desentierre otra entera" in asking_words([("A", lost)])


@pytest.mark.parametrize("entry", [*load().material_kinds.values(), *load().conditions.values()], ids=lambda e: e.id)
def test_every_material_and_condition_loses_only_what_has_words(entry: Any) -> None:
    lost = what_is_lost(load(), entry.id, [entry.id])
    assert set(lost.lost) == set(entry.loses)


# ------------------------------------------------------------------ photos and labels


def test_a_photo_at_the_bench_belongs_to_its_kind(at_front_desk: Client, here: Kind) -> None:
    assert here.bag
    photo = SimpleUploadedFile("a.jpg", jpeg(), content_type="image/jpeg")
    at_front_desk.post(url("bag_photo", here.bag.clinic_number), {"photo": photo, "view": "base", "kind": here.pk})
    kept = Photo.objects.get()
    assert (kept.kind, kept.view, kept.added_by) == (here, "base", User.objects.get(username="juniper"))


@pytest.mark.parametrize("given", ["", "not a number", "999999"])
def test_a_photo_of_no_kind_of_this_bag_belongs_to_the_bag(at_front_desk: Client, here: Kind, given: str) -> None:
    assert here.bag
    photo = SimpleUploadedFile("a.jpg", jpeg(), content_type="image/jpeg")
    at_front_desk.post(url("bag_photo", here.bag.clinic_number), {"photo": photo, "view": "nonsense", "kind": given})
    assert Photo.objects.get().kind is None


def test_no_photo_gets_a_sentence(at_front_desk: Client, here: Kind) -> None:
    assert here.bag
    answer = at_front_desk.post(url("bag_photo", here.bag.clinic_number), {"view": "base"}, follow=True)
    assert "No photo arrived." in answer.content.decode()


def test_labels_are_a_pdf_with_a_page_for_the_bag_and_each_kind(at_front_desk: Client, here: Kind) -> None:
    assert here.bag
    answer = at_front_desk.get(url("bag_labels", here.bag.clinic_number))
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")
