"""How many fruit bodies there are, and what it does to excluding a danger for the whole lot."""

from __future__ import annotations

import pytest
from django.test import Client

from fruitbody.desk.bench.engine import current_rows, what_fits
from fruitbody.desk.bench.models import Kind
from fruitbody.desk.people.models import User
from fruitbody.desk.records.models import HistoryEntry
from fruitbody.desk.submissions.models import Submission
from fruitbody.funga import load
from tests.desk.bench_case import found, received


@pytest.fixture
def bag(submission: Submission, diagnostician: User) -> Kind:
    return received(submission, diagnostician)


def count(client: Client, kind: Kind, typed: str) -> str:
    answer = client.post(f"/staff/bench/{kind.pk}/count/", {"fruit_bodies": typed}, follow=True)
    return answer.content.decode()


def standing(kind: Kind) -> set[str]:
    kind.refresh_from_db()
    return {s.group for s in what_fits(load(), kind, current_rows(kind)).found.not_excluded}


def test_a_count_is_kept_with_its_history(at_bench: Client, bag: Kind) -> None:
    assert "3 fruit bodies" in count(at_bench, bag, "3")
    bag.refresh_from_db()
    assert bag.fruit_bodies == 3
    assert HistoryEntry.objects.filter(action="counted").count() == 1


@pytest.mark.parametrize("typed", ["", "none", "0", "-2", "1000", "2.5", "²"])
def test_what_is_no_count_is_answered_with_a_sentence(at_bench: Client, bag: Kind, typed: str) -> None:
    assert "is no count of fruit bodies" in count(at_bench, bag, typed)
    bag.refresh_from_db()
    assert bag.fruit_bodies is None


def test_a_stranger_cannot_count(client: Client, bag: Kind) -> None:
    client.post(f"/staff/bench/{bag.pk}/count/", {"fruit_bodies": "3"})
    bag.refresh_from_db()
    assert bag.fruit_bodies is None


def test_while_nobody_counted_nothing_is_excluded_for_the_lot(
    at_bench: Client, bag: Kind, diagnostician: User, second_reader: User
) -> None:
    for words in ("form cap and stem", "hymenium pores", "deposit olive"):
        for by in (diagnostician, second_reader):
            found(bag, words, by=by)
    assert standing(bag) == set(load().hazard_groups)
    count(at_bench, bag, "1")
    left = standing(bag)
    assert left < set(load().hazard_groups)
    count(at_bench, bag, "2")
    assert standing(bag) == set(load().hazard_groups)
