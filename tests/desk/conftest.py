"""A clinic, three people of its staff, a visitor. All invented."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone
from playwright.sync_api import Browser, Page
from pytest_django import Settings

from fruitbody.desk.bench.actions.receiving import receive
from fruitbody.desk.bench.models import Kind
from fruitbody.desk.people.models import Clinic, Role, User
from fruitbody.desk.submissions.models import Party, Submission
from tests.desk.receiving_case import bag_of
from tests.desk.reporting import named, white_button

PASSWORD = "seven ruled pages"
# Playwright's synchronous calls run inside a loop, where Django would refuse its database.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")


@pytest.fixture
def tab(chromium: Browser) -> Iterator[Page]:
    """A fresh browser context with one page as wide as a phone."""
    context = chromium.new_context(viewport={"width": 390, "height": 844})
    yield context.new_page()
    context.close()


@pytest.fixture(autouse=True)
def _own_folders(settings: Settings, tmp_path: Path) -> None:
    """Photos, reports and the outbox of a test go to its own folder; passwords are hashed fast."""
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.OUTBOX = tmp_path / "outbox"
    settings.EMAIL_BACKEND = "fruitbody.desk.submissions.outbox.OutboxBackend"
    settings.WHITENOISE_AUTOREFRESH = True  # else every client made walks through all static files
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def clinic(db: Any) -> Clinic:
    return Clinic.objects.create(
        name="Alder County Mushroom Desk",
        department="Department of Plant Health",
        address="12 Example Road\nAlder, NY 00000",
        county="Alder",
        region="US-NY",
        phone="+16075550100",
        email="desk@example.org",
        hours="Monday to Friday, 9 to 16",
    )


def _person(username: str, first: str, last: str, role: Role, title: str) -> User:
    return User.objects.create_user(
        username, f"{username}@example.org", PASSWORD, first_name=first, last_name=last, role=role, title=title
    )


@pytest.fixture
def front_desk(clinic: Clinic) -> User:
    return _person("juniper", "Juniper", "Vale", Role.FRONT_DESK, "Front desk")


@pytest.fixture
def diagnostician(clinic: Clinic) -> User:
    return _person("rosa", "Rosa", "Exemplar", Role.DIAGNOSTICIAN, "Diagnostician")


@pytest.fixture
def second_reader(clinic: Clinic) -> User:
    return _person("amos", "Amos", "Fieldnote", Role.SECOND_READER, "Second reader")


@pytest.fixture
def manager(clinic: Clinic) -> User:
    return _person("odile", "Odile", "Ledger", Role.MANAGER, "Manager")


def signed_in(user: User) -> Client:
    client = Client()
    client.force_login(user)
    return client


@pytest.fixture
def at_front_desk(front_desk: User) -> Client:
    return signed_in(front_desk)


@pytest.fixture
def at_bench(diagnostician: User) -> Client:
    return signed_in(diagnostician)


@pytest.fixture
def at_second_reading(second_reader: User) -> Client:
    return signed_in(second_reader)


@pytest.fixture
def at_managers_desk(manager: User) -> Client:
    return signed_in(manager)


@pytest.fixture
def submission(clinic: Clinic) -> Submission:
    """Announced by web form, one kind A, nothing received yet."""
    made = Submission.objects.create(
        code="K7WM-9PQT", created_at=timezone.now(), county="Alder", region="US-NY", picked=True, place_words="lawn"
    )
    Party.objects.create(
        submission=made, role=Party.Role.SUBMITTER, name="Wren Hollis", email="wren@example.org", phone="+16075550142"
    )
    Kind.objects.create(submission=made, finder_label="A", created_at=made.created_at)
    return made


@pytest.fixture
def kind(submission: Submission) -> Kind:
    return submission.kinds.get()


@pytest.fixture
def here(kind: Kind, clinic: Clinic, front_desk: User) -> Kind:
    """The announced kind, received."""
    receive(kind.submission, bag_of(kind), clinic=clinic, by=front_desk)
    kind.refresh_from_db()
    return kind


@pytest.fixture
def case(submission: Submission, kind: Kind, diagnostician: User) -> Submission:
    """A white button, named to genus; a lawn question."""
    submission.question = "lawn"
    submission.save()
    white_button(kind, diagnostician)
    named(kind, "Agaricus", diagnostician)
    return submission
