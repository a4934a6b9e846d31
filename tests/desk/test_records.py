"""Records: finding a submission again, and its whole page."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from fruitbody.desk.bench.actions.lineage import Share, split
from fruitbody.desk.bench.actions.receiving import receive
from fruitbody.desk.bench.models import Determination, Finding, Hold, Kind, Task
from fruitbody.desk.bench.seen import BagSeen, KindSeen
from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.reports.models import Spoken
from fruitbody.desk.submissions.models import Submission


@pytest.fixture
def here(kind: Kind, clinic: Clinic, front_desk: User) -> Kind:
    seen = BagSeen("k" * 40, (KindSeen("A", kind.pk),), origin_region="US-NY", label="A")
    receive(kind.submission, seen, clinic=clinic, by=front_desk)
    kind.refresh_from_db()
    return kind


@pytest.fixture
def named(here: Kind, diagnostician: User) -> Kind:
    Determination.objects.create(
        kind=here, taxon="amanita-phalloides", name="Amanita phalloides", rank="species", by=diagnostician,
        by_role="diagnostician", at=timezone.now(),
    )  # fmt: skip
    return here


def held(kind: Kind, by: User) -> None:
    Hold.objects.create(
        submission=kind.submission, kind=kind, reason="regulated", words="Asked another laboratory.", placed_by=by,
        placed_at=timezone.now(),
    )  # fmt: skip


def found(client: Client, **query: str) -> list[str]:
    """The codes that a search lists."""
    answer = client.get(reverse("records:list"), query)
    assert answer.status_code == 200
    return [submission.code for submission in answer.context["page"]]


@pytest.fixture
def other(clinic: Clinic) -> Submission:
    made = Submission.objects.create(
        code="OTHR-0001", created_at=timezone.now() - timedelta(days=40), county="Birch", region="US-NY"
    )
    Kind.objects.create(submission=made, finder_label="Z", created_at=made.created_at)
    return made


def test_all_are_listed_the_newest_first(at_front_desk: Client, here: Kind, other: Submission) -> None:
    assert found(at_front_desk) == [here.submission.code, other.code]


def test_a_submission_is_found_by_any_of_its_numbers(at_front_desk: Client, here: Kind, other: Submission) -> None:
    assert here.bag
    for number in (here.submission.code, str(here.clinic_number), here.bag.clinic_number, here.submission.code.lower()):
        assert found(at_front_desk, q=number) == [here.submission.code]


@pytest.mark.parametrize("typed", ["birch", "z", "Z"])
def test_a_submission_is_found_by_county_and_label(
    at_front_desk: Client, here: Kind, other: Submission, typed: str
) -> None:
    assert found(at_front_desk, q=typed) == [other.code]


@pytest.mark.parametrize("typed", ["death cap", "Amanita phalloides", "agaricus phalloides", "Amanita faloides"])
def test_a_submission_is_found_by_any_name_of_its_mushroom(
    at_front_desk: Client, named: Kind, other: Submission, typed: str
) -> None:
    assert found(at_front_desk, q=typed) == [named.submission.code]


def test_how_a_name_was_found_is_said(at_front_desk: Client, named: Kind) -> None:
    text = at_front_desk.get(reverse("records:list"), {"q": "death cap"}).content.decode()
    assert "“death cap” is a name in use of Amanita phalloides." in text


def test_a_held_name_finds_nothing_at_the_front_desk(
    at_front_desk: Client, at_bench: Client, named: Kind, diagnostician: User
) -> None:
    held(named, diagnostician)
    assert found(at_front_desk, q="death cap") == []
    assert found(at_bench, q="death cap") == [named.submission.code]


def test_a_person_is_found_by_those_who_may_see_persons(at_front_desk: Client, here: Kind, other: Submission) -> None:
    assert found(at_front_desk, q="hollis") == [here.submission.code]


def test_a_day_finds_what_was_announced_on_it(at_front_desk: Client, here: Kind, other: Submission) -> None:
    day = timezone.localdate(other.created_at).isoformat()
    assert found(at_front_desk, q=day) == [other.code]
    assert found(at_front_desk, since=day, until=day) == [other.code]


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ({"since": "yesterday"}, "is no day"),
        ({"since": "2026-02-30"}, "is no day"),
        ({"since": "2026-05-02", "until": "2026-05-01"}, "before the first"),
    ],
)
def test_a_day_that_is_none_gets_a_sentence(
    at_front_desk: Client, clinic: Clinic, query: dict[str, str], words: str
) -> None:
    answer = at_front_desk.get(reverse("records:list"), query)
    assert answer.status_code == 400
    assert words in answer.content.decode()


@pytest.mark.parametrize("typed", ["qqqqqqq", "<script>", "'; --", "9" * 300])
def test_a_search_for_nothing_says_so(at_front_desk: Client, here: Kind, typed: str) -> None:
    answer = at_front_desk.get(reverse("records:list"), {"q": typed})
    assert "No submission speaks of this." in answer.content.decode()


@pytest.mark.parametrize("count", [3, 50])
def test_the_list_takes_the_same_few_queries_whatever_it_holds(
    at_front_desk: Client, clinic: Clinic, count: int, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(count):
        made = Submission.objects.create(code=f"MANY-{number:04d}", created_at=timezone.now())
        Kind.objects.create(submission=made, finder_label="A", created_at=timezone.now())
    with django_assert_max_num_queries(8):
        at_front_desk.get(reverse("records:list"))


# ------------------------------------------------------------------ one submission


def page(client: Client, submission: Submission) -> str:
    answer = client.get(reverse("records:record", args=[submission.code]))
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_page_shows_everything(at_bench: Client, named: Kind, clinic: Clinic, diagnostician: User) -> None:
    now = timezone.now()
    Finding.objects.create(
        kind=named, character="cap_width", value=62, by_role="diagnostician", by=diagnostician, at=now, uncertainty=2
    )
    part = split(named, Share(), clinic=clinic, by=diagnostician)
    Task.objects.create(
        submission=named.submission, what="call", words="Call the owner.", needs_voice=True, opened_at=now, due_at=now
    )
    Spoken.objects.create(
        submission=named.submission, to_name="Wren Hollis", at=now, by=diagnostician, reached=True,
        words="It is a group.",
        read_back=True,
    )  # fmt: skip
    text = page(at_bench, named.submission)
    for words in (
        "Wren Hollis", "62 mm", "± 2", "Amanita phalloides", f"split from A1 ({named.clinic_number})",
        str(part.clinic_number), "Call the owner.", "only a spoken contact closes it", "It is a group.", "was received",
    ):  # fmt: skip
        assert words in text, words


def test_every_moment_has_its_zone(at_bench: Client, here: Kind) -> None:
    assert f" {timezone.localtime(here.created_at):%Y}" in page(at_bench, here.submission)
    assert "EST" in page(at_bench, here.submission) or "EDT" in page(at_bench, here.submission)


def test_a_held_name_is_not_shown_at_the_front_desk(
    at_front_desk: Client, at_bench: Client, named: Kind, diagnostician: User
) -> None:
    held(named, diagnostician)
    assert "phalloides" not in page(at_front_desk, named.submission)
    assert "it is on hold and not shown to you" in page(at_front_desk, named.submission)
    assert "phalloides" in page(at_bench, named.submission)


def test_a_code_in_other_letters_leads_to_the_page(at_bench: Client, submission: Submission) -> None:
    typed = submission.code.replace("-", "").lower()
    answer = at_bench.get(reverse("records:record", args=[typed]))
    assert answer["Location"] == reverse("records:record", args=[submission.code])


def test_a_replaced_finding_is_marked(at_bench: Client, here: Kind) -> None:
    first = Finding.objects.create(
        kind=here, character="ring", value="none", by_role="diagnostician", at=timezone.now()
    )
    Finding.objects.create(
        kind=here, character="ring", value="hanging", by_role="diagnostician", at=timezone.now(), replaces=first
    )
    assert page(at_bench, here.submission).count("(replaced)") == 1


def test_a_negated_finding_says_not(at_bench: Client, here: Kind) -> None:
    Finding.objects.create(
        kind=here, character="gill_attachment", value=["free"], negated=True, by_role="diagnostician", at=timezone.now()
    )
    assert "<strong>not free" in page(at_bench, here.submission)


def test_the_page_takes_a_fixed_number_of_queries(
    at_bench: Client,
    here: Kind,
    clinic: Clinic,
    diagnostician: User,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    for _ in range(5):
        split(here, Share(), clinic=clinic, by=diagnostician)
    for kind in here.submission.kinds.all():
        for _ in range(10):
            Finding.objects.create(
                kind=kind, character="ring", value="none", by=diagnostician, by_role="diagnostician", at=timezone.now()
            )
    with django_assert_max_num_queries(17):
        page(at_bench, here.submission)


@pytest.mark.parametrize("code", ["ZZZZ-0000", "nonsense", "%00"])
def test_a_record_nobody_has_is_not_found(at_bench: Client, clinic: Clinic, code: str) -> None:
    assert at_bench.get(f"/staff/records/{code}/").status_code == 404


def test_a_second_reader_may_not_see_it(at_second_reading: Client, submission: Submission) -> None:
    assert at_second_reading.get(reverse("records:record", args=[submission.code])).status_code == 403


def test_strangers_are_asked_to_sign_in(client: Client, submission: Submission) -> None:
    assert client.get(reverse("records:record", args=[submission.code])).status_code == 302


def test_reading_changes_nothing(at_bench: Client, here: Kind) -> None:
    before = here.submission.history.count()
    page(at_bench, here.submission)
    assert here.submission.history.count() == before
