"""*Send a mushroom*: what is kept, what is refused with a sentence, and that nothing given is lost."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from fruitbody.desk.bench.models import Finding, Kind, Task
from fruitbody.desk.people.models import Clinic
from fruitbody.desk.records.models import HistoryEntry
from fruitbody.desk.submissions.models import Message, Party, Photo, Submission
from fruitbody.handling.codes import read_code
from fruitbody.report import banned_words, caution
from tests.desk.finder import FORM_KEY, filled, photo_file

SEND = "/send/"
pytestmark = pytest.mark.usefixtures("clinic")


def sent(client: Client, **changes: Any) -> Submission:
    answer = client.post(SEND, filled(**changes))
    assert answer.status_code == 302, answer.content.decode()
    return Submission.objects.get(form_key=FORM_KEY)


def refused(client: Client, **changes: Any) -> str:
    answer = client.post(SEND, filled(**changes))
    assert answer.status_code == 400
    assert not Submission.objects.exists()
    return answer.content.decode()


def uploaded(client: Client, **more: Any) -> dict[str, Any]:
    answer = client.post(reverse("submissions:send_photo"), {"form_key": FORM_KEY, "view": "top", **more})
    return {"status": answer.status_code, **answer.json()}


# The first page and the form


def test_the_first_page_dials_the_poison_centre_before_anything_else(client: Client) -> None:
    page = client.get("/").content.decode()
    main = page.index('<main id="main"')
    assert (
        main < page.index('href="tel:18002221222"') < page.index('href="tel:911"') < page.index('href="/send/"', main)
    )


def test_the_first_page_says_that_nobody_watches_at_night(client: Client) -> None:
    assert "This form is not watched at night or at weekends." in client.get("/").content.decode()


@pytest.mark.parametrize("path", ["/", "/send/", "/staff/sign-in/", "/nowhere/"])
def test_the_cautions_stand_on_every_public_page(client: Client, path: str) -> None:
    page = client.get(path).content.decode()
    assert caution("not_eating", "en") in page
    assert caution("these_pieces", "en") in page


def test_the_form_asks_first_whether_anyone_has_eaten_it(client: Client) -> None:
    page = client.get(SEND).content.decode()
    places = [
        page.index(f'name="{name}"') for name in ("eaten", "picked", "question", "phone", "region", "kind-0-label")
    ]
    assert places == sorted(places)


@pytest.mark.parametrize("path", ["/", "/send/", "/pack/{}/", "/follow/{}/", "/s/K7WM-9PQT/", "/staff/sign-in/"])
def test_no_word_of_a_public_page_praises_or_clears(client: Client, submission: Submission, path: str) -> None:
    page = client.get(path.format(submission.token)).content.decode()
    assert banned_words(page.replace("Can I eat it?", ""), language="en") == ()


def test_the_policy_for_scripts_and_styles_allows_nothing_inline(client: Client) -> None:
    policy = client.get(SEND)["Content-Security-Policy"]
    assert "script-src 'self'" in policy
    assert "unsafe" not in policy


# What is kept


def test_a_form_that_is_sent_becomes_a_submission_with_a_code_that_reads_back(client: Client) -> None:
    submission = sent(client)
    assert read_code(submission.code) == submission.code.replace("-", "")


def test_the_sender_is_led_to_the_private_page(client: Client) -> None:
    answer = client.post(SEND, filled(), follow=True)
    assert "It is here. Thank you." in answer.content.decode()


def test_the_phone_is_kept_in_e164(client: Client) -> None:
    assert sent(client).parties.get(role=Party.Role.SUBMITTER).phone == "+16075550142"


def test_a_form_sent_twice_is_kept_once(client: Client) -> None:
    first = sent(client)
    again = client.post(SEND, filled(name="Wren H."))
    assert again["Location"] == f"/follow/{first.token}/?sent"
    assert Submission.objects.count() == 1


def test_client_payer_and_recipients_are_kept_apart(client: Client) -> None:
    people = sent(
        client, for_other="on", client_name="Parks Office", client_email="parks@example.org", other_payer="on",
        payer_name="City Treasurer", recipients="Ash Lane <ash@example.org>\nelm@example.org",
    ).parties  # fmt: skip
    assert people.get(role=Party.Role.CLIENT).name == "Parks Office"
    assert people.get(role=Party.Role.PAYER).name == "City Treasurer"
    recipients = people.filter(role=Party.Role.RECIPIENT).values_list("name", "email")
    assert list(recipients) == [("Ash Lane", "ash@example.org"), ("elm@example.org", "elm@example.org")]


def test_sizes_are_kept_in_millimetres_as_told_by_the_finder(client: Client) -> None:
    sent(client, kind__0__form="cap-and-stem", kind__0__width="2.5", kind__0__unit="in")
    width = Finding.objects.get(character="cap_width")
    assert width.value == pytest.approx(63.5)  # 2.5 inches of 25.4 mm
    assert (width.by_role, width.seen_on, width.answer) == ("finder", "told", "present")


def test_the_width_of_a_ball_is_not_that_of_a_cap(client: Client) -> None:
    sent(client, kind__0__form="ball", kind__0__width="8", kind__0__colour="white")
    assert set(Finding.objects.values_list("character", flat=True)) == {"form", "body_width", "body_colour"}


def test_a_size_without_a_form_stays_as_words(client: Client) -> None:
    sent(client, kind__0__width="8", kind__0__note="under the oak")
    assert not Finding.objects.filter(character__endswith="width").exists()
    assert Kind.objects.get().finder_note == "under the oak\nwidth as told: 80 mm"


def test_who_cannot_tell_is_kept_as_such(client: Client) -> None:
    sent(client, kind__0__smell="could-not-tell")
    smell = Finding.objects.get(character="smell")
    assert (smell.answer, smell.value) == ("could-not-tell", None)


def test_a_kind_left_out_is_not_kept_and_not_asked_for(client: Client) -> None:
    sent(client, kinds=2, kind__1__remove="on", kind__1__label="", kind__1__width="9999")
    assert list(Kind.objects.values_list("finder_label", flat=True)) == ["A"]


def test_the_finders_own_label_is_kept_with_its_emoji(client: Client) -> None:
    assert sent(client, kind__0__label="🍄 big one").kinds.get().finder_label == "🍄 big one"


def test_the_announcement_is_in_the_history_without_a_name(client: Client) -> None:
    entry = HistoryEntry.objects.get(submission=sent(client), action="announced")
    assert entry.by_words == "the finder"
    assert "Wren" not in entry.words + str(entry.data)


def test_something_eaten_flags_the_submission_and_opens_a_call(client: Client) -> None:
    submission = sent(client, eaten="person", eaten_note="a bite, child under 6")
    assert submission.flag == "eaten"
    assert Task.objects.get(submission=submission).needs_voice


def test_something_eaten_is_not_asked_to_be_posted(client: Client) -> None:
    submission = sent(client, eaten="animal")
    assert "Do not post it." in client.get(f"/pack/{submission.token}/").content.decode()


# Place and consent


def test_the_exact_place_is_kept_only_with_consent(client: Client) -> None:
    submission = sent(client, latitude="42.5", longitude="-76.25", place_uncertainty_m="12")
    assert (submission.latitude, submission.longitude, submission.place_uncertainty_m) == (None, None, None)


def test_the_exact_place_is_kept_with_consent(client: Client) -> None:
    submission = sent(client, latitude="42.5", longitude="-76.25", place_uncertainty_m="12", consent_place="on")
    assert (submission.latitude, submission.longitude, submission.place_uncertainty_m) == (42.5, -76.25, 12)


def test_a_photos_hidden_place_is_not_kept_without_consent(client: Client) -> None:
    uploaded(client, photo=photo_file(place=True))
    assert Photo.objects.get().latitude is None


def test_a_photos_hidden_place_is_kept_with_consent(client: Client) -> None:
    photo = uploaded(client, photo=photo_file(place=True), consent_place="on")
    sent(client, consent_place="on", kind__0__photos=str(photo["id"]))
    assert Photo.objects.get().latitude == pytest.approx(42.5)


def test_consent_taken_back_before_sending_drops_the_photos_place(client: Client) -> None:
    photo = uploaded(client, photo=photo_file(place=True), consent_place="on")
    sent(client, kind__0__photos=str(photo["id"]))
    assert Photo.objects.get().latitude is None


# Photos


def test_photos_come_one_by_one_and_go_with_their_kind(client: Client) -> None:
    first, second = (uploaded(client, photo=photo_file(colour))["id"] for colour in ("red", "tan"))
    sent(client, kinds=2, kind__0__photos=str(first), kind__1__photos=str(second), kind__1__reference="a coin")
    assert Photo.objects.get(pk=first).kind == Kind.objects.get(finder_label="A")
    later = Photo.objects.get(pk=second)
    assert (later.kind, later.reference) == (Kind.objects.get(finder_label="B"), "a coin")


def test_the_same_photo_sent_again_after_a_lost_answer_is_kept_once(client: Client) -> None:
    first = uploaded(client, photo=photo_file())
    assert uploaded(client, photo=photo_file())["id"] == first["id"]


def test_without_scripts_the_form_carries_its_photos_itself(client: Client) -> None:
    sent(client, **{"kind-0-photo_underside": photo_file()})
    photo = Photo.objects.get()
    assert (photo.view, photo.kind) == ("underside", Kind.objects.get())


def test_without_scripts_photos_survive_a_mistake_elsewhere(client: Client) -> None:
    page = refused(client, name="", **{"kind-0-photo_top": photo_file()})
    photo = Photo.objects.get()
    assert f'name="kind-0-photos" value="{photo.pk}"' in page
    sent(client, kind__0__photos=str(photo.pk))
    assert Photo.objects.get().kind == Kind.objects.get()


def test_without_scripts_a_button_gives_one_kind_more_and_keeps_what_was_typed(client: Client) -> None:
    page = client.post(SEND, filled(add_kind="1", name="Wren", kind__0__note="ring of them")).content.decode()
    assert 'name="kind-1-label" value="B"' in page
    assert "ring of them" in page
    assert 'class="error"' not in page


def test_a_file_that_is_no_photo_is_refused_with_a_sentence(client: Client) -> None:
    answer = uploaded(client, photo=SimpleUploadedFile("mushroom.jpg", b"MZ this is a program", "image/jpeg"))
    assert answer["status"] == 400
    assert answer["error"] == "This file is no photo that we can read. Send it as JPEG, HEIC, PNG or WebP."


def test_without_scripts_a_refused_file_costs_nothing_of_the_form(client: Client) -> None:
    page = refused(client, **{"kind-0-photo_top": SimpleUploadedFile("notes.txt", b"hello", "text/plain")})
    assert "notes.txt: This file is no photo" in page
    assert 'value="Wren Hollis"' in page


def test_nobody_sees_a_waiting_photo_without_its_forms_key(client: Client) -> None:
    photo = uploaded(client, photo=photo_file())
    assert client.get(photo["url"]).status_code == 200
    assert client.get(f"/send/photo/{'x' * 40}/{photo['id']}/").status_code == 404


def test_a_foreign_forms_photo_cannot_be_taken(client: Client) -> None:
    other = client.post("/send/photo", {"form_key": "y" * 40, "view": "top", "photo": photo_file()}).json()
    sent(client, kind__0__photos=str(other["id"]))
    assert Photo.objects.get().submission is None


def test_a_waiting_photo_can_be_taken_back(client: Client) -> None:
    photo = uploaded(client, photo=photo_file())
    client.post(f"/send/photo/{FORM_KEY}/{photo['id']}/drop")
    assert not Photo.objects.exists()


def test_a_photo_that_was_sent_cannot_be_taken_back_by_the_old_form(client: Client) -> None:
    photo = uploaded(client, photo=photo_file())
    sent(client, kind__0__photos=str(photo["id"]))
    client.post(f"/send/photo/{FORM_KEY}/{photo['id']}/drop")
    assert Photo.objects.exists()


def test_only_staff_see_a_photo_at_its_staff_address(client: Client, at_bench: Client) -> None:
    pk = uploaded(client, photo=photo_file())["id"]
    assert client.get(f"/staff/photo/{pk}/image/").status_code == 302
    assert at_bench.get(f"/staff/photo/{pk}/image/").status_code == 200


def test_photos_have_no_address_of_their_own(client: Client) -> None:
    uploaded(client, photo=photo_file())
    assert client.get("/" + Photo.objects.get().image.name).status_code == 404


# Bad input


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"phone": "123"}, "has too few or too many digits"),
        ({"phone": "call me"}, "is no telephone number"),
        ({"phone": "", "way": "telephone"}, "You would like a call, so we need your telephone number."),
        ({"email": "", "phone": "607 555 0142"}, "You would like e-mail, so we need your address."),
        ({"email": "wren@"}, "This is no e-mail address."),
        ({"recipients": "nobody"}, "One line holds no e-mail address."),
        ({"for_other": "on"}, "You send it for somebody else, so we need their name."),
        ({"region": "XX-YY"}, "This answer is not on the list."),
        ({"form_key": "short"}, "The form has lost its key."),
        ({"kind__0__width": "900", "kind__0__form": "cap-and-stem"}, "9000 mm cannot be"),
        ({"kind__0__width": "-3", "kind__0__form": "cap-and-stem"}, "-30 mm cannot be"),
        ({"kind__0__height": "nan"}, "This is no number."),
        ({"kind__0__smell": "heavenly"}, "This answer is not on the list."),
        ({"kinds": 2, "kind__1__label": "a"}, "Two kinds bear the label"),
        ({"kind__0__remove": "on"}, "Tell us of one kind at least."),
    ],
)
def test_what_cannot_be_gets_a_sentence_and_nothing_is_lost(client: Client, changes: Any, sentence: str) -> None:
    page = refused(client, **changes)
    assert sentence in page
    assert "lawn by the school" in page


def test_a_day_to_come_is_no_day_of_finding(client: Client) -> None:
    tomorrow = timezone.localdate() + timedelta(days=2)
    assert "This day is still to come." in refused(client, found_on=tomorrow.isoformat())


def test_a_stale_tab_gets_a_sentence() -> None:
    answer = Client(enforce_csrf_checks=True).post(SEND, filled())
    assert answer.status_code == 403
    assert "This page has been open too long" in answer.content.decode()


def test_the_form_can_be_sent_before_any_clinic_is_set_up(client: Client) -> None:
    Clinic.objects.all().delete()
    assert "1-800-222-1222" in client.get(SEND).content.decode()


def test_without_an_address_the_letter_becomes_a_call(client: Client) -> None:
    submission = sent(client, email="", way="telephone")
    assert Task.objects.get(submission=submission).what == "call"
    assert Message.objects.get(submission=submission).to_email == ""
