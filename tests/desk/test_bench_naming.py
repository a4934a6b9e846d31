"""The name at the bench: what stood beside it, what had been seen, what it replaces."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from fruitbody.desk.bench.models import Determination, Kind
from fruitbody.desk.people.models import User
from fruitbody.desk.records.models import HistoryEntry
from fruitbody.desk.submissions.models import Submission
from tests.desk.bench_case import found, received


@pytest.fixture
def bag(submission: Submission, diagnostician: User) -> Kind:
    kind = received(submission, diagnostician)
    for text in ("form cap and stem", "gill attachment free", "cap colour white"):
        found(kind, text, by=diagnostician)
    return kind


def name(client: Client, kind: Kind, words: str, **more: Any) -> Any:
    form = {"name": words, "certainty": "likely", "acknowledged": "on", "form_key": "n"} | more
    return client.post(f"/staff/bench/{kind.pk}/name/", form)


def test_a_name_keeps_what_was_not_excluded_and_what_was_proposed(
    at_bench: Client, bag: Kind, diagnostician: User
) -> None:
    assert name(at_bench, bag, "Agaricus", basis="free gills").status_code == 302
    made = bag.determinations.get()
    assert (made.name, made.qualifier, made.rank, made.by) == ("Agaricus", "sp.", "genus", diagnostician)
    assert "amanita-phalloideae" in [entry["group"] for entry in made.not_excluded if entry["listed"] == "first"]
    assert made.proposal["used"] == 3
    assert not made.ranking_seen


def test_according_to_is_that_of_the_taxon_unless_typed(at_bench: Client, bag: Kind) -> None:
    name(at_bench, bag, "Amanita phalloides", form_key="a")
    name(at_bench, bag, "Amanita phalloides", form_key="b", according_to="Example 2020")
    first, second = bag.determinations.order_by("pk")
    assert first.according_to
    assert second.according_to == "Example 2020"
    assert second.replaces == first


def test_a_name_written_after_unfolding_says_so(at_bench: Client, bag: Kind) -> None:
    at_bench.post(f"/staff/bench/{bag.pk}/unfold/")
    name(at_bench, bag, "Agaricus")
    assert bag.determinations.get().ranking_seen


def test_a_dangerous_group_that_stands_has_to_be_acknowledged(at_bench: Client, bag: Kind) -> None:
    answer = name(at_bench, bag, "Agaricus", acknowledged="", basis="free gills")
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "death cap and destroying angels" in text
    assert "free gills" in text
    assert not Determination.objects.exists()
    assert name(at_bench, bag, "Agaricus").status_code == 302


def test_a_form_sent_twice_names_once(at_bench: Client, bag: Kind) -> None:
    name(at_bench, bag, "Agaricus")
    name(at_bench, bag, "Agaricus")
    assert bag.determinations.count() == 1


def test_the_history_tells_of_the_name_and_does_not_say_it(at_bench: Client, bag: Kind) -> None:
    name(at_bench, bag, "Agaricus")
    entry = HistoryEntry.objects.get(action="named")
    assert "Agaricus" not in entry.words + str(entry.data)


@pytest.mark.parametrize(
    ("words", "more", "says"),
    [
        ("Amanita faloides", {}, "Nearest: Amanita phalloides"),
        ("Agaricus campestris", {"qualifier": "sp."}, "in place of an epithet"),
        ("Amanita phalloides", {"qualifier": "aff."}, "Say in the basis in what"),
    ],
)
def test_a_name_that_cannot_be_is_told_and_stays(
    at_bench: Client, bag: Kind, words: str, more: dict[str, str], says: str
) -> None:
    answer = name(at_bench, bag, words, **more)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert f'value="{words}"' in answer.content.decode()


def test_a_vernacular_name_tells_what_is_written(at_bench: Client, bag: Kind) -> None:
    name(at_bench, bag, "death cap")
    assert bag.determinations.get().taxon == "amanita-phalloides"
    assert "is written as Amanita phalloides" in at_bench.get(f"/staff/bench/{bag.pk}/").content.decode()


def test_free_text_keeps_its_rank(at_bench: Client, bag: Kind) -> None:
    name(at_bench, bag, "a gilled mushroom, not further", rank="form")
    made = bag.determinations.get()
    assert (made.name, made.rank, made.taxon) == ("a gilled mushroom, not further", "form", "")


def test_names_are_offered_with_how_they_were_found(at_bench: Client) -> None:
    options = at_bench.get("/staff/bench/names/?name=death+cap").content.decode()
    assert 'value="Amanita phalloides"' in options
    assert "name in use" in options
