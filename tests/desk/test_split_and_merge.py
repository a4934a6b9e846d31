"""Split and merge: one action each, under the finder's own label."""

from __future__ import annotations

import pytest
from django.test import Client
from django.utils import timezone

from fruitbody.desk.bench.actions.lineage import Share, merge, split
from fruitbody.desk.bench.errors import LineageError
from fruitbody.desk.bench.lineage import labels
from fruitbody.desk.bench.models import Determination, Hold, Kind, Preparation
from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.records.models import HistoryEntry
from fruitbody.desk.submissions.actions import add_photo
from fruitbody.desk.submissions.models import Submission
from tests.desk.receiving_case import finding, jpeg, key, url


def parts(kind: Kind) -> dict[str, Kind]:
    rows = list(kind.submission.kinds.all())
    called = labels(rows)
    return {called[row.pk]: row for row in rows if row.merged_into_id is None}


def test_splitting_gives_a_second_number_under_the_same_label(here: Kind, clinic: Clinic, front_desk: User) -> None:
    part = split(here, Share(), clinic=clinic, by=front_desk)
    assert part.finder_label == here.finder_label == "A"
    assert parts(here) == {"A1": here, "A2": part}
    assert part.clinic_number not in (None, here.clinic_number)
    assert part.bag_id == here.bag_id


def test_chosen_findings_move_with_what_they_replace_and_others_are_copied(
    here: Kind, clinic: Clinic, diagnostician: User
) -> None:
    slip = finding(here, diagnostician, value="tan")
    corrected = finding(here, diagnostician, replaces=slip)
    told = finding(here, by_role="finder", seen_on="told", character="form", value="ball")
    stays = finding(here, diagnostician, character="ring", value="none")
    share = Share(move=frozenset({corrected.pk}), both=frozenset({told.pk}))
    part = split(here, share, clinic=clinic, by=diagnostician)
    assert set(here.findings.all()) == {told, stays}
    assert set(part.findings.filter(character="cap_colour")) == {slip, corrected}
    copy = part.findings.get(character="form")
    assert (copy.value, copy.by_role, copy.at, copy.detail["copied_from"]) == ("ball", "finder", told.at, told.pk)


def test_the_history_of_a_split_names_what_went_over(here: Kind, clinic: Clinic, diagnostician: User) -> None:
    moved = finding(here, diagnostician)
    part = split(here, Share(move=frozenset({moved.pk})), clinic=clinic, by=diagnostician)
    entry = HistoryEntry.objects.get(action="split")
    assert entry.data["moved"] == [moved.pk]
    assert f"A2 is {part.clinic_number}" in entry.words


def test_chosen_photos_go_over(here: Kind, clinic: Clinic, front_desk: User) -> None:
    goes = add_photo(jpeg("white"), view="side", submission=here.submission, kind=here)
    stays = add_photo(jpeg("black"), view="side", submission=here.submission, kind=here)
    part = split(here, Share(photos=frozenset({goes.pk})), clinic=clinic, by=front_desk)
    assert list(part.photos.all()) == [goes]
    assert list(here.photos.all()) == [stays]


def test_a_hold_covers_the_part_that_is_split_off(here: Kind, clinic: Clinic, front_desk: User) -> None:
    Hold.objects.create(
        submission=here.submission, kind=here, reason="regulated", words="Asked elsewhere.", placed_by=front_desk,
        placed_at=timezone.now(),
    )  # fmt: skip
    part = split(here, Share(), clinic=clinic, by=front_desk)
    assert part.holds.get().reason == "regulated"


def test_a_name_stays_with_the_first_part(here: Kind, clinic: Clinic, diagnostician: User) -> None:
    Determination.objects.create(
        kind=here, name="Amanita", rank="genus", by=diagnostician, by_role="diagnostician", at=timezone.now()
    )
    part = split(here, Share(), clinic=clinic, by=diagnostician)
    assert not part.determinations.exists()


def test_a_merge_undoes_a_split(here: Kind, clinic: Clinic, diagnostician: User) -> None:
    moved, told = finding(here, diagnostician), finding(here, by_role="finder", seen_on="told")
    photo = add_photo(jpeg(), view="side", submission=here.submission, kind=here)
    before = set(here.findings.values_list("pk", flat=True))
    share = Share(move=frozenset({moved.pk}), both=frozenset({told.pk}), photos=frozenset({photo.pk}))
    part = split(here, share, clinic=clinic, by=diagnostician)
    merge(part, here, by=diagnostician)
    assert parts(here) == {"A": here}
    assert set(here.findings.values_list("pk", flat=True)) == before
    assert list(here.photos.all()) == [photo]


def test_a_number_of_a_part_is_never_given_twice(here: Kind, clinic: Clinic, diagnostician: User) -> None:
    merge(split(here, Share(), clinic=clinic, by=diagnostician), here, by=diagnostician)
    split(here, Share(), clinic=clinic, by=diagnostician)
    assert set(parts(here)) == {"A1", "A3"}


def test_open_preparations_go_with_a_merge(here: Kind, clinic: Clinic, diagnostician: User) -> None:
    part = split(here, Share(), clinic=clinic, by=diagnostician)
    now = timezone.now()
    laid = Preparation.objects.create(kind=part, what="print", started_at=now, started_by=diagnostician, due_at=now)
    merge(part, here, by=diagnostician)
    laid.refresh_from_db()
    assert laid.kind == here


def test_kinds_of_two_submissions_are_not_merged(here: Kind, diagnostician: User) -> None:
    other = Submission.objects.create(code="OTHR-0001", created_at=timezone.now())
    foreign = Kind.objects.create(submission=other, finder_label="A", created_at=timezone.now())
    with pytest.raises(LineageError, match="two submissions"):
        merge(foreign, here, by=diagnostician)


def test_a_kind_is_not_merged_into_itself_or_twice(here: Kind, clinic: Clinic, diagnostician: User) -> None:
    part = split(here, Share(), clinic=clinic, by=diagnostician)
    with pytest.raises(LineageError, match="itself"):
        merge(here, here, by=diagnostician)
    merge(part, here, by=diagnostician)
    with pytest.raises(LineageError, match="already"):
        merge(part, here, by=diagnostician)


def test_what_was_not_received_is_not_split(kind: Kind, clinic: Clinic, front_desk: User) -> None:
    with pytest.raises(LineageError, match="Receive it first"):
        split(kind, Share(), clinic=clinic, by=front_desk)


def test_a_finding_of_another_kind_does_not_go_over(here: Kind, clinic: Clinic, front_desk: User) -> None:
    other = Kind.objects.create(submission=here.submission, finder_label="Z", created_at=timezone.now())
    stray = finding(other)
    with pytest.raises(LineageError, match="not of this kind"):
        split(here, Share(move=frozenset({stray.pk})), clinic=clinic, by=front_desk)
    assert here.submission.kinds.count() == 2


def test_the_split_page_splits_once_however_often_it_is_sent(at_front_desk: Client, here: Kind) -> None:
    moved = finding(here)
    assert at_front_desk.get(url("split", here.pk)).status_code == 200
    form = {"form_key": key(), f"finding-{moved.pk}": "goes"}
    at_front_desk.post(url("split", here.pk), form)
    at_front_desk.post(url("split", here.pk), form)
    assert set(parts(here)) == {"A1", "A2"}
    assert parts(here)["A2"].findings.get() == moved


def test_the_split_page_says_how_the_parts_will_be_called(at_front_desk: Client, here: Kind) -> None:
    Kind.objects.filter(pk=here.pk).update(finder_label="honey, clump")
    text = at_front_desk.get(url("split", here.pk)).content.decode()
    assert "Split honey, clump 2 off" in text
    at_front_desk.post(url("split", here.pk), {"form_key": key()})
    assert set(parts(here)) == {"honey, clump 1", "honey, clump 2"}


def test_what_the_finder_told_goes_to_both_unless_said_otherwise(at_front_desk: Client, here: Kind) -> None:
    told = finding(here, by_role="finder", seen_on="told")
    text = at_front_desk.get(url("split", here.pk)).content.decode()
    assert f'name="finding-{told.pk}" value="both" checked' in text


def test_the_front_desk_may_split_but_not_merge(
    at_front_desk: Client, here: Kind, clinic: Clinic, front_desk: User
) -> None:
    part = split(here, Share(), clinic=clinic, by=front_desk)
    assert at_front_desk.post(url("merge", part.pk), {"into": here.pk}).status_code == 403


def test_the_bench_merges_from_the_bags_page(at_bench: Client, here: Kind, clinic: Clinic, front_desk: User) -> None:
    part = split(here, Share(), clinic=clinic, by=front_desk)
    at_bench.post(url("merge", part.pk), {"into": here.pk})
    part.refresh_from_db()
    assert part.merged_into == here


@pytest.mark.parametrize("into", ["", "abc", "999999"])
def test_a_merge_into_nothing_gets_a_sentence(at_bench: Client, here: Kind, into: str) -> None:
    answer = at_bench.post(url("merge", here.pk), {"into": into}, follow=True)
    assert "Choose the kind that it goes back into." in answer.content.decode()
