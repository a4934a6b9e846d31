"""Today: the order as a pure function, and the page with its fixed number of queries."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from random import Random
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from fruitbody.desk.bench.models import Bag, Determination, Finding, Hold, Kind, Preparation, Task
from fruitbody.desk.bench.promise import working_days_after
from fruitbody.desk.bench.today import Danger, DueTask, Ready, Waiting, in_order, in_words, placed, spoils_at
from fruitbody.desk.people.models import User
from fruitbody.desk.submissions.models import Party, Submission

NOON = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
PLAIN = Waiting(key="plain", announced_at=NOON - timedelta(days=3), received_at=NOON - timedelta(days=2))
FLAGGED = replace(PLAIN, key="flag", flag="eaten")
TO_SAY = replace(PLAIN, key="task", tasks=(DueTask("Call the owner.", NOON, True),))
PROMISED = replace(PLAIN, key="promise", promised_for=NOON.date())
DEADLY = replace(PLAIN, key="danger", danger=Danger.LISTED, danger_group="death caps")
FRESH = replace(PLAIN, key="fresh", fresh=True, received_at=NOON - timedelta(hours=1))
PRINT = replace(PLAIN, key="print", preparations=(Ready("print", NOON - timedelta(minutes=5)),))
OLD = replace(PLAIN, key="old", received_at=NOON - timedelta(days=9))
IN_ORDER = [FLAGGED, TO_SAY, PROMISED, DEADLY, FRESH, PRINT, OLD, PLAIN]


def keys(rows: list[Waiting]) -> list[str]:
    return [p.waiting.key for p in in_order(rows, NOON)]


def test_flag_voice_promise_danger_perishing_preparation_and_age_come_in_this_order() -> None:
    assert keys(IN_ORDER) == [row.key for row in IN_ORDER]


@pytest.mark.parametrize("seed", range(5))
def test_the_order_does_not_depend_on_the_order_of_the_rows(seed: int) -> None:
    rows = list(IN_ORDER)
    Random(seed).shuffle(rows)
    assert keys(rows) == [row.key for row in IN_ORDER]


@pytest.mark.parametrize("row", IN_ORDER)
def test_every_row_says_why_it_stands_there(row: Waiting) -> None:
    assert all(words.endswith(".") for words in placed(row, NOON).why)
    assert placed(row, NOON).why


def test_eaten_comes_before_a_child_and_a_child_before_urgent() -> None:
    rows = [replace(PLAIN, key=flag, flag=flag) for flag in ("urgent", "child", "eaten", "own words")]
    assert keys(rows) == ["eaten", "child", "urgent", "own words"]


def test_a_task_that_is_not_due_and_needs_no_voice_does_not_lift_a_row() -> None:
    later = replace(PLAIN, key="later", tasks=(DueTask("Look again.", NOON + timedelta(days=2), False),))
    assert placed(later, NOON).place == placed(PLAIN, NOON).place


def test_a_task_counts_at_the_very_moment_it_is_due() -> None:
    due = replace(PLAIN, tasks=(DueTask("Look again.", NOON, False),))
    assert placed(due, NOON).place < placed(due, NOON - timedelta(seconds=1)).place


@pytest.mark.parametrize(
    ("days", "words"),
    [(2, ""), (1, "for tomorrow"), (0, "for today"), (-1, "one day ago"), (-3, "three days ago")],
)
def test_a_promise_is_pressing_from_the_day_before(days: int, words: str) -> None:
    why = placed(replace(PLAIN, promised_for=NOON.date() + timedelta(days=days)), NOON).why
    said = [line for line in why if "promised" in line]
    assert (words in said[0]) if words else not said


def test_a_broken_promise_comes_before_one_for_today() -> None:
    late = replace(PROMISED, key="late", promised_for=NOON.date() - timedelta(days=1))
    assert keys([PROMISED, late]) == ["late", "promise"]


def test_what_nobody_looked_at_comes_before_what_has_a_name() -> None:
    unseen = replace(PLAIN, key="unseen", danger=Danger.NOT_LOOKED)
    assert keys([PLAIN, unseen]) == ["unseen", "plain"]
    assert "no deadly group is excluded" in placed(unseen, NOON).why[0]


def test_what_has_not_arrived_is_not_called_dangerous_for_being_unseen() -> None:
    away = replace(PLAIN, received_at=None, danger=Danger.NOT_LOOKED)
    assert placed(away, NOON).why == ("It has been announced for three days.",)


@pytest.mark.parametrize(("keeps", "hours"), [("hours", 6), ("a day", 24), ("days", 48), ("", 48)])
def test_fresh_material_spoils_by_how_the_kind_keeps(keeps: str, hours: int) -> None:
    row = replace(FRESH, keeps=keeps, received_at=NOON)
    assert spoils_at(row) == NOON + timedelta(hours=hours)


@pytest.mark.parametrize(
    "row", [replace(FRESH, fresh=False), replace(FRESH, keeps="keeps"), replace(FRESH, received_at=None)]
)
def test_dried_lasting_and_absent_material_does_not_spoil(row: Waiting) -> None:
    assert spoils_at(row) is None


def test_a_print_that_is_not_ready_yet_waits() -> None:
    waits = replace(PLAIN, preparations=(Ready("print", NOON + timedelta(minutes=1)),))
    assert placed(waits, NOON).place == placed(PLAIN, NOON).place


def test_counts_are_words_up_to_twelve() -> None:
    assert [in_words(n) for n in (0, 1, 12, 13)] == ["no", "one", "twelve", "13"]


def test_five_working_days_from_a_wednesday_end_on_the_next_wednesday() -> None:
    assert working_days_after(NOON.date(), 5) == NOON.date() + timedelta(days=7)


def test_one_working_day_from_a_friday_is_monday() -> None:
    friday = NOON.date() + timedelta(days=2)
    assert working_days_after(friday, 1) == friday + timedelta(days=3)


# ------------------------------------------------------------------ the page


def _bag(kind: Kind, by: User, number: int) -> Kind:
    bag = Bag.objects.create(
        submission=kind.submission, clinic_number=f"B-{number}", received_at=timezone.now(), received_by=by
    )
    kind.bag, kind.clinic_number = bag, f"K-{number}"
    kind.save()
    return kind


def _many(by: User, count: int) -> list[Kind]:
    """Kinds in submissions of two, with everything that can hang on them."""
    kinds = []
    for number in range(count):
        if number % 2 == 0:
            submission = Submission.objects.create(code=f"CODE-{number}", created_at=timezone.now(), flag="urgent")
            Party.objects.create(submission=submission, role="submitter", name=f"Person {number}")
        kind = Kind.objects.create(submission=submission, finder_label="A", created_at=timezone.now())
        _bag(kind, by, number)
        Finding.objects.create(kind=kind, character="form", value="ball", by_role="diagnostician", at=timezone.now())
        Determination.objects.create(
            kind=kind, name="Lycoperdon", rank="genus", by=by, by_role="diagnostician", at=timezone.now()
        )
        now = timezone.now()
        Preparation.objects.create(kind=kind, what="print", started_at=now, started_by=by, due_at=now)
        Task.objects.create(submission=submission, kind=kind, what="look", words="Look.", due_at=now, opened_at=now)
        kinds.append(kind)
    return kinds


@pytest.mark.parametrize("count", [5, 60])
def test_the_page_takes_the_same_few_queries_whatever_is_open(
    at_bench: Client, diagnostician: User, count: int, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    _many(diagnostician, count)
    with django_assert_max_num_queries(12):
        answer = at_bench.get(reverse("bench:today"))
    assert answer.content.decode().count('class="line"') == count


@pytest.fixture
def here(kind: Kind, front_desk: User) -> Kind:
    return _bag(kind, front_desk, 1)


def page(client: Client, **query: Any) -> str:
    answer = client.get(reverse("bench:today"), query)
    assert answer.status_code == 200
    return answer.content.decode()


def test_a_row_shows_number_label_question_state_reason_and_step(at_bench: Client, here: Kind) -> None:
    text = page(at_bench)
    for words in ("K-1", "label A", "I would like to know what it is", "Received, nobody has looked", "Look at it"):
        assert words in text
    assert "Nobody has looked yet, so no deadly group is excluded." in text


def test_what_is_only_announced_is_counted_but_not_listed(at_bench: Client, kind: Kind) -> None:
    text = page(at_bench)
    assert "one announced and not here yet" in text
    assert 'class="line"' not in text


def test_an_announced_case_of_eating_is_listed_first(at_bench: Client, here: Kind) -> None:
    eaten = Submission.objects.create(code="EATN-0001", created_at=timezone.now(), eaten="animal", flag="eaten")
    Kind.objects.create(submission=eaten, finder_label="A", created_at=timezone.now())
    text = page(at_bench)
    assert text.index("EATN-0001") < text.index("K-1")
    assert "Call, then note it" in text


def test_a_deadly_group_of_the_name_is_said_in_words(at_bench: Client, here: Kind, diagnostician: User) -> None:
    Determination.objects.create(
        kind=here, taxon="amanita-phalloides", name="Amanita phalloides", rank="species", by=diagnostician,
        by_role="diagnostician", at=timezone.now(),
    )  # fmt: skip
    assert "A deadly group stands first among what is not excluded: death cap" in page(at_bench)


@pytest.mark.parametrize(("behind_db", "said"), [(0.0, True), (10.0, True), (10.1, False)])
def test_a_deadly_group_near_the_best_is_said_beside_another_name(
    at_bench: Client, here: Kind, diagnostician: User, behind_db: float, said: bool
) -> None:
    standing = [{"group": "amanita-phalloideae", "listed": "first", "behind_db": behind_db}]
    Determination.objects.create(
        kind=here, name="Agaricus", rank="genus", by=diagnostician, by_role="diagnostician", at=timezone.now(),
        not_excluded=standing,
    )  # fmt: skip
    assert ("A deadly group stands first" in page(at_bench)) is said


def test_a_second_reader_meets_neither_the_first_name_nor_the_person(
    at_second_reading: Client, here: Kind, diagnostician: User
) -> None:
    Determination.objects.create(
        kind=here, taxon="amanita-phalloides", name="Amanita phalloides", rank="species", by=diagnostician,
        by_role="diagnostician", at=timezone.now(),
    )  # fmt: skip
    text = page(at_second_reading)
    assert "K-1" in text
    for hidden in ("phalloides", "death cap", "Wren Hollis"):
        assert hidden not in text


def test_a_name_on_hold_is_masked_for_the_front_desk_and_shown_at_the_bench(
    at_front_desk: Client, at_bench: Client, here: Kind, diagnostician: User
) -> None:
    now = timezone.now()
    Determination.objects.create(
        kind=here, name="Suspecta", rank="genus", by=diagnostician, by_role="diagnostician", at=now
    )
    Hold.objects.create(
        submission=here.submission, reason="regulated", words="Asked elsewhere.", placed_by=diagnostician, placed_at=now
    )
    masked = page(at_front_desk)
    assert "Suspecta" not in masked
    assert "the name is on hold" in masked
    assert "Suspecta" in page(at_bench)
    assert "Suspecta" not in page(at_front_desk, q="Suspecta").replace("“Suspecta”", "").replace(
        'value="Suspecta"', ""
    ).replace("q=Suspecta", "")


def test_search_finds_by_the_code_of_the_submission(at_front_desk: Client, here: Kind) -> None:
    for typed in (here.submission.code, here.submission.code.replace("-", "").lower()):
        assert "One open kind speaks of" in page(at_front_desk, q=typed)


@pytest.mark.parametrize("typed", ["K-1", "k1", "A", "wren"])
def test_search_finds_by_number_label_and_person(at_front_desk: Client, here: Kind, typed: str) -> None:
    assert "One open kind speaks of" in page(at_front_desk, q=typed)


def test_a_second_reader_cannot_search_for_a_person(at_second_reading: Client, here: Kind) -> None:
    assert "Nothing open speaks of" in page(at_second_reading, q="wren")


@pytest.mark.parametrize("typed", ["zzz", "%", "<script>", "\x00"])
def test_a_search_for_nothing_says_so(at_bench: Client, here: Kind, typed: str) -> None:
    assert "Nothing open speaks of" in page(at_bench, q=typed)


def test_a_page_that_does_not_exist_shows_the_last(at_bench: Client, here: Kind) -> None:
    assert "K-1" in page(at_bench, page="99")


def test_a_closed_submission_is_not_shown(at_bench: Client, here: Kind) -> None:
    Submission.objects.update(closed_at=timezone.now())
    assert "The table is clear." in page(at_bench)


def test_strangers_are_asked_to_sign_in(client: Client, clinic: Any) -> None:
    assert client.get(reverse("bench:today")).status_code == 302


def test_looking_changes_nothing(at_bench: Client, here: Kind) -> None:
    before = list(Kind.objects.values())
    page(at_bench)
    assert list(Kind.objects.values()) == before
