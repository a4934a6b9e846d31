"""Signing in and out, the clinic's settings, the records: works, bad input, not yours, read-only."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.people.phones import PhoneError, phone_e164, phone_in_words
from fruitbody.desk.people.templatetags.desk import ended
from fruitbody.desk.records.models import HistoryEntry
from fruitbody.desk.submissions.models import Submission
from tests.desk.conftest import PASSWORD

SIGN_IN = "/staff/sign-in/"


def try_password(client: Client, password: str, name: str = "rosa") -> Any:
    return client.post(SIGN_IN, {"username": name, "password": password})


def test_name_and_password_open_the_staff_pages(client: Client, diagnostician: User) -> None:
    assert try_password(client, PASSWORD).status_code == 302
    assert client.get("/staff/urgent/").status_code == 200


def test_a_wrong_password_gets_a_sentence(client: Client, diagnostician: User) -> None:
    assert "Name and password do not go together." in try_password(client, "wrong").content.decode()


def test_after_five_wrong_passwords_the_right_one_waits_too(client: Client, diagnostician: User) -> None:
    for _ in range(5):
        try_password(client, "wrong")
    answer = try_password(client, PASSWORD)
    assert answer.status_code == 429
    assert "Please wait a quarter of an hour" in answer.content.decode()


def test_one_locked_name_does_not_lock_another(client: Client, diagnostician: User, front_desk: User) -> None:
    for _ in range(5):
        try_password(client, "wrong")
    assert try_password(client, PASSWORD, name="juniper").status_code == 302


def test_signing_in_leads_nowhere_outside(client: Client, diagnostician: User) -> None:
    answer = client.post(SIGN_IN, {"username": "rosa", "password": PASSWORD, "next": "https://elsewhere.example.org/"})
    assert answer["Location"].startswith("/staff/")


def test_signing_out_closes_the_staff_pages(at_bench: Client) -> None:
    at_bench.post("/staff/sign-out/")
    assert at_bench.get("/staff/urgent/").status_code == 302


@pytest.mark.parametrize("path", ["/staff/", "/staff/urgent/", "/staff/clinic/", "/staff/records/", "/staff/funga/"])
def test_strangers_are_asked_to_sign_in(client: Client, clinic: Clinic, path: str) -> None:
    assert client.get(path)["Location"].startswith(SIGN_IN)


def test_only_rooms_that_one_may_enter_are_shown(at_second_reading: Client, at_managers_desk: Client) -> None:
    assert "/staff/records/" not in at_second_reading.get("/staff/urgent/").content.decode()
    assert "/staff/records/" in at_managers_desk.get("/staff/urgent/").content.decode()


def test_the_urgent_page_opens_with_the_number_to_call(at_front_desk: Client) -> None:
    page = at_front_desk.get("/staff/urgent/").content.decode()
    assert page.index("tel:18002221222") < page.index("While you talk")
    assert "Early symptoms do not exclude the late, deadly syndromes." in page


def settings_form(clinic: Clinic, **changes: Any) -> dict[str, Any]:
    names = (
        "name department address county region country phone email hours time_zone number_prefix paper poison_line "
        "emergency_number promised_days fold_ranking_share"
    )
    return {name: getattr(clinic, name) for name in names.split()} | changes


def test_the_manager_changes_the_clinic_and_the_history_says_what(at_managers_desk: Client, clinic: Clinic) -> None:
    answer = at_managers_desk.post("/staff/clinic/", settings_form(clinic, phone="607 555 0111", promised_days=7))
    assert answer.status_code == 302
    clinic.refresh_from_db()
    assert (clinic.phone, clinic.promised_days) == ("+16075550111", 7)
    entry = HistoryEntry.objects.get(subject="clinic")
    assert entry.data == {"phone": ["+16075550100", "+16075550111"], "promised_days": [5, 7]}


def test_nobody_else_changes_the_clinic(at_bench: Client, clinic: Clinic) -> None:
    answer = at_bench.post("/staff/clinic/", settings_form(clinic, name="Mine"))
    assert answer.status_code == 403
    clinic.refresh_from_db()
    assert clinic.name == "Alder County Mushroom Desk"


def test_others_read_the_settings_and_why_they_cannot_change_them(at_bench: Client) -> None:
    page = at_bench.get("/staff/clinic/").content.decode()
    assert "A diagnostician may not change the clinic" in page
    assert "Keep these settings" not in page


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("phone", "12", "has too few or too many digits"),
        ("time_zone", "Alder/Time", "is no time zone"),
        ("number_prefix", "7", "are letters from A to Z"),
        ("fold_ranking_share", 2, "The share lies between 0 and 1."),
    ],
)
def test_settings_that_cannot_be_get_a_sentence(
    at_managers_desk: Client, clinic: Clinic, field: str, value: Any, sentence: str
) -> None:
    answer = at_managers_desk.post("/staff/clinic/", settings_form(clinic, **{field: value}))
    assert answer.status_code == 400
    assert sentence in answer.content.decode()


def test_moments_are_shown_in_the_clinics_zone_with_its_name(at_front_desk: Client, submission: Submission) -> None:
    page = at_front_desk.get(f"/staff/records/{submission.code}/").content.decode()
    assert " EST" in page or " EDT" in page


def test_a_number_typed_as_people_type_it_becomes_e164() -> None:
    # ITU-T E.164: country code 1, ten digits.
    assert phone_e164("(607) 555-0142") == "+16075550142"
    assert phone_e164("+44 20 7946 0958") == "+442079460958"


def test_a_kept_number_is_read_as_at_home() -> None:
    assert phone_in_words("+16075550142", "US") == "(607) 555-0142"
    assert phone_in_words("+16075550142", "GB") == "+1 607-555-0142"


@pytest.mark.parametrize("typed", ["", "12", "no phone", "1" * 30])
def test_what_cannot_be_dialled_is_refused(typed: str) -> None:
    with pytest.raises(PhoneError):
        phone_e164(typed)


def test_an_abbreviation_ends_its_sentence_with_one_full_stop() -> None:
    assert (ended("Armillaria mellea gr."), ended("Amanita")) == ("Armillaria mellea gr.", "Amanita.")
